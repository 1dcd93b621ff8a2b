/** Nodes over a pad, and how water fills what lies lower than its way out (spec/README.md, steps 4 and 5). */
import type { PointM } from "./frame";
import { contains } from "./geometry";
import { sides, toSegment } from "./shapes";

/** Nodes row by row from the lower left; off the pad a height is NaN. */
export interface Raster {
  readonly columns: number;
  readonly rows: number;
  readonly x0_m: number;
  readonly y0_m: number;
  readonly cell_m: number;
}

const CELL = 0.25;
const MOST_NODES = 20_000;
const ON_OUTLINE = 1e-6;

export function rasterOver(ring: readonly PointM[]): Raster {
  const [x, y] = [ring.map(([one]) => one), ring.map(([, one]) => one)];
  const [left, right, low, high] = [Math.min(...x), Math.max(...x), Math.min(...y), Math.max(...y)];
  let cell = CELL;
  while (nodes(right - left, cell) * nodes(high - low, cell) > MOST_NODES) cell *= 2;
  const [columns, rows] = [nodes(right - left, cell), nodes(high - low, cell)];
  const first = (from: number, to: number, count: number) => (from + to) / 2 - ((count - 1) / 2) * cell;
  return { columns, rows, x0_m: first(left, right, columns), y0_m: first(low, high, rows), cell_m: cell };
}

function nodes(span: number, cell: number): number {
  return Math.floor(span / cell + 1e-9) + 1;
}

export function nodeAt({ columns, x0_m, y0_m, cell_m }: Raster, node: number): PointM {
  return [x0_m + (node % columns) * cell_m, y0_m + Math.floor(node / columns) * cell_m];
}

/** Which nodes lie on the pad. */
export function onPad(raster: Raster, ring: readonly PointM[]): Uint8Array {
  const outline = sides(ring);
  return Uint8Array.from({ length: raster.columns * raster.rows }, (_, node) => {
    const place = nodeAt(raster, node);
    return contains(ring, place) || outline.some((side) => toSegment(place, side) <= ON_OUTLINE) ? 1 : 0;
  });
}

/** Up to eight neighbours of a node; -1 for those off the raster. */
export function around({ columns, rows }: Raster, node: number, into: Int32Array): Int32Array {
  const [column, row] = [node % columns, Math.floor(node / columns)];
  let at = 0;
  for (let down = -1; down <= 1; down++) {
    for (let across = -1; across <= 1; across++) {
      if (down === 0 && across === 0) continue;
      const [c, r] = [column + across, row + down];
      into[at++] = c < 0 || r < 0 || c >= columns || r >= rows ? -1 : r * columns + c;
    }
  }
  return into;
}

/** The level to which water fills each node before it runs off an edge; NaN off the pad. */
export function filled(raster: Raster, height: Float64Array): Float64Array {
  const level = new Float64Array(height.length).fill(Number.NaN);
  const queue = new Queue(height.length);
  const next = new Int32Array(8);
  const isOff = (node: number) => node < 0 || Number.isNaN(height[node]);
  for (let node = 0; node < height.length; node++) {
    if (isOff(node) || !around(raster, node, next).some(isOff)) continue;
    level[node] = height[node] as number;
    queue.put(node, height[node] as number);
  }
  for (let node = queue.take(); node >= 0; node = queue.take()) {
    for (const other of around(raster, node, next)) {
      if (isOff(other) || !Number.isNaN(level[other])) continue;
      level[other] = Math.max(height[other] as number, level[node] as number);
      queue.put(other, level[other] as number);
    }
  }
  return level;
}

/** A heap of nodes, the lowest first. */
class Queue {
  readonly #nodes: Int32Array;
  readonly #levels: Float64Array;
  #count = 0;

  constructor(size: number) {
    this.#nodes = new Int32Array(size);
    this.#levels = new Float64Array(size);
  }

  put(node: number, level: number): void {
    let at = this.#count++;
    while (at > 0) {
      const above = (at - 1) >> 1;
      if ((this.#levels[above] as number) <= level) break;
      this.#move(above, at);
      at = above;
    }
    this.#set(at, node, level);
  }

  /** The lowest node, or -1 when there is none left. */
  take(): number {
    if (this.#count === 0) return -1;
    const lowest = this.#nodes[0] as number;
    const last = --this.#count;
    const [node, level] = [this.#nodes[last] as number, this.#levels[last] as number];
    let at = 0;
    for (let below = 1; below < last; below = 2 * at + 1) {
      if (below + 1 < last && (this.#levels[below + 1] as number) < (this.#levels[below] as number)) below++;
      if ((this.#levels[below] as number) >= level) break;
      this.#move(below, at);
      at = below;
    }
    this.#set(at, node, level);
    return lowest;
  }

  #move(from: number, to: number): void {
    this.#set(to, this.#nodes[from] as number, this.#levels[from] as number);
  }

  #set(at: number, node: number, level: number): void {
    this.#nodes[at] = node;
    this.#levels[at] = level;
  }
}
