/** Where ink lies on a sheet, in small squares: words keep clear of it. Pixels. */
import { type Box, closed, type XY } from "../model/geometry";
import { linesOf } from "./marks";
import type { Scene } from "./scene";

/** The side of a square [px]. */
const CELL = 4;
/** Signs at a point, and lines along which signs stand, reach about so far [mm]. */
const SIGN = 1.4;
const BESIDE: Readonly<Record<string, number>> = { trees: 3.4, edge: 2.6, wall: 0.7, drain: 0.6, "old-repair": 0.7 };
const HEAVE_M = 0.6;
const HEAVE = 2.6; // mm
/** So many marks are noted before painting may go on in the next frame. */
const AT_ONCE = 8;

export class Ink {
  readonly #box: Box;
  readonly #wide: number;
  readonly #high: number;
  readonly #cells: Uint8Array;

  /** Ink within a box of the sheet; what lies outside is not asked for. */
  constructor(box: Box) {
    this.#box = box;
    this.#wide = Math.max(Math.ceil((box[2] - box[0]) / CELL), 1);
    this.#high = Math.max(Math.ceil((box[3] - box[1]) / CELL), 1);
    this.#cells = new Uint8Array(this.#wide * this.#high);
  }

  line(points: readonly XY[], half = 0): void {
    for (let i = 1; i < points.length; i++) {
      const [a, b] = [points[i - 1] as XY, points[i] as XY];
      if (this.#misses(a, b, half)) continue;
      const steps = Math.max(Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / CELL), 1);
      for (let k = 0; k <= steps; k++)
        this.square([a[0] + ((b[0] - a[0]) * k) / steps, a[1] + ((b[1] - a[1]) * k) / steps], half);
    }
  }

  square([x, y]: XY, half: number): void {
    const [left, top, right, bottom] = this.#cellsOf([x - half, y - half, x + half, y + half]);
    for (let row = top; row <= bottom; row++)
      this.#cells.fill(1, row * this.#wide + left, row * this.#wide + Math.max(right + 1, left));
  }

  /** How much ink a box would cover: the length of a line that lies as much beneath it [px]. */
  under(box: Box): number {
    const [left, top, right, bottom] = this.#cellsOf(box);
    let found = 0;
    for (let row = top; row <= bottom; row++)
      for (let cell = row * this.#wide + left; cell <= row * this.#wide + right; cell++)
        found += this.#cells[cell] as number;
    return found * CELL;
  }

  #misses(a: XY, b: XY, half: number): boolean {
    const [left, top, right, bottom] = this.#box;
    return (
      Math.max(a[0], b[0]) + half < left ||
      Math.min(a[0], b[0]) - half > right ||
      Math.max(a[1], b[1]) + half < top ||
      Math.min(a[1], b[1]) - half > bottom
    );
  }

  #cellsOf(box: Box): Box {
    const cell = (px: number) => Math.floor(px / CELL);
    return [
      Math.max(cell(box[0] - this.#box[0]), 0),
      Math.max(cell(box[1] - this.#box[1]), 0),
      Math.min(cell(box[2] - this.#box[0]), this.#wide - 1),
      Math.min(cell(box[3] - this.#box[1]), this.#high - 1),
    ];
  }
}

/** Note what is drawn of a scene; court lines are ground, and words may lie on them. */
export function* noteInk(scene: Scene, ink: Ink): Generator<void> {
  const { pen, content } = scene;
  ink.line(closed((content.pad?.outline_m ?? []).map((at) => pen.place(at))));
  let count = 0;
  for (const kind of scene.kinds)
    for (const mark of scene.of(kind)) {
      const half = (BESIDE[kind] ?? 0) * pen.mm;
      if (mark.geometry.type === "Point") {
        const radius = Math.max(pen.long(mark.sizes_m.radius ?? HEAVE_M), HEAVE * pen.mm) * 0.8;
        ink.square(pen.place(mark.geometry.coordinates), kind === "heave" ? radius : Math.max(half, SIGN * pen.mm));
      } else
        for (const line of linesOf(mark)) {
          const px = pen.places(line);
          ink.line(mark.geometry.type === "Polygon" ? closed(px) : px, half);
        }
      if (++count % AT_ONCE === 0) yield;
    }
  for (const at of [...(content.shots ?? []), ...(content.stations ?? [])].map((one) => one.at_m))
    ink.square(pen.place(at), SIGN * pen.mm);
}
