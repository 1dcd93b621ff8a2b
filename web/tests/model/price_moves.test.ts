/** A price never moves without being told how. */
import { describe, expect, it } from "vitest";
import type { OptionPrice, PriceSays } from "../../src/model/judged";
import { nameOf, shifts } from "../../src/model/price_moves";

function answer(prices: Readonly<Record<string, readonly [p10: number, p50: number, p90: number]>>): PriceSays {
  const options = Object.entries(prices).map(
    ([id, [p10, p50, p90]]) => ({ id, price: { p10, p50, p80: p90, p90 } }) as OptionPrice,
  );
  return { currency: "USD", pads: [{ id: "north", options }] };
}

describe("between two answers", () => {
  it("tells the change of the likely price and of what lies between the ends", () => {
    const shift = shifts(answer({ overlay: [10_000, 15_000, 20_000] }), answer({ overlay: [12_000, 14_000, 16_800] }));
    // 20,000 − 10,000 between the ends before, 16,800 − 12,000 after
    expect(shift.moved).toEqual([{ pad: "north", option: "overlay", likely: -1_000, between: -5_200 }]);
  });

  it("tells a range that narrows round the same likely price", () => {
    const shift = shifts(answer({ overlay: [10_000, 15_000, 20_000] }), answer({ overlay: [14_000, 15_000, 16_000] }));
    expect(shift.moved).toEqual([{ pad: "north", option: "overlay", likely: 0, between: -8_000 }]);
  });

  it("tells what came and what went, and nothing where nothing moved", () => {
    const shift = shifts(answer({ a: [1, 2, 3], b: [1, 2, 3] }), answer({ b: [1, 2, 3], c: [1, 2, 3] }));
    expect(shift).toEqual({ moved: [], came: [nameOf("north", "c")], went: [nameOf("north", "a")] });
  });
});
