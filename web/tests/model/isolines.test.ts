import { describe, expect, test } from "vitest";
import { isolines, ROUND, stepFor } from "../../src/model/isolines";

const raster = { columns: 21, rows: 21, x0_m: -5, y0_m: -5, cell_m: 0.5 };
const field = (value: (x: number, y: number) => number) =>
  Float64Array.from({ length: 441 }, (_, node) => value(-5 + (node % 21) * 0.5, -5 + Math.floor(node / 21) * 0.5));

describe("lines of one value", () => {
  test("of a plane are straight, from side to side", () => {
    const [line, ...others] = isolines(
      raster,
      field((x, y) => 2 * x + y),
      1.3,
    );
    expect(others).toEqual([]);
    for (const [x, y] of line ?? []) expect(2 * x + y).toBeCloseTo(1.3, 9);
    expect(line?.length).toBeGreaterThan(20);
  });

  test("of a cone are a ring that closes, as far off as it is low", () => {
    const [ring, ...others] = isolines(
      raster,
      field((x, y) => 3 - Math.hypot(x, y)),
      0.2,
    );
    expect(others).toEqual([]);
    expect(ring?.at(0)).toEqual(ring?.at(-1));
    for (const [x, y] of ring ?? []) expect(Math.hypot(x, y)).toBeCloseTo(2.8, 1);
  });

  test("of a saddle are two", () => {
    expect(
      isolines(
        raster,
        field((x, y) => (x + 0.1) * (y + 0.1)),
        0.01,
      ),
    ).toHaveLength(2);
  });

  test("end where there is no value, and are none where it is not reached", () => {
    const half = field((x, y) => (x > 0 ? Number.NaN : y));
    const [line] = isolines(raster, half, 0.2);
    for (const [x] of line ?? []) expect(x).toBeLessThanOrEqual(0);
    expect(isolines(raster, half, 99)).toEqual([]);
  });
});

test("steps are round, and few enough", () => {
  expect(stepFor(0.1, 8, ROUND.metric)).toBe(0.02);
  expect(stepFor(0.1, 8, ROUND.us)).toBeCloseTo(0.0127, 9);
  expect(stepFor(1e9, 8, ROUND.us)).toBe(ROUND.us.at(-1));
});
