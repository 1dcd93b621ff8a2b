import { describe, expect, test } from "vitest";
import { bindingOf } from "../../src/model/regrade/binding";
import type { Ground } from "../../src/model/regrade/ground";
import { regraded, type Surface } from "../../src/model/regrade/surface";
import { EMPTY } from "../../src/plan/content";
import { heightsOf, surfaceOf, withDepths } from "../../src/plan/from_maps";
import { keyOf } from "../../src/plan/key";
import { told } from "../../src/plan/told";

const [COLUMNS, ROWS, CELL] = [41, 31, 0.5];

/** A pad of 20 by 15 m. */
function padOf(height: (x: number, y: number) => number): Ground {
  const nodes = COLUMNS * ROWS;
  const place = (i: number) => [(i % COLUMNS) * CELL, Math.floor(i / COLUMNS) * CELL] as const;
  const all = Float64Array.from({ length: nodes }, (_, i) => i);
  return {
    home: [0, 0],
    x: all.map((i) => place(i)[0]),
    y: all.map((i) => place(i)[1]),
    z: all.map((i) => height(...place(i))),
    area: all.map(() => CELL * CELL),
    wholeArea: nodes * CELL * CELL,
    middle: [10, 7.5],
    nodes,
    raster: { columns: COLUMNS, rows: ROWS, x0_m: 0, y0_m: 0, cell_m: CELL },
    onRaster: Int32Array.from({ length: nodes }, (_, i) => i),
  };
}

const asked = { slope_min_pct: 0.5, slope_max_pct: 2, least_mm: 40, layout: "one" as const };

describe("lines of equal height", () => {
  test("of a plane are told over its lowest place, in steps that are round for the reader", () => {
    // 0.2 m from side to side: lines every 20 mm, and every inch.
    const lines = heightsOf(
      padOf((x) => 30 + x / 100),
      "metric",
    );
    expect(lines.map(({ value_m }) => Math.round(value_m * 1000))).toEqual([20, 40, 60, 80, 100, 120, 140, 160, 180]);
    for (const { value_m, lines_m } of lines) for (const [x] of lines_m.flat()) expect(x).toBeCloseTo(value_m * 100, 6);
    expect(
      heightsOf(
        padOf((x) => 30 + x / 100),
        "us",
      )[0]?.value_m,
    ).toBeCloseTo(0.0254, 9);
  });
});

describe("a low spot", () => {
  // A bowl of 2 m about (8, 6), 20 mm deep.
  const ground = padOf((x, y) => 30 + Math.min(0, 0.005 * ((x - 8) ** 2 + (y - 6) ** 2) - 0.02));
  const outline_m = Array.from({ length: 24 }, (_, i): [number, number] => {
    const turn = (i * Math.PI) / 12;
    return [8 + 2.2 * Math.cos(turn), 6 + 2.2 * Math.sin(turn)];
  });
  const content = { ...EMPTY, lowSpots: [{ id: "low-spot-1", outline_m, depth_mm: 20, likelihood: 0.72 }] };

  test("has its depth where it is deepest, and lines of equal depth round it", () => {
    const [spot] = withDepths(content, ground, "metric").lowSpots ?? [];
    expect(spot?.deepest_m).toEqual([8, 6]);
    expect(spot?.contours?.map(({ depth_mm }) => Math.round(depth_mm))).toEqual([5, 10, 15]);
    // 10 mm under the level: 0.005 r² = 0.01, so 1.41 m off.
    for (const [x, y] of spot?.contours?.[1]?.lines_m.flat() ?? [])
      expect(Math.hypot(x - 8, y - 6)).toBeCloseTo(Math.SQRT2, 1);
  });

  test("tells in words how likely it is", () => {
    expect(told(content, { language: "en", units: "metric" })[0]?.text).toContain("there 7 times in 10");
  });
});

describe("a new surface", () => {
  const ground = padOf((x, y) => 30 + x / 100 + (Math.hypot(x - 12, y - 9) < 0.4 ? 0.03 : 0));
  const found = (height?: number): Surface => {
    const held = height === undefined ? [] : [{ kind: "gate" as const, x: 0, y: 0, low: height, high: height }];
    const { surface } = regraded(ground, null, asked, held, 2.35);
    if (surface === null) throw new Error("no surface");
    return surface;
  };
  const key = (surface: Surface) =>
    keyOf({ ...EMPTY, surface: surfaceOf(ground, surface, 0.04, "metric").surface }).map(({ text }) => text);

  test("is filled where it lies over the old one, with lines of equal thickness", () => {
    const { surface, slopes } = surfaceOf(ground, found(), 0.04, "metric");
    expect(surface.over_m.every((over) => over >= 0.04 - 1e-9)).toBe(true);
    expect([surface.zero_m, surface.milled_m, surface.deepest]).toEqual([[], [], undefined]);
    expect(surface.thickness.length).toBeGreaterThan(1);
    expect(slopes.map(({ slope_pct }) => slope_pct > 0.5)).toEqual([true]);
    expect(key(found())).toEqual(["keyFill", "keyThickness"]);
  });

  test("cuts into the old one where what is fixed keeps it low, with the edge of what is milled", () => {
    const low = found(29.97);
    const { surface } = surfaceOf(ground, low, 0.04, "metric");
    expect(low.milled).toBeGreaterThan(0.04);
    expect(surface.deepest?.depth_m).toBe(low.milled);
    expect(surface.over_m.some((over) => over < 0)).toBe(true);
    expect(surface.zero_m.length).toBeGreaterThan(0);
    expect(key(low)).toEqual(expect.arrayContaining(["keyCut", "keyZero"]));
  });

  test("is held by the knob that it touches, and by its least slope where that is", () => {
    const free = bindingOf(ground, found(), asked, []);
    expect(free.touches.some(({ kind, at_m: [x, y] }) => kind === "ground" && Math.hypot(x - 12, y - 9) < 1)).toBe(
      true,
    );
    expect([free.isLeastSlope, free.isMostSlope]).toEqual([false, false]);
    const steep = { ...asked, slope_min_pct: 1.5 };
    const { surface } = regraded(ground, null, steep, [], 2.35);
    expect(surface && bindingOf(ground, surface, steep, []).isLeastSlope).toBe(true);
  });
});
