import { describe, expect, it } from "vitest";
import type { PlanContent } from "../../src/plan/content";
import { Nearby } from "../../src/plan/nearby";
import { caught } from "../../src/plan/snapping";
import { line, mark, tennis } from "./specimens";

const FOOT = 0.3048;
/** Two centimetres a pixel: a point reaches 28 cm, a line 18 cm. */
const NEAR = 0.02;

function around(content: PlanContent) {
  const nearby = new Nearby();
  nearby.take(content.marks);
  return { content, nearby };
}

describe("a point that is drawn", () => {
  it("is caught by a corner of the lines before the lines that meet there", () => {
    const corner = [20 + 18 * FOOT, 15 + 39 * FOOT] as const;
    const found = caught([corner[0] - 0.1, corner[1] - 0.1], NEAR, around(tennis()));
    expect(found?.by).toBe("corner");
    expect(found?.at[0]).toBeCloseTo(corner[0], 3);
    expect(found?.at[1]).toBeCloseTo(corner[1], 3);
  });

  it("is caught by a painted line, a side of the pad and a corner of it", () => {
    expect(caught([20.1, 15 + 3], NEAR, around(tennis()))?.by).toBe("line");
    expect(caught([10, 0.1], NEAR, around(tennis()))).toEqual({ at: [10, 0], by: "pad" });
    expect(caught([0.2, 0.1], NEAR, around(tennis()))).toEqual({ at: [0, 0], by: "pad" });
  });

  it("is caught by the end of a mark, or by the mark along its way", () => {
    const content = tennis(mark("m", "crack", line([2, 2], [6, 2])));
    expect(caught([5.9, 2.1], NEAR, around(content))).toEqual({ at: [6, 2], by: "end" });
    expect(caught([4, 2.1], NEAR, around(content))).toEqual({ at: [4, 2], by: "mark" });
  });

  it("is not caught by the mark that it belongs to", () => {
    const content = tennis(mark("m", "crack", line([2, 2], [6, 2])));
    expect(caught([4, 2.1], NEAR, { ...around(content), without: "m" })).toBeNull();
  });

  it("stays where it is far from everything", () => {
    expect(caught([3, 7], NEAR, around(tennis()))).toBeNull();
  });

  it("is not pulled farther than a step on a small drawing", () => {
    // 0.2 m a pixel: fourteen pixels would be 2.8 m.
    expect(caught([1, 1], 0.2, around(tennis()))).toBeNull();
  });

  it("closes an area where it began", () => {
    expect(caught([3.1, 7], NEAR, { ...around(tennis()), start: [3, 7] })).toEqual({ at: [3, 7], by: "start" });
  });
});

describe("marks near a place", () => {
  it("are found by distance and follow what changes", () => {
    const [a, b] = [mark("a", "crack", line([2, 2], [6, 2])), mark("b", "crack", line([2, 3], [30, 3]))];
    const nearby = new Nearby();
    nearby.take(
      new Map([
        ["a", a],
        ["b", b],
      ]),
    );
    expect(nearby.near([4, 2.2], 1).map(({ mark: { id } }) => id)).toEqual(["a", "b"]);
    const moved = mark("a", "crack", line([2, 12], [6, 12]));
    nearby.take(
      new Map([
        ["a", moved],
        ["b", b],
      ]),
    );
    expect(nearby.near([4, 2.2], 1).map(({ mark: { id } }) => id)).toEqual(["b"]);
    expect(nearby.near([4, 12.5], 1)[0]?.mark).toBe(moved);
  });
});
