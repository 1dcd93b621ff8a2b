/** Why a price moved: another advice, or the quantities that changed, each as it was reckoned. */
import { describe, expect, it } from "vitest";
import { type Advised, bands, changes, type Priced } from "../../src/model/price_changes";

const verdict = (recommended: string | null): Advised => ({
  pads: [
    {
      id: "upper",
      recommended,
      options: [
        { id: "repair", title: "Repair and new colour" },
        { id: "resurface", title: "New colour surface" },
      ],
      measure_next: [],
    },
  ],
});
const price = (
  p50: number,
  feet: number,
  more: Priced["pads"][number]["options"][number]["quantities"] = [],
): Priced => ({
  currency: "USD",
  pads: [
    {
      id: "upper",
      options: ["repair", "resurface"].map((id) => ({
        id,
        price: { p10: p50 - 1000, p50, p90: p50 + 1000 },
        quantities: [{ item: "membrane", quantity: feet, formula: `${feet} lf of cracks` }, ...more],
      })),
    },
  ],
});
const at = (advice: string | null, p50: number, feet: number, more?: Parameters<typeof price>[2]) =>
  bands(verdict(advice), price(p50, feet, more));

describe("bands", () => {
  it("show the advised option with its title", () => {
    expect(at("repair", 9000, 140)[0]?.option).toMatchObject({ id: "repair", title: "Repair and new colour" });
  });

  it("show none where there is no advice", () => expect(at(null, 9000, 140)[0]?.option).toBeNull());
});

describe("changes", () => {
  it("tell a price that moved with the quantity that moved it", () => {
    expect(changes(at("repair", 9000, 140), at("repair", 9900, 170))).toEqual([
      { what: "band", pad: "upper", before: 9000, after: 9900 },
      { what: "quantity", pad: "upper", before: "140 lf of cracks", after: "170 lf of cracks" },
    ]);
  });

  it("tell what is new and what is no more", () => {
    const filler = [{ item: "filler", quantity: 3, formula: "3 low spots" }];
    expect(changes(at("repair", 9000, 140), at("repair", 9500, 140, filler))[1]).toEqual({
      what: "quantity",
      pad: "upper",
      before: "",
      after: "3 low spots",
    });
    expect(changes(at("repair", 9500, 140, filler), at("repair", 9000, 140))[1]).toMatchObject({
      before: "3 low spots",
      after: "",
    });
  });

  it("tell another advice and no numbers of another work", () => {
    expect(changes(at("resurface", 9000, 140), at("repair", 12000, 170))).toEqual([
      { what: "advice", pad: "upper", before: "New colour surface", after: "Repair and new colour" },
    ]);
  });

  it("tell nothing where the price stands, where there was none, and of another pad", () => {
    expect(changes(at("repair", 9000, 140), at("repair", 9000, 140))).toEqual([]);
    expect(changes([], at("repair", 9000, 140))).toEqual([]);
    expect(changes(at(null, 9000, 140), at("repair", 9000, 140))).toEqual([]);
  });
});
