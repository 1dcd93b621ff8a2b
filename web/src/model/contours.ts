/** Lines of one value through nodes of a raster that carry values; every line is closed. */
import type { PointM } from "./frame";
import { nodeAt, type Raster } from "./raster";

/** Lower than any value: what lies beside the nodes that carry one. */
const NOTHING = -1e-9;

/**
 * The lines on which the values are `value`; higher values lie on their left. Nodes without a value count as just lower.
 * A field is drawn with a rim of nodes that are lower, so that its lines close.
 */
export function contour(raster: Raster, field: ReadonlyMap<number, number>, value: number): PointM[][] {
  const { columns } = raster;
  const at = (node: number) => (field.get(node) ?? NOTHING + Math.min(0, value)) - value;
  const onward = new Map<string, { to: string; place: PointM }>();
  const squares = new Set<number>();
  for (const node of field.keys()) for (const corner of [0, 1, columns, columns + 1]) squares.add(node - corner);
  for (const square of squares) {
    // Corners round the square, and the edges between them by their two nodes.
    const corners = [square, square + 1, square + columns + 1, square + columns];
    const isIn = corners.map((corner) => at(corner) > 0);
    for (const [from, to] of crossings(isIn)) {
      const [start, end] = [edge(corners, from), edge(corners, to)];
      onward.set(start.join("/"), { to: end.join("/"), place: between(raster, start, at) });
    }
  }
  return chained(onward);
}

/** The two nodes of a side of a square, the smaller first, so that both of its squares call it the same. */
function edge(corners: readonly number[], side: number): [number, number] {
  const [one, other] = [corners[side] as number, corners[(side + 1) % 4] as number];
  return one < other ? [one, other] : [other, one];
}

/** From which side to which a line crosses a square, what is in on its left; two lines where opposite corners are in. */
function crossings(isIn: readonly boolean[]): [from: number, to: number][] {
  const found: [number, number][] = [];
  for (let side = 0; side < 4; side++) {
    // A line comes in where, going round, "in" ends, and leaves where the same run of corners began.
    if (!isIn[side] || isIn[(side + 1) % 4]) continue;
    let start = side;
    while (isIn[(start + 3) % 4]) start = (start + 3) % 4;
    found.push([side, (start + 3) % 4]);
  }
  return found;
}

function between(raster: Raster, [one, other]: [number, number], at: (node: number) => number): PointM {
  const [here, there] = [at(one), at(other)];
  const share = here / (here - there);
  const [from, to] = [nodeAt(raster, one), nodeAt(raster, other)];
  return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
}

function chained(onward: Map<string, { to: string; place: PointM }>): PointM[][] {
  const lines: PointM[][] = [];
  for (const start of onward.keys()) {
    const line: PointM[] = [];
    for (let step = onward.get(start), key = start; step !== undefined; step = onward.get(key)) {
      line.push(step.place);
      onward.delete(key);
      key = step.to;
    }
    if (line.length > 2) lines.push(line);
  }
  return lines;
}
