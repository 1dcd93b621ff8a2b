/** Facts and what would have to be different, in the reader's words. */
import { describe, expect, it } from "vitest";
import { factOf, needOf, valueSaid } from "../../src/model/fact_words";

const US = { language: "en", units: "us", yes: "yes", no: "no", unknown: "not known" } as const;
const METRIC = { ...US, units: "metric" } as const;

describe("what is needed", () => {
  it.each([
    ["<= 0.1", { bound: "at-most", value: 0.1 }],
    [">= 0.0762", { bound: "at-least", value: 0.0762 }],
    ["< 2", { bound: "below", value: 2 }],
    ["> 1e-3", { bound: "above", value: 0.001 }],
    ["true", { bound: "is", value: true }],
    ["false", { bound: "is", value: false }],
    ["asphalt", { bound: "is", value: "asphalt" }],
  ])("%s", (text, need) => expect(needOf(text)).toEqual(need));
});

describe("a value", () => {
  it.each([
    // 22 % of a pad; 3 in = 76.2 mm; 14 ft = 4.2672 m; 1.2 % of slope
    ["free_piece_share", 0.219233, "22 %", "22 %"],
    ["asphalt_thickness", 0.0762, "3 in", "76 mm"],
    ["machine_access_width", 4.2672, "14 ft", "4.3 m"],
    ["plane_slope_min", 0.012, "1.20 %", "1.20 %"],
    ["coats", 26, "26", "26"],
    ["pieces_rock", true, "yes", "yes"],
    ["surface", "post-tensioned", "post-tensioned concrete", "post-tensioned concrete"],
    ["coats", null, "not known", "not known"],
  ])("of %s, %s, is told", (id, value, us, metric) => {
    expect(valueSaid(factOf(id), value, US).toLowerCase()).toBe(us);
    expect(valueSaid(factOf(id), value, METRIC).toLowerCase()).toBe(metric);
  });
});
