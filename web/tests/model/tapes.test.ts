/** A point by tapes is where it was taped from. */
import { describe, expect, it } from "vitest";
import type { PointM } from "../../src/model/frame";
import { distance } from "../../src/model/geometry";
import { byTapes, type Tape } from "../../src/model/tapes";

const tape = (x: number, y: number, length_m: number): Tape => ({ from_m: [x, y], length_m });
/** The same numbers in every run (Lehmer, 1951). */
function numbers(seed: number): () => number {
  let now = seed;
  return () => {
    now = (now * 48271) % 2147483647;
    return now / 2147483647;
  };
}

describe("two tapes", () => {
  it("3-4-5 from two corners 5 apart gives a point on either side, the left one first", () => {
    // Along 3²/5 = 1.8, across 3·4/5 = 2.4.
    const met = byTapes([tape(0, 0, 3), tape(5, 0, 4)]);
    expect(met.found).toBe("points");
    const points = met.found === "points" ? met.points_m : [];
    expect(points[0]?.[0]).toBeCloseTo(1.8, 12);
    expect(points[0]?.[1]).toBeCloseTo(2.4, 12);
    expect(points[1]?.[1]).toBeCloseTo(-2.4, 12);
  });

  it("finds the point it was taped to, wherever the corners lie", () => {
    const random = numbers(11);
    for (let round = 0; round < 300; round++) {
      const place = (): PointM => [random() * 40 - 20, random() * 40 - 20];
      const [point, a, b] = [place(), place(), place()];
      if (distance(a, b) < 0.5) continue;
      const met = byTapes([a, b].map((from_m) => ({ from_m, length_m: distance(from_m, point) })));
      const points = met.found === "points" ? met.points_m : [];
      expect(Math.min(...points.map((one) => distance(one, point)))).toBeLessThan(0.01);
    }
  });

  it("gives one point where the tapes just meet", () => {
    expect(byTapes([tape(0, 0, 3), tape(5, 0, 2)])).toEqual({ found: "points", points_m: [[3, 0]] });
  });

  it("tells by how much tapes do not meet, too short or one past the other", () => {
    expect(byTapes([tape(0, 0, 2), tape(5, 0, 2.5)])).toEqual({ found: "apart", gap_m: 0.5, isShort: true });
    expect(byTapes([tape(0, 0, 9), tape(5, 0, 3)])).toEqual({ found: "apart", gap_m: 1, isShort: false });
  });

  it("finds nothing with one tape, or two from one corner", () => {
    expect(byTapes([tape(0, 0, 2)]).found).toBe("nothing");
    expect(byTapes([tape(0, 0, 2), tape(0, 0, 3)]).found).toBe("nothing");
  });
});

describe("three tapes and more", () => {
  it("find the point, with nothing left over, when they are exact", () => {
    const random = numbers(5);
    for (let round = 0; round < 100; round++) {
      const point: PointM = [random() * 18, random() * 36];
      const corners: PointM[] = [
        [0, 0],
        [18, 0],
        [18, 36],
      ];
      const met = byTapes(corners.map((from_m) => ({ from_m, length_m: distance(from_m, point) })));
      expect(met.found).toBe("best");
      if (met.found !== "best") continue;
      expect(distance(met.point_m, point)).toBeLessThan(1e-6);
      for (const off of met.off_m) expect(Math.abs(off)).toBeLessThan(1e-6);
    }
  });

  it("share out what one tape is off", () => {
    const point: PointM = [6, 8];
    const corners: PointM[] = [
      [0, 0],
      [18, 0],
      [18, 36],
      [0, 36],
    ];
    const met = byTapes(
      corners.map((from_m, i) => ({ from_m, length_m: distance(from_m, point) + (i === 0 ? 0.3 : 0) })),
    );
    if (met.found !== "best") throw new Error(met.found);
    const [first = 0, ...others] = met.off_m;
    expect(first).toBeGreaterThan(0.05);
    expect(others.reduce((sum, off) => sum + off ** 2, first ** 2)).toBeLessThan(0.3 ** 2);
  });

  it("find a best place even when no two meet", () => {
    const met = byTapes([tape(0, 0, 1), tape(10, 0, 1), tape(5, 8, 1)]);
    if (met.found !== "best") throw new Error(met.found);
    // By symmetry on x = 5; every tape is too short.
    expect(met.point_m[0]).toBeCloseTo(5, 6);
    for (const off of met.off_m) expect(off).toBeLessThan(0);
  });
});
