import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { leastFolded } from "../../src/model/regrade/folds";
import { type Ground, groundOf, type Held, heightAt, type MapsPad } from "../../src/model/regrade/ground";
import { canBeTouched } from "../../src/model/regrade/highest";
import { leastUnder } from "../../src/model/regrade/lp";
import { leastPlane, type Plane, planeAt } from "../../src/model/regrade/plane";
import { fallOf, regraded } from "../../src/model/regrade/surface";

type Amounts = Readonly<Record<string, number>>;
interface Case {
  readonly case: string;
  readonly ground: string;
  readonly least_m: number;
  readonly slope_min: number;
  readonly slope_max: number;
  readonly held: readonly { x: number; y: number; low: number | null; high: number | null }[];
  readonly strips: { across: [number, number]; folds: number[]; courts: string[][] } | null;
  readonly is: Amounts | null;
}
const spec = JSON.parse(readFileSync(join(__dirname, "../../../spec/cases/regrade.json"), "utf8")) as {
  tolerance: Amounts;
  grounds: Record<string, Record<"x_m" | "y_m" | "z_m" | "area_m2", number[]>>;
  cases: Case[];
};

function groundNamed(name: string): Ground {
  const told = spec.grounds[name];
  if (told === undefined) throw new Error(name);
  const [x, y, z, area] = [told.x_m, told.y_m, told.z_m, told.area_m2].map((one) => Float64Array.from(one)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const whole = area.reduce((sum, one) => sum + one, 0);
  const mean = (along: Float64Array) => along.reduce((sum, one, i) => sum + one * (area[i] as number), 0) / whole;
  const raster = { columns: 1, rows: 1, x0_m: 0, y0_m: 0, cell_m: 1 };
  return {
    ...{ home: [0, 0], x, y, z, area, wholeArea: whole, middle: [mean(x), mean(y)], nodes: x.length, raster },
    onRaster: new Int32Array(),
  };
}

const heldIn = (one: Case): Held[] =>
  one.held.map(({ x, y, low, high }) => ({ kind: "gate", x, y, low: low ?? -Infinity, high: high ?? Infinity }));

function amounts(one: Case): Amounts | null {
  const ground = groundNamed(one.ground);
  const { x, y, z, area } = ground;
  const volume = (planes: readonly Plane[], least: number) =>
    x.reduce((sum, place, i) => {
      const above = Math.min(...planes.map((plane) => planeAt(plane, place, y[i] as number))) - (z[i] as number);
      return sum + (area[i] as number) * Math.max(above, least);
    }, 0);
  if (one.strips !== null) {
    const planes = leastFolded(ground, one.strips, one.least_m, one.slope_min, one.slope_max, heldIn(one));
    return planes && { volume_m3: volume(planes, -Infinity) };
  }
  const found = leastPlane(ground, one.least_m, one.slope_min, one.slope_max, heldIn(one));
  if ("miss" in found) return { miss_m: found.miss };
  const laid = volume([found.plane], one.least_m);
  const cut = found.milled > 0 ? laid - volume([found.plane], -Infinity) : 0;
  const slope = fallOf(found.plane).slope_pct / 100;
  return { volume_m3: laid, cut_m3: cut, milled_m: found.milled, slope };
}

describe("the surface of least asphalt is the office's", () => {
  test.each(spec.cases)("$case", (one) => {
    const got = amounts(one);
    if (one.is === null) expect(got).toBeNull();
    else {
      expect(Object.keys(got ?? {}).sort()).toEqual(Object.keys(one.is).sort());
      for (const [name, value] of Object.entries(one.is))
        expect(Math.abs((got?.[name] as number) - value), name).toBeLessThanOrEqual(spec.tolerance[name] as number);
    }
  });
});

describe("a small linear programme", () => {
  test("finds the corner, and tells where there is none", () => {
    // The triangle x ≥ 0, y ≥ 0, x + y ≤ 1: least of -x - 2y at (0, 1).
    const triangle = [
      { a: [-1, 0], b: 0 },
      { a: [0, -1], b: 0 },
      { a: [1, 1], b: 1 },
    ];
    expect(leastUnder([-1, -2], triangle, 100)).toEqual([0, 1]);
    expect(leastUnder([1, 1], triangle, 100)?.map((one) => one + 0)).toEqual([0, 0]);
    expect(leastUnder([1, 1], [...triangle, { a: [1, 1], b: -1 }], 100)).toBeNull();
  });

  test("comes to an end where many limits meet in one corner", () => {
    const round = Array.from({ length: 200 }, (_, i) => {
      const turn = (i * 2 * Math.PI) / 200;
      return { a: [-1, Math.cos(turn), Math.sin(turn)], b: 0 };
    });
    const found = leastUnder([1, 0, 0], round, 100) as number[];
    expect(Math.hypot(...found)).toBeLessThan(1e-9);
  });
});

describe("heights as the office tells them", () => {
  const pad: Pick<MapsPad, "heights" | "edge"> = {
    heights: {
      ...{ x0_m: 1, y0_m: 2, cell_m: 0.5, rows: 2, cols: 3, base_m: 30, step_mm: 0.01, area_m2: 0.25 },
      runs: [
        { row: 0, col: 0, bends: "100 10 5" },
        { row: 1, col: 1, bends: "0 7" },
      ],
      ...{ cut_nodes: "0 4", cut_mm2: "125000 62500" },
    },
    edge: { x_steps: "100000", y_steps: "200000", z_steps: "50" },
  };

  test("are read run by run, the edge after them", () => {
    const ground = groundOf(pad) as Ground;
    // 100; 100 + 10; 110 + 15 steps of 0.01 mm; then 0 and 7; the edge 50.
    expect([...ground.z].map((z) => Math.round((z - 30) * 1e5))).toEqual([100, 110, 125, 0, 7, 50]);
    expect([...ground.x].map((x) => x + ground.home[0])).toEqual([1, 1.5, 2, 1.5, 2, 1]);
    expect([...ground.y].map((y) => y + ground.home[1])).toEqual([2, 2, 2, 2.5, 2.5, 2]);
    expect([...ground.area]).toEqual([0.125, 0.25, 0.25, 0.25, 0.0625, 0]);
    expect(ground.nodes).toBe(5);
  });

  test("are told between nodes, and not where a node has none", () => {
    const ground = groundOf(pad) as Ground;
    expect(heightAt(ground, [1.75, 2])).toBeCloseTo(30 + 117.5e-5, 9);
    expect(heightAt(ground, [1, 2.5])).toBeNull();
  });

  test("are null for a pad that nobody shot", () => expect(groundOf({ heights: null, edge: null })).toBeNull());
});

test("what no plane can touch is left out, and nothing else", () => {
  const { columns, rows } = { columns: 17, rows: 13 };
  const bumps = Array.from({ length: columns * rows }, (_, i) => Math.round(5e3 * Math.sin(i * i)));
  const runs = Array.from({ length: rows }, (_, row) => {
    const [, ...line] = [0, ...bumps.slice(row * columns, (row + 1) * columns)];
    const changes = line.map((one, i) => (i === 0 ? one : one - (line[i - 1] as number)));
    const bends = changes.map((one, i) => (i < 2 ? one : one - (changes[i - 1] as number)));
    return { row, col: 0, bends: bends.join(" ") };
  });
  const grid = { x0_m: 0, y0_m: 0, cell_m: 0.5, rows, cols: columns, base_m: 30, step_mm: 0.01, area_m2: 0.25 };
  const ground = groundOf({
    heights: { ...grid, runs, cut_nodes: "", cut_mm2: "" },
    edge: { x_steps: "0", y_steps: "0", z_steps: "0" },
  }) as Ground;
  const strip = Uint8Array.from(ground.x, (x) => (x > 0.1 ? 1 : 0));
  for (const part of [undefined, strip]) {
    const some = canBeTouched(ground, part);
    expect(some.length).toBeLessThan(ground.x.length / 2);
    for (let turn = 0; turn < 60; turn++)
      for (const of of part === undefined ? [0] : [0, 1]) {
        const [gx, gy] = [0.003 * turn * Math.cos(turn), 0.003 * turn * Math.sin(turn)];
        const seen = (i: number) =>
          (part?.[i] ?? 0) === of
            ? (ground.z[i] as number) - gx * (ground.x[i] as number) - gy * (ground.y[i] as number)
            : -Infinity;
        const highest = Math.max(...[...ground.x.keys()].map(seen));
        expect(Math.max(...[...some].map(seen))).toBeCloseTo(highest, 12);
      }
  }
});

test("without folds one plane stands, and that is said", () => {
  const asked = { slope_min_pct: 0.5, slope_max_pct: 1.2, least_mm: 40, layout: "courts" as const };
  const found = regraded(groundNamed("A"), null, asked, [], 2.35);
  expect(found.said).toBe("no-folds");
  expect(found.surface?.parts).toHaveLength(1);
  expect(found.surface?.mass).toBeCloseTo((found.surface?.volume ?? 0) * 2.35, 9);
});
