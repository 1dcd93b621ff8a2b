/** A pad as it lies, read from what the office tells of it: the nodes of its heights, its edge, and what holds a surface. */
import type { components } from "../../api/schema";
import type { PointM } from "../frame";
import type { Raster } from "../raster";

export type MapsSays = components["schemas"]["MapsAnswer"];
export type MapsPad = components["schemas"]["MapsPad"];

/** Places with their heights [m], counted from a home so that places far from the origin cost no digits. */
export interface Ground {
  readonly home: PointM;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  /** What of the pad each stands for; nought for one that only has to be covered [m²]. */
  readonly area: Float64Array;
  readonly wholeArea: number;
  /** Mean of the places by area, from home. */
  readonly middle: PointM;
  /** How many places are nodes: the first; the others are of the edge. */
  readonly nodes: number;
  readonly raster: Raster;
  /** Where each node stands on the raster. */
  readonly onRaster: Int32Array;
}

/** A place at which a surface is held between two heights [m]; infinite where it is free from that side. */
export interface Held {
  readonly kind: "gate" | "drain" | "wall" | "point";
  readonly x: number;
  readonly y: number;
  readonly low: number;
  readonly high: number;
}

/** Null where the pad has no heights. */
export function groundOf({ heights, edge }: Pick<MapsPad, "heights" | "edge">): Ground | null {
  if (heights === null || edge === null) return null;
  const [edgeX, edgeY, edgeZ] = [edge.x_steps, edge.y_steps, edge.z_steps].map(numbers) as [
    number[],
    number[],
    number[],
  ];
  const runs = heights.runs.map((run) => ({ ...run, bends: numbers(run.bends) }));
  const nodes = runs.reduce((sum, { bends }) => sum + bends.length, 0);
  const count = nodes + edgeX.length;
  const [x, y, z, area] = [0, 1, 2, 3].map(() => new Float64Array(count)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const onRaster = new Int32Array(nodes);
  const { x0_m, y0_m, cell_m, cols, rows, base_m } = heights;
  const step = heights.step_mm / 1000;
  const home: PointM = [x0_m + (cell_m * cols) / 2, y0_m + (cell_m * rows) / 2];
  let node = 0;
  for (const { row, col, bends } of runs) {
    let [height, change] = [0, 0];
    for (const [i, bend] of bends.entries()) {
      if (i > 0) change += bend;
      height += i === 0 ? bend : change;
      x[node] = x0_m + cell_m * (col + i) - home[0];
      y[node] = y0_m + cell_m * row - home[1];
      z[node] = base_m + height * step;
      onRaster[node++] = row * cols + col + i;
    }
  }
  area.fill(heights.area_m2, 0, nodes);
  const cut = numbers(heights.cut_mm2);
  for (const [i, at] of numbers(heights.cut_nodes).entries()) area[at] = (cut[i] as number) * 1e-6;
  for (const [i, place] of edgeX.entries()) {
    x[nodes + i] = place * step - home[0];
    y[nodes + i] = (edgeY[i] as number) * step - home[1];
    z[nodes + i] = base_m + (edgeZ[i] as number) * step;
  }
  const wholeArea = area.reduce((sum, one) => sum + one, 0);
  const mean = (along: Float64Array) => along.reduce((sum, one, i) => sum + one * (area[i] as number), 0) / wholeArea;
  return {
    home,
    x,
    y,
    z,
    area,
    wholeArea,
    middle: [mean(x), mean(y)],
    nodes,
    raster: { columns: cols, rows, x0_m, y0_m, cell_m },
    onRaster,
  };
}

/** Numbers parted by blanks. */
function numbers(line: string): number[] {
  return line === "" ? [] : line.split(" ").map(Number);
}

/** What the office knows to hold a surface, and points that somebody gave; from home. */
export function heldOf(
  ground: Ground,
  held: MapsPad["held"],
  points: readonly { readonly at_m: PointM; readonly height_m: number }[],
): Held[] {
  const known = held.flatMap(({ kind, at: [x, y], low_m, high_m }): Held[] =>
    x === undefined || y === undefined
      ? []
      : [{ kind, x: x - ground.home[0], y: y - ground.home[1], low: low_m ?? -Infinity, high: high_m ?? Infinity }],
  );
  return [
    ...known,
    ...points.map(({ at_m, height_m }): Held => {
      const [x, y] = [at_m[0] - ground.home[0], at_m[1] - ground.home[1]];
      return { kind: "point", x, y, low: height_m, high: height_m };
    }),
  ];
}

/** The height of the ground at a place [m], between its nodes; null off them. */
export function heightAt(ground: Ground, [x, y]: PointM): number | null {
  const { columns, rows, x0_m, y0_m, cell_m } = ground.raster;
  const clipped = (value: number, most: number) => Math.min(Math.max(value, 0), most - 1);
  const [c, r] = [clipped((x - x0_m) / cell_m, columns), clipped((y - y0_m) / cell_m, rows)];
  const [left, low] = [Math.min(Math.floor(c), columns - 2), Math.min(Math.floor(r), rows - 2)];
  const field = fieldOf(ground, ground.z);
  const value = (column: number, row: number) => field[row * columns + column] as number;
  const [u, v] = [c - left, r - low];
  const found =
    value(left, low) * (1 - u) * (1 - v) +
    value(left + 1, low) * u * (1 - v) +
    value(left, low + 1) * (1 - u) * v +
    value(left + 1, low + 1) * u * v;
  return Number.isFinite(found) ? found : null;
}

const fields = new WeakMap<Float64Array, Float64Array>();

/** Values of the nodes on their raster; NaN off the pad. */
export function fieldOf({ raster, onRaster }: Ground, values: Float64Array): Float64Array {
  let field = fields.get(values);
  if (field === undefined) {
    field = new Float64Array(raster.columns * raster.rows).fill(Number.NaN);
    for (const [node, at] of onRaster.entries()) field[at] = values[node] as number;
    fields.set(values, field);
  }
  return field;
}
