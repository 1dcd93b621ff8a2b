/** Notes stand on the side of what they speak of. */
import { describe, expect, it } from "vitest";
import { EMPTY, type PlanContent, type PlanMark } from "../../src/plan/content";
import { inMargins, middleOf, placeOf } from "../../src/plan/note_places";

const mark = (id: string, kind: string, at: readonly [number, number]): [string, PlanMark] => [
  id,
  { id, kind, geometry: { type: "Point", coordinates: at }, properties: {}, sizes_m: {} },
];
const CONTENT: PlanContent = {
  ...EMPTY,
  pad: {
    id: "p",
    label: "p",
    outline_m: [
      [0, 0],
      [40, 0],
      [40, 30],
      [0, 30],
    ],
  },
  marks: new Map([mark("h", "heave", [30, 20]), mark("r", "old-repair", [5, 5])]),
  pieces: [
    {
      id: "body",
      outline_m: [
        [0, 0],
        [40, 0],
        [40, 30],
      ],
      free: false,
      area_m2: 600,
    },
    {
      id: "loose",
      outline_m: [
        [0, 0],
        [3, 0],
        [3, 3],
        [0, 3],
      ],
      free: true,
      area_m2: 9,
    },
  ],
};

describe("the place of a note", () => {
  it("is that of the first thing that it speaks of and that is drawn", () => {
    expect(placeOf([{ kind: "mark", id: "h" }], CONTENT)).toEqual([30, 20]);
    expect(placeOf([{ kind: "repair", id: "r" }], CONTENT)).toEqual([5, 5]);
    expect(placeOf([{ kind: "piece", id: "loose" }], CONTENT)).toEqual([1.5, 1.5]);
    expect(
      placeOf(
        [
          { kind: "mark", id: "gone" },
          { kind: "mark", id: "h" },
        ],
        CONTENT,
      ),
    ).toEqual([30, 20]);
  });

  it("is none where a note speaks of the whole pad, or of what is not drawn", () => {
    expect(placeOf([], CONTENT)).toBeNull();
    expect(placeOf([{ kind: "mark", id: "gone" }], CONTENT)).toBeNull();
  });
});

describe("margins", () => {
  const note = (id: string, place: readonly [number, number] | null) => ({ id, place });

  it("hold each note once, on the side of its place, from the far end on", () => {
    const notes = [note("a", [5, 5]), note("b", [5, 25]), note("c", [30, 10]), note("d", null)];
    const [left, right] = inMargins(notes, middleOf(CONTENT));
    expect(left.map(({ id }) => id)).toEqual(["b", "a"]);
    expect(right.map(({ id }) => id)).toEqual(["c", "d"]);
  });

  it("are about as long as each other", () => {
    const notes = Array.from({ length: 9 }, (_, i) => note(String(i), [1, i]));
    const [left, right] = inMargins(notes, 20);
    expect(left.length + right.length).toBe(9);
    expect(Math.abs(left.length - right.length)).toBeLessThanOrEqual(3);
  });
});
