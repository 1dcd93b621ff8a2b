/** A run of shots goes on from what the walk holds. */
import { describe, expect, it } from "vitest";
import type { Shot } from "../../src/model/document";
import type { PointM } from "../../src/model/frame";
import { shotOf } from "../../src/model/levelling";
import {
  choicesOf,
  instrumentOf,
  knownHeights,
  lastOf,
  nextPoint,
  type PadShot,
  pointsWithShots,
  rodText,
} from "../../src/model/shot_run";

const GRID: PointM[] = [0, 1, 2, 3].map((i) => [i * 3, 0]);
const CHOICES = { way: "level", rod_marks: "tenths", spacing: "10 ft", start: 0 } as const;
const shot = (i: number, rod_m: number, instrument_m = 30, setUp = 1): PadShot => [
  `s${i}-${setUp}`,
  {
    ...shotOf(
      { pad: "p", point: i + 1, x: `${i * 3} m`, y: "0 m", rod: `${rod_m} m`, rod_m, instrument_m, setUp },
      "metric",
    ),
    ...CHOICES,
    order: i,
  } as Shot,
];
const blocked = (i: number): PadShot => [
  `b${i}`,
  { pad: "p", point: String(i + 1), x: `${i * 3} m`, y: "0 m", elevation: "unknown", ...CHOICES, order: i },
];

describe("where a run goes on", () => {
  it("at the first point before any reading", () => expect(nextPoint(pointsWithShots(GRID, [], "us"))).toBe(0));
  it("behind the last reading, past what was blocked", () => {
    const shots = [shot(0, 1.2), blocked(1)];
    expect(nextPoint(pointsWithShots(GRID, shots, "us"))).toBe(2);
  });
  it("at what was left out, once the end is reached; nowhere when all are taken", () => {
    const shots = [shot(0, 1.2), shot(2, 1.3), shot(3, 1.3)];
    expect(nextPoint(pointsWithShots(GRID, shots, "us"))).toBe(1);
    expect(nextPoint(pointsWithShots(GRID, [...shots, shot(1, 1.2)], "us"))).toBeNull();
  });
  it("where it was, after a point far away was tied back to", () => {
    const tie = shot(0, 1.4, 30.2, 2);
    const shots: PadShot[] = [shot(0, 1.2), shot(1, 1.3), ["tie", { ...tie[1], order: 9 }]];
    expect(nextPoint(pointsWithShots(GRID, shots, "us"))).toBe(2);
  });
  it("with what was chosen, from the height that the instrument has now", () => {
    const shots = [shot(0, 1.2), shot(1, 1.25), shot(1, 1.5, 30.25, 2)];
    expect(choicesOf(lastOf(shots)?.[1] ?? {})).toEqual(CHOICES);
    expect(instrumentOf(shots, "us")).toEqual({ height_m: 30.25, setUp: 2 });
    expect(instrumentOf([], "us")).toBeNull();
    expect(choicesOf({ pad: "p", elevation: "95 ft" })).toBeNull();
  });
});

describe("heights for the surface", () => {
  it("are the elevations that say something, in metres", () => {
    const [one, ...others] = knownHeights([shot(0, 1.2), blocked(1)], "us");
    expect(others).toEqual([]);
    expect(one?.z_m).toBeCloseTo(28.8, 9);
  });
  it("a turning point stands at the height that it had", () => {
    // Read 1.25 from 30 m; the instrument goes to 28.75 + 1.5 = 30.25, from where 1.5 is the same ground.
    const [before, after] = knownHeights([shot(1, 1.25), shot(1, 1.5, 30.25, 2)], "us");
    expect(after?.z_m).toBeCloseTo(before?.z_m ?? 0, 9);
  });
});

it("a bare reading takes the unit of the rod", () => {
  expect(rodText("4.12", "tenths")).toBe("4.12 ft");
  expect(rodText("1.256", "metric")).toBe("1.256 m");
  expect(rodText("4' 1-1/2\"", "inches")).toBe("4' 1-1/2\"");
});
