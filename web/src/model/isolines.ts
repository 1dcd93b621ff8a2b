/** Lines of one value through a raster of heights or depths; nodes without a value end them. */
import type { PointM } from "./frame";
import { nodeAt, type Raster } from "./raster";

/** Sides of a square of four nodes, by the corners between which each lies: 0 and 1 below, 2 and 3 above. */
const SIDES = [
  [0, 1],
  [1, 3],
  [2, 3],
  [0, 2],
] as const;

/** The lines on which a field is `value`. A line that closes ends where it began. */
export function isolines(raster: Raster, field: Float64Array, value: number): PointM[][] {
  const { columns, rows } = raster;
  /** By the side of a square, named by its lower node and whether it goes up: the one or two sides that a line leads to. */
  const onward = new Map<number, number[]>();
  const join = (one: number, other: number): void => {
    for (const [from, to] of [
      [one, other],
      [other, one],
    ] as const) {
      const known = onward.get(from);
      if (known === undefined) onward.set(from, [to]);
      else known.push(to);
    }
  };
  for (let row = 0; row + 1 < rows; row++) {
    for (let column = 0; column + 1 < columns; column++) {
      const node = row * columns + column;
      const a = (field[node] as number) - value;
      const b = (field[node + 1] as number) - value;
      const c = (field[node + columns] as number) - value;
      const d = (field[node + columns + 1] as number) - value;
      const sum = a + b + c + d;
      const isAllAbove = a > 0 && b > 0 && c > 0 && d > 0;
      const isAllBelow = a <= 0 && b <= 0 && c <= 0 && d <= 0;
      if (isAllAbove || isAllBelow || Number.isNaN(sum)) continue;
      const corners = [node, node + 1, node + columns, node + columns + 1] as const;
      const above = [a > 0, b > 0, c > 0, d > 0];
      const crossed = SIDES.flatMap(([from, to], side) => (above[from] === above[to] ? [] : [side]));
      const names = crossed.map((side) => nameOf(corners, side));
      if (names.length === 2) join(names[0] as number, names[1] as number);
      else {
        // Two lines: the middle tells which corners belong together.
        const isMiddleAbove = sum > 0;
        const [first, second] =
          above[0] === isMiddleAbove
            ? [
                [0, 1],
                [2, 3],
              ]
            : [
                [0, 3],
                [1, 2],
              ];
        for (const pair of [first, second] as [number, number][])
          join(nameOf(corners, pair[0]), nameOf(corners, pair[1]));
      }
    }
  }
  return chained(raster, field, value, onward);
}

/** A side is its lower or left node, twice, and one more when it goes up; both of its squares call it the same. */
function nameOf(corners: readonly [number, number, number, number], side: number): number {
  const [from] = SIDES[side] as readonly [0 | 1 | 2, number];
  return corners[from] * 2 + (side % 2);
}

function chained(raster: Raster, field: Float64Array, value: number, onward: Map<number, number[]>): PointM[][] {
  const lines: PointM[][] = [];
  const place = (name: number): PointM => {
    const [from, to] = [name >> 1, name & 1 ? (name >> 1) + raster.columns : (name >> 1) + 1];
    const [here, there] = [field[from] as number, field[to] as number];
    const share = (value - here) / (there - here);
    const [[x0, y0], [x1, y1]] = [nodeAt(raster, from), nodeAt(raster, to)];
    return [x0 + share * (x1 - x0), y0 + share * (y1 - y0)];
  };
  const follow = (start: number): void => {
    const line = [place(start)];
    let [before, at] = [-1, start];
    for (;;) {
      const next = onward.get(at)?.find((one) => one !== before);
      onward.delete(at);
      if (next === undefined) break;
      line.push(place(next));
      [before, at] = [at, next];
      if (!onward.has(at)) break;
    }
    if (line.length > 1) lines.push(line);
  };
  for (const [name, to] of [...onward]) if (to.length === 1 && onward.has(name)) follow(name);
  for (const name of [...onward.keys()]) if (onward.has(name)) follow(name);
  return lines;
}

/** Round steps of length [m] in a reader's units, so that a span has at most so many. */
export function stepFor(span: number, most: number, steps: readonly number[]): number {
  return steps.find((step) => span / step <= most) ?? (steps.at(-1) as number);
}

const INCH = 0.0254;
/** What is written beside a line has to be round in the reader's units [m]. */
export const ROUND = {
  us: [1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 3, 6, 12, 24].map((inches) => inches * INCH),
  metric: [0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1],
} as const;
