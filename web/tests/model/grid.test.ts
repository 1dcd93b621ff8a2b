/** The grid of shots covers the pad, keeps its edges and net lines, and is walked without going back and forth. */
import { describe, expect, it } from "vitest";
import { type CourtAt, courtCorners, middleLine, onPadFrame, padCorners } from "../../src/model/corners";
import type { PointM } from "../../src/model/frame";
import { closed, contains, distance } from "../../src/model/geometry";
import { shotGrid } from "../../src/model/grid";
import { sides } from "../../src/model/shapes";

const FOOT = 0.3048;
const SINGLE: PointM[] = [
  [0, 0],
  [60 * FOOT, 0],
  [60 * FOOT, 120 * FOOT],
  [0, 120 * FOOT],
];
const TENNIS: CourtAt = {
  id: "t",
  label: "1",
  sport: "tennis",
  centre_m: [30 * FOOT, 60 * FOOT],
  turned_deg: 0,
};
const turned = (points: readonly PointM[], degrees: number, dx: number, dy: number): PointM[] => {
  const turn = (degrees * Math.PI) / 180;
  return points.map(([x, y]) => [
    x * Math.cos(turn) + y * Math.sin(turn) + dx,
    y * Math.cos(turn) - x * Math.sin(turn) + dy,
  ]);
};
const way = (points: readonly PointM[]) => sides(points).reduce((sum, [p, q]) => sum + distance(p, q), 0);

describe("the grid of a single court of 60 by 120 ft", () => {
  const grid = shotGrid(SINGLE, [TENNIS], 10 * FOOT, [0, 0]);

  it("has 7 by 13 points", () => expect(grid).toHaveLength(91));
  it("lies on the pad, to its corners", () => {
    for (const point of grid) expect(contains(SINGLE, point)).toBe(true);
    for (const corner of SINGLE) expect(Math.min(...grid.map((point) => distance(point, corner)))).toBeLessThan(0.15);
  });
  it("has the net line", () => {
    expect(grid.filter(([, y]) => Math.abs(y - 60 * FOOT) < 1e-6)).toHaveLength(7);
  });
  it("begins at the corner and goes up one lane and down the next", () => {
    expect(distance(grid[0] as PointM, [0, 0])).toBeLessThan(0.15);
    // Each step goes to a neighbour: 90 steps, none longer than a spacing and a little.
    for (const [from, to] of sides(grid)) expect(distance(from, to)).toBeLessThan(10.1 * FOOT);
    // Along the longer side there are only 6 turns: x changes 6 times.
    expect(sides(grid).filter(([from, to]) => Math.abs(from[0] - to[0]) > 0.01)).toHaveLength(6);
  });
});

describe("any pad", () => {
  it("begins nearest to each corner that is named", () => {
    for (const corner of SINGLE) {
      const [first] = shotGrid(SINGLE, [TENNIS], 15 * FOOT, corner);
      expect(distance(first as PointM, corner)).toBeLessThan(0.15);
    }
  });

  it("is the same pad when it is turned and moved", () => {
    const before = shotGrid(SINGLE, [TENNIS], 12 * FOOT, [0, 0]);
    const [centre] = turned([TENNIS.centre_m], 31, 200, -50) as [PointM];
    const court = { ...TENNIS, centre_m: centre, turned_deg: 31 };
    const [corner] = turned([[0, 0]], 31, 200, -50) as [PointM];
    const after = shotGrid(turned(SINGLE, 31, 200, -50), [court], 12 * FOOT, corner);
    const moved = turned(before, 31, 200, -50);
    expect(after).toHaveLength(before.length);
    for (const [i, point] of after.entries()) expect(distance(point, moved[i] as PointM)).toBeLessThan(1e-6);
  });

  it("keeps to the slab where a corner is out, and shoots every corner", () => {
    const pad: PointM[] = [
      [0, 0],
      [30, 0],
      [30, 14],
      [17, 14],
      [17, 26],
      [0, 26],
    ];
    const grid = shotGrid(pad, [], 3, [0, 0]);
    for (const point of grid) expect(contains(pad, point)).toBe(true);
    for (const corner of pad)
      expect(Math.min(...grid.map((point) => distance(point, corner)))).toBeLessThan(0.35 * 3 + 0.2);
    expect(new Set(grid.map(String)).size).toBe(grid.length);
    expect(way(grid)).toBeLessThan(1.35 * 3 * grid.length);
  });

  it("moves a line to a net line that lies beside it, and adds one where none is near", () => {
    const court = { ...TENNIS, centre_m: [30 * FOOT, 62 * FOOT] as PointM };
    const grid = shotGrid(SINGLE, [court], 10 * FOOT, [0, 0]);
    expect(grid).toHaveLength(91);
    expect(grid.filter(([, y]) => Math.abs(y - 62 * FOOT) < 1e-6)).toHaveLength(7);
    const between = shotGrid(SINGLE, [{ ...court, centre_m: [30 * FOOT, 65 * FOOT] }], 10 * FOOT, [0, 0]);
    expect(between).toHaveLength(98);
  });

  it("proposes nothing without an outline, a spacing, or with far too many points", () => {
    expect(
      shotGrid(
        [
          [0, 0],
          [1, 1],
        ],
        [],
        3,
        [0, 0],
      ),
    ).toEqual([]);
    expect(shotGrid(SINGLE, [], 0, [0, 0])).toEqual([]);
    expect(shotGrid(SINGLE, [], 0.3, [0, 0])).toEqual([]);
  });
});

describe("named places", () => {
  it("calls the corners of a pad by where they lie", () => {
    expect(padCorners(SINGLE).map(({ label }) => label.en)).toEqual([
      "near left corner of the pad",
      "near right corner of the pad",
      "far right corner of the pad",
      "far left corner of the pad",
    ]);
    const odd = padCorners([
      [0, 0],
      [30, 0],
      [30, 14],
      [17, 14],
      [17, 26],
      [0, 26],
    ]).map(({ label }) => label.en);
    expect(new Set(odd).size).toBe(6);
  });

  it("puts a court's corners where its lines are, turned clockwise", () => {
    const corners = courtCorners({ ...TENNIS, centre_m: [0, 0], turned_deg: 90 }, true);
    const near = corners.find(({ id }) => id === "t-near-left-doubles-corner");
    // The near left corner is at (-5.4864, -11.8872); turned clockwise by 90° it is at (y, -x).
    expect(near?.at_m[0]).toBeCloseTo(-11.887, 2);
    expect(near?.at_m[1]).toBeCloseTo(5.486, 2);
    expect(near?.label.es).toBe("esquina de dobles cercana izquierda");
    expect(courtCorners(TENNIS, false)[0]?.label.en).toMatch(/^1, /);
    expect(onPadFrame(TENNIS, [0, 0])).toEqual(TENNIS.centre_m);
  });

  it("finds the net, or the line that halves a court without one", () => {
    expect(middleLine(TENNIS)?.[0][1]).toBeCloseTo(60 * FOOT, 9);
    expect(middleLine({ ...TENNIS, sport: "basketball" })?.[1][1]).toBeCloseTo(60 * FOOT, 9);
    expect(middleLine({ ...TENNIS, sport: "boules" })).toBeNull();
  });
});

it("walks every point once", () => {
  const grid = shotGrid(SINGLE, [TENNIS], 5 * FOOT, [60 * FOOT, 120 * FOOT]);
  expect(new Set(grid.map(([x, y]) => `${x.toFixed(6)} ${y.toFixed(6)}`)).size).toBe(grid.length);
  expect(closed(grid).length).toBe(grid.length + 1);
});
