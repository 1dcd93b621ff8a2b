/** A typed length is read as the office reads it. */
import { describe, expect, it } from "vitest";
import cases from "../../../spec/cases/lengths.json";
import { metres } from "../../src/model/length";
import type { UnitSystem } from "../../src/model/show";

const named = (text: unknown, units: string) => [JSON.stringify(text), units, text] as const;

describe("what the office reads", () => {
  it.each(cases.read.map((one) => [...named(one.text, one.default), one.metres] as const))("%s (%s)", (...of) => {
    const [, units, text, expected] = of;
    const read = metres(text as string, units as UnitSystem);
    expect(read).not.toBeNull();
    expect(Math.abs((read ?? 0) - expected)).toBeLessThanOrEqual(cases.tolerance * Math.max(1, expected));
  });

  it("takes a fraction of a foot and inches for the same number", () => {
    expect(metres("8 ft", "us")).toBe(metres("96 in", "us"));
    expect(metres("7.5", "us")).toBe(metres("7' 6\"", "metric"));
  });
});

describe("what the office refuses", () => {
  it.each(cases.refused.map((one) => named(one.text, one.default)))("%s (%s)", (_, units, text) => {
    expect(metres(text as string, units as UnitSystem)).toBeNull();
  });

  it("gives no length for what is no number", () => {
    expect(metres(Number.NaN, "us")).toBeNull();
    expect(metres(Number.POSITIVE_INFINITY, "metric")).toBeNull();
    expect(metres(-0, "metric")).toBeNull();
    expect(metres("3 constructor", "metric")).toBeNull();
  });
});
