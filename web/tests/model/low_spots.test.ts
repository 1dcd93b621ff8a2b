/** The preview finds the low spots that the office's copy of it finds, and finds them at once. */
import { describe, expect, it } from "vitest";
import spec from "../../../spec/cases/low_spots.json";
import type { PointM } from "../../src/model/frame";
import { areaOf, closed } from "../../src/model/geometry";
import { lowSpots, MOST_SHOTS, SHOT_REACH_M, WATER_TEST_M } from "../../src/model/low_spots";
import type { Height } from "../../src/model/surface";

const heights = (shots: readonly number[][]): Height[] =>
  shots.map(([x = 0, y = 0, z = 0]) => ({ x_m: x, y_m: y, z_m: z }));
const box = (x: number, y: number): PointM[] => [
  [0, 0],
  [x, 0],
  [x, y],
  [0, y],
];
const grid = (x: number, y: number, step: number, z: (x: number, y: number) => number) => {
  const shots: Height[] = [];
  for (let i = 0; i * step <= x + 1e-9; i++)
    for (let j = 0; j * step <= y + 1e-9; j++) shots.push({ x_m: i * step, y_m: j * step, z_m: z(i * step, j * step) });
  return shots;
};

describe("the cases that the office's copy passes", () => {
  it("has its constants", () => {
    expect([WATER_TEST_M, SHOT_REACH_M, MOST_SHOTS]).toEqual([
      spec.settings.water_test_m,
      spec.settings.shot_reach_m,
      spec.settings.most_shots,
    ]);
  });

  it.each(spec.cases.map((one) => [one.name, one] as const))("%s", (_, one) => {
    const found = lowSpots(heights(one.shots_m), one.outline_m as unknown as PointM[]);
    if (one.low_spots === null) {
      expect(found).toBeNull();
      return;
    }
    expect(found).toHaveLength(one.low_spots.length);
    for (const [i, expected] of one.low_spots.entries()) {
      const spot = found?.[i];
      const off = (is: number | undefined, wanted: number) => Math.abs((is ?? Number.NaN) - wanted);
      expect(off(spot?.at_m[0], expected.at_m[0] as number)).toBeLessThanOrEqual(spec.tolerance.at_m);
      expect(off(spot?.at_m[1], expected.at_m[1] as number)).toBeLessThanOrEqual(spec.tolerance.at_m);
      expect(off(spot?.depth_m, expected.depth_m)).toBeLessThanOrEqual(spec.tolerance.depth_m);
      expect(off(spot?.area_m2, expected.area_m2)).toBeLessThanOrEqual(spec.tolerance.area_m2);
      expect(off((spot?.volume_m3 ?? 0) * 1000, expected.volume_l)).toBeLessThanOrEqual(spec.tolerance.volume_l);
    }
  });
});

describe("what holds for any shots", () => {
  it("a plane holds no water, however it falls", () => {
    let seed = 7;
    const random = () => {
      seed = (seed * 48271) % 2147483647;
      return seed / 2147483647;
    };
    for (let round = 0; round < 12; round++) {
      const [a, b, z] = [random() * 0.04 - 0.02, random() * 0.04 - 0.02, random() * 100];
      const shots = Array.from({ length: 30 }, () => [random() * 18, random() * 12] as const);
      const found = lowSpots(
        shots.map(([x, y]) => ({ x_m: x, y_m: y, z_m: z + a * x + b * y })),
        box(18, 12),
      );
      expect(found).toEqual([]);
    }
  });

  it("does not change when all heights change alike, nor with the order of the shots", () => {
    const shots = grid(9, 9, 1.5, (x, y) => -0.02 * Math.exp(-((x - 4.5) ** 2 + (y - 6) ** 2) / 3));
    const [spot] = lowSpots(shots, box(9, 9)) ?? [];
    const lifted = shots.map((shot) => ({ ...shot, z_m: shot.z_m + 30 })).reverse();
    const [again] = lowSpots(lifted, box(9, 9)) ?? [];
    expect(spot?.depth_m).toBeGreaterThan(0.015);
    expect(again?.depth_m).toBeCloseTo(spot?.depth_m ?? 0, 9);
    expect(again?.at_m).toEqual(spot?.at_m);
  });

  it("draws the shore about the wet nodes and a contour for each step of depth", () => {
    const shots = grid(9, 9, 1.5, (x, y) => -0.02 * Math.exp(-((x - 4.5) ** 2 + (y - 6) ** 2) / 3));
    const [spot] = lowSpots(shots, box(9, 9)) ?? [];
    const area = areaOf(closed(spot?.outline_m ?? []));
    expect(Math.abs(area - (spot?.area_m2 ?? 0))).toBeLessThan(0.15 * area);
    expect(spot?.contours.length).toBe(Math.floor((spot?.depth_m ?? 0) / 0.003175));
    const inside = spot?.contours.map((one) => areaOf(closed(one.lines_m[0] ?? []))) ?? [];
    expect([area, ...inside]).toEqual([area, ...inside].toSorted((one, other) => other - one));
  });
});

it("reckons 200 shots on a pad of 60 by 120 ft in less than 50 ms", () => {
  const [x, y] = [60 * 0.3048, 120 * 0.3048];
  const wavy = (u: number, v: number) => 100 - 0.003 * v + 0.02 * Math.sin(u) * Math.cos(v / 2);
  const shots: Height[] = Array.from({ length: 200 }, (_, i) => {
    const [u, v] = [((i % 10) / 9) * x, (Math.floor(i / 10) / 19) * y];
    return { x_m: u, y_m: v, z_m: wavy(u, v) };
  });
  const times = Array.from({ length: 7 }, () => {
    const start = performance.now();
    expect(lowSpots(shots, box(x, y))?.length).toBeGreaterThan(0);
    return performance.now() - start;
  });
  const fastest = Math.min(...times);
  expect(fastest, "milliseconds").toBeLessThan(50);
});
