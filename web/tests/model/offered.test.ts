/** What is reckoned and drawn of an offer. */
import { describe, expect, it } from "vitest";
import {
  areaAbout,
  changesBetween,
  chosenLines,
  type OfferSays,
  type OptionSays,
  RULE_YEARS,
  rateBy,
  saysOf,
  stripOf,
  sum,
} from "../../src/model/offered";

function option(values: Partial<OptionSays> = {}): OptionSays {
  return {
    id: "repair",
    letter: "A",
    title: "Repair",
    stands_if: [],
    firm_price: 100,
    allowances: [],
    includes: [],
    lasts_years: { from: 7, to: 17 },
    crew_days: 9,
    waits_days: 8,
    colour_every_years: 6,
    leaves: "",
    ...values,
  };
}

function offer(options: OptionSays[], values: Partial<OfferSays> = {}): OfferSays {
  const pad = {
    id: "upper",
    area_m2: 1739.14,
    findings: ["Cracks."],
    recommended: "repair",
    advice: [],
    measure_next: [],
  };
  return {
    kind: "offer",
    issued_on: "2026-05-04",
    expires_on: null,
    starts_on: null,
    language: "en",
    currency: "USD",
    units: "us",
    contractor: { name: "", licence: "", address: "", phone: "" },
    job: { name: "", address: "" },
    pads: [{ ...pad, options, not_offered: [] }],
    photos: [],
    terms: [],
    ...values,
  };
}

describe("an option along the rule", () => {
  it("begins with its work and its cure, each wide enough to be seen", () => {
    const { work, cured } = stripOf(option());
    // 9 and 8 days are far less than the least that is seen: 0.4 years each.
    expect([work, cured]).toEqual([0.4, 0.8]);
    // 365.25 days are one year.
    expect(stripOf(option({ crew_days: 365.25, waits_days: 0 })).cured).toBe(1);
  });

  it("is firm for as long as it lasts at least, and gets its new colour on the way", () => {
    const strip = stripOf(option());
    expect([strip.sure, strip.most, strip.runsOn]).toEqual([7, 17, false]);
    expect(strip.colours).toEqual([6, 12]);
    // No colour is laid in the year in which it ends.
    expect(stripOf(option({ lasts_years: { from: 4, to: 12 } })).colours).toEqual([6]);
    expect(stripOf(option({ colour_every_years: null })).colours).toEqual([]);
  });

  it("never leaves the rule, and never runs backwards", () => {
    const strip = stripOf(option({ lasts_years: { from: 22, to: 60 } }));
    expect([strip.most, strip.runsOn]).toEqual([RULE_YEARS, true]);
    const nothing = stripOf(option({ lasts_years: { from: 0, to: 0 } }));
    expect(nothing.most).toBe(nothing.cured);
  });
});

describe("what is chosen", () => {
  const says = offer([option(), option({ id: "hold", firm_price: 20 })]);

  it("is a line for each pad that is ordered, and a sum", () => {
    const lines = chosenLines(says, { upper: "hold", elsewhere: "repair" });
    expect(lines.map(({ pad, option: { id } }) => [pad, id])).toEqual([["upper", "hold"]]);
    expect(sum(lines)).toBe(20);
    expect(sum(chosenLines(says, {}))).toBe(0);
  });
});

describe("a rate", () => {
  it("is by the unit that its reader knows", () => {
    const rate = { item: "x", title: "x", rate: 100, unit: "m" };
    // 100 a metre are 30.48 a foot; 100 a cubic metre are 76.46 a cubic yard.
    expect(rateBy(rate, "us")).toEqual({ rate: 30.48, unit: "lf" });
    expect(rateBy({ ...rate, unit: "m3" }, "us").rate).toBeCloseTo(76.4555, 3);
    expect(rateBy({ ...rate, unit: "m2" }, "metric")).toEqual({ rate: 100, unit: "m²" });
    expect(rateBy({ ...rate, unit: "ea" }, "us")).toEqual({ rate: 100, unit: "ea" });
  });
});

it("an area is said to three figures", () => {
  // 1739.14 m² are 18,720 sf.
  expect(areaAbout(1739.14, "us", "en")).toBe("18,700 sf");
  expect(areaAbout(1739.14, "metric", "en")).toBe("1,740 m²");
});

it("an offer without papers says nothing", () => {
  expect(saysOf({})).toBeNull();
  expect(saysOf({ pads: [] })).not.toBeNull();
});

describe("between two revisions", () => {
  it("nothing changes where all reads the same", () => {
    expect(changesBetween(offer([option()]), offer([option()], { issued_on: "2026-06-01" }))).toEqual([]);
  });

  it("prices, options, advice, findings and texts are told", () => {
    const before = offer([option(), option({ id: "hold", title: "Hold" })]);
    const after = offer([option({ firm_price: 120 }), option({ id: "overlay", title: "Overlay" })], { note: "Hello" });
    const pad = { ...(after.pads[0] as OfferSays["pads"][number]), recommended: "overlay", findings: [] };
    expect(changesBetween(before, { ...after, pads: [pad] })).toEqual([
      { what: "advice", pad: "upper", before: "Repair", after: "Overlay" },
      { what: "found", pad: "upper" },
      { what: "price", pad: "upper", title: "Repair", before: 100, after: 120 },
      { what: "added", pad: "upper", title: "Overlay" },
      { what: "gone", pad: "upper", title: "Hold" },
      { what: "text", text: "note" },
    ]);
  });
});
