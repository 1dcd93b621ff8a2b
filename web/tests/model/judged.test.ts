/** What becomes of a pad, and the order in which its options are read. */
import { describe, expect, it } from "vitest";
import { fateOf, inOrder, type Option, type PadVerdict, type State } from "../../src/model/judged";

function option(id: string, state: State, ...remedies: string[]): Option {
  return { id, title: id, remedies, state, because: [], opens_if: [], settled_by: [], begins_anew: false };
}

function pad(recommended: string | null, ...options: Option[]): PadVerdict {
  return {
    id: "upper",
    findings: [],
    condition_index: null,
    causes: [],
    options,
    not_considered: [],
    recommended,
    advice: [],
    measure_next: [],
  };
}

const repair = option("repair", "open", "membrane-repair", "resurface");
const rebuild = { ...option("pulverise-and-pave", "open", "pulverise-and-pave", "resurface"), begins_anew: true };
const hold = option("hold", "open", "cosmetic-fill");
const mat = option("mat", "ruled out", "mat-system");
const concrete = option("concrete-over", "open if", "concrete-over");

describe("what becomes of a pad", () => {
  it("is told by what the advised option does", () => {
    expect(fateOf(pad("repair", hold, repair, rebuild))).toBe("saved");
    expect(fateOf(pad("pulverise-and-pave", hold, rebuild))).toBe("rebuilt");
    expect(fateOf(pad("hold", hold, repair))).toBe("kept");
  });

  it("is not told from an answer that does not tell whether the advised option begins anew", () => {
    const { begins_anew: _, ...older } = repair;
    expect(fateOf(pad("repair", hold, older))).toBeNull();
    expect(fateOf(pad("hold", hold, older))).toBe("kept");
  });

  it("is open where nothing is advised", () => {
    expect(fateOf(pad(null, hold, repair))).toBe("unknown");
  });
});

describe("the order of options", () => {
  it("begins with the advised one and ends with those ruled out, as the office has them otherwise", () => {
    const ordered = inOrder(pad("repair", mat, concrete, hold, repair, rebuild));
    expect(ordered.map(({ id }) => id)).toEqual(["repair", "hold", "pulverise-and-pave", "concrete-over", "mat"]);
  });
});
