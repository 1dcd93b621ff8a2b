/** What a call says becomes a rough site, and nothing that was not said. */
import { describe, expect, it } from "vitest";
import { answersOf, countedBy, courtsOf, padOf, tallyOf, WORST, wageOf } from "../../src/model/call";

describe("a call", () => {
  it("counts the worst thing as a mark", () => {
    expect(tallyOf({ worst: "cracks", amount: " 140 " }, "p")).toEqual({ pad: "p", mark: "crack", length: "140" });
    expect(tallyOf({ worst: "peeling", amount: "600 sf" }, "p")).toEqual({
      pad: "p",
      mark: "worn",
      wear: "peeling",
      area: "600 sf",
    });
  });

  it("counts nothing while nobody said how much", () => {
    for (const worst of WORST) {
      expect(tallyOf({ worst }, "p")).toBeNull();
      expect(tallyOf({ worst, amount: " " }, "p")).toBeNull();
      expect(["length", "count", "area"]).toContain(countedBy(worst));
    }
  });

  it("takes the year out of what was said", () => {
    expect(padOf({ built: "about 1985", coated: "2015 or 2016", surface: "asphalt" })).toEqual({
      surface: "asphalt",
      built: "1985",
      last_resurfaced: "2015",
    });
    expect(padOf({ built: "the eighties" })).toEqual({});
  });

  it("tells the walk whether prevailing wage applies, and nothing while nobody was asked", () => {
    expect(wageOf({ wage: "true" })).toBe(true);
    expect(wageOf({ wage: "false" })).toBe(false);
    expect(wageOf({ wage: "unknown" })).toBe("unknown");
    expect(wageOf({})).toBeUndefined();
  });

  it("answers facts with what was said, as it was said", () => {
    expect(answersOf({ gate: "11 ft", irrigation: "true" })).toEqual({
      machine_access_width: "11 ft",
      irrigation_beside: "true",
    });
    expect(answersOf({})).toEqual({});
  });

  it.each([
    ["4", 4],
    ["4 or 5", 4],
    ["", 1],
    ["many", 1],
    ["0", 1],
    ["900", 24],
  ])("of %s courts", (said, count) => expect(courtsOf({ courts: said })).toBe(count));
});
