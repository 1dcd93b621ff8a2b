/** Taps lie along the repair, a step apart, and say how far it sounds hollow. */
import { describe, expect, it } from "vitest";
import type { PointM } from "../../src/model/frame";
import { distance } from "../../src/model/geometry";
import { alongOf, heardSoFar, lineOf, placeAlong, stepSoFar, stepsOf, type Tap } from "../../src/model/soundings";

const BENT: PointM[] = [
  [0, 0],
  [3, 0],
  [3, 4],
];
const tap = (along_m: number, heard: Tap["heard"]): Tap => ({ id: String(along_m), along_m, heard });

describe("the line of a repair", () => {
  it("is its own, or the middle of a patch along the longer way", () => {
    expect(lineOf({ type: "LineString", coordinates: BENT })).toBe(BENT);
    const patch: PointM[] = [
      [1, 1],
      [9, 1],
      [9, 3],
      [1, 3],
    ];
    expect(lineOf({ type: "Polygon", coordinates: [patch] })).toEqual([
      [1, 2],
      [9, 2],
    ]);
    expect(lineOf({ type: "Point", coordinates: [0, 0] })).toEqual([]);
  });
  it("leads from along to place and back", () => {
    for (let along = 0; along <= 7; along += 0.5) expect(alongOf(BENT, placeAlong(BENT, along))).toBeCloseTo(along, 9);
    expect(placeAlong(BENT, 5)).toEqual([3, 2]);
    expect(alongOf(BENT, [0, 2])).toBeNull();
  });
});

describe("the steps", () => {
  it("share the length out evenly, each tap in the middle of its step", () => {
    const steps = stepsOf(BENT, 1, []);
    expect(steps).toHaveLength(7);
    expect(steps[0]?.along_m).toBeCloseTo(0.5, 12);
    for (const [i, step] of steps.slice(1).entries())
      expect(step.along_m - (steps[i]?.along_m ?? 0)).toBeCloseTo(1, 12);
    expect(distance(steps[3]?.at_m ?? [9, 9], [3, 0.5])).toBeLessThan(1e-12);
  });
  it("find the taps that were made, and the step that was chosen", () => {
    const taps = [tap(0.5, "solid"), tap(1.5, "hollow")];
    expect(stepsOf(BENT, 1, taps).findIndex((step) => step.tap === undefined)).toBe(2);
    expect(stepSoFar(taps)).toBeCloseTo(1, 12);
    expect(stepSoFar(taps.slice(1))).toBeNull();
  });
  it("are none where there is no line", () => {
    expect(stepsOf([], 1, [])).toEqual([]);
    expect(stepsOf(BENT, 0, [])).toEqual([]);
  });
});

describe("what was heard", () => {
  it("is a share of the taps that told, and stretches of half a step about each hollow one", () => {
    const heard = heardSoFar(
      [tap(0.5, "hollow"), tap(1.5, "hollow"), tap(2.5, "solid"), tap(3.5, "unknown"), tap(6.5, "hollow")],
      7,
      1,
    );
    expect(heard).toEqual({
      taps: 5,
      told: 4,
      hollow: 3,
      stretches_m: [
        [0, 2],
        [6, 7],
      ],
    });
  });
  it("says nothing of what is not tapped yet", () => {
    expect(heardSoFar([tap(0.5, "solid"), tap(1.5, "hollow")], 7, 1).stretches_m).toEqual([[1, 2]]);
  });
  it("is nothing before the first tap", () => {
    expect(heardSoFar([], 7, 1)).toEqual({ taps: 0, told: 0, hollow: 0, stretches_m: [] });
  });
});
