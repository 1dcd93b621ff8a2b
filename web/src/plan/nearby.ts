/** Which marks lie near a place: a grid over the ground, kept up as marks change. */

import { type Box, closed, contains, grown, nearestOnLine, type XY } from "../model/geometry";
import type { PlanMark } from "./content";
import { boxOfMark, linesOf } from "./marks";

const CELL_M = 1.5;
/** A mark over more cells than this is looked at every time. */
const MOST_CELLS = 400;

export class Nearby {
  #marks: ReadonlyMap<string, PlanMark> = new Map();
  readonly #cells = new Map<string, Set<PlanMark>>();
  readonly #large = new Set<PlanMark>();

  /** Take the marks that there are now; only those that changed are put anew. */
  take(marks: ReadonlyMap<string, PlanMark>): void {
    if (marks === this.#marks) return;
    for (const [id, mark] of this.#marks) if (marks.get(id) !== mark) this.#put(mark, false);
    for (const [id, mark] of marks) if (this.#marks.get(id) !== mark) this.#put(mark, true);
    this.#marks = marks;
  }

  /** Marks whose cells meet a box: all that lie in it, and some beside it. */
  in(box: Box): Set<PlanMark> {
    const found = new Set(this.#large);
    for (const key of cellsOf(box)) for (const mark of this.#cells.get(key) ?? []) found.add(mark);
    return found;
  }

  /** Marks nearer to a place than `reach`, the nearest first. */
  near(at: XY, reach: number): { mark: PlanMark; distance: number }[] {
    const found: { mark: PlanMark; distance: number }[] = [];
    for (const mark of this.in(grown([at[0], at[1], at[0], at[1]], reach))) {
      const distance = distanceTo(mark, at);
      if (distance <= reach) found.push({ mark, distance });
    }
    return found.sort((a, b) => a.distance - b.distance);
  }

  #put(mark: PlanMark, isThere: boolean): void {
    const keys = cellsOfMark(mark);
    if (keys === null) {
      if (isThere) this.#large.add(mark);
      else this.#large.delete(mark);
      return;
    }
    for (const key of keys) {
      let cell = this.#cells.get(key);
      if (cell === undefined) {
        cell = new Set();
        this.#cells.set(key, cell);
      }
      if (isThere) cell.add(mark);
      else cell.delete(mark);
    }
  }
}

/** How far a mark is from a place; 0 inside of an area. */
export function distanceTo(mark: PlanMark, at: XY): number {
  const lines = linesOf(mark);
  if (mark.geometry.type !== "Polygon") return nearestOnLine(lines[0] ?? [], at).distance;
  const [outer = []] = lines;
  return contains(outer, at) ? 0 : nearestOnLine(closed(outer), at).distance;
}

function cellsOfMark(mark: PlanMark): string[] | null {
  const box = boxOfMark(mark);
  const count = ((box[2] - box[0]) / CELL_M + 1) * ((box[3] - box[1]) / CELL_M + 1);
  if (!(count <= MOST_CELLS)) return null;
  if (mark.geometry.type !== "LineString") return cellsOf(box);
  const keys = new Set<string>();
  const [line = []] = linesOf(mark);
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1] as XY, line[i] as XY];
    const piece: Box = [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[0], b[0]), Math.max(a[1], b[1])];
    for (const key of cellsOf(piece)) keys.add(key);
  }
  return [...keys];
}

function cellsOf(box: Box): string[] {
  const keys: string[] = [];
  for (let x = Math.floor(box[0] / CELL_M); x <= Math.floor(box[2] / CELL_M); x++)
    for (let y = Math.floor(box[1] / CELL_M); y <= Math.floor(box[3] / CELL_M); y++) keys.push(`${x},${y}`);
  return keys;
}
