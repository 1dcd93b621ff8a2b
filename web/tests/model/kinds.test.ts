/** How a value is typed: a bare number means the unit that is shown beside it, and keeps it. */
import { describe, expect, it } from "vitest";
import { withItsUnit, withoutItsUnit } from "../../src/model/kinds";
import { squareMetres } from "../../src/model/totals";

describe("a number beside its unit", () => {
  it.each([
    ["3", "area", "us", "3 sf"],
    ["18,5", "area", "metric", "18,5 m²"],
    ["40", "length", "us", "40 ft"],
    ["1-1/2", "small", "us", "1-1/2 in"],
    ["4", "count", "us", "4"],
  ] as const)("%s as %s in %s is kept as %s, and shown as it was typed", (typed, kind, units, kept) => {
    expect(withItsUnit(typed, kind, units)).toBe(kept);
    expect(withoutItsUnit(kept, kind, units)).toBe(typed);
  });

  it.each([
    ["200 m²", "area", "us"],
    ["12' 6\"", "length", "us"],
    ["about 3 ft", "length", "us"],
    ["3 s", "area", "us"],
    ["", "area", "us"],
  ] as const)("%s names its own or none: it is shown and kept as it stands", (typed, kind, units) => {
    expect(withoutItsUnit(typed, kind, units)).toBe(typed);
    expect(withItsUnit(typed, kind, units)).toBe(typed);
  });

  it("an area with its unit is read back", () =>
    expect(squareMetres(withItsUnit("18.5", "area", "metric"), "us")).toBe(18.5));
});
