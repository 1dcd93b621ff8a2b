/** Draws in pixels of a sheet what stands in metres of a pad; widths and signs are millimetres of paper. */
import { type Box, closed, meets, simplified, type XY } from "../model/geometry";
import type { Inks } from "./inks";

/** What part of the ground lies on a picture of so many pixels, y up on the ground, down on the picture. */
export interface View {
  readonly centre_m: XY;
  /** Metres a pixel. */
  readonly resolution: number;
  readonly width_px: number;
  readonly height_px: number;
}

export interface Stroke {
  readonly width?: number;
  readonly colour?: string;
  readonly dashes?: readonly number[];
  readonly cap?: CanvasLineCap;
}

/** Points nearer than this to the straight line are left out [px]. */
const FINE = 0.4;
/** So wide is one millimetre of paper on a screen [px]. */
export const SCREEN_MM = 3.6;
const FONT = '"Atkinson Hyperlegible", sans-serif';

/** How wide texts are: the same few stand on a sheet many times. */
const widths = new Map<string, number>();

/** A font that came later makes every text as wide as it is in that. */
export function forgetWidths(): void {
  widths.clear();
}

export class Pen {
  readonly context: CanvasRenderingContext2D;
  readonly inks: Inks;
  readonly view: View;
  readonly mm: number;
  readonly type_px: number;
  readonly #left: number;
  readonly #top: number;

  constructor(context: CanvasRenderingContext2D, inks: Inks, view: View, mm = SCREEN_MM, type_px = 16) {
    this.context = context;
    this.inks = inks;
    this.view = view;
    this.mm = mm;
    this.type_px = type_px;
    this.#left = view.centre_m[0] - (view.width_px / 2) * view.resolution;
    this.#top = view.centre_m[1] + (view.height_px / 2) * view.resolution;
    context.lineJoin = "round";
    context.textBaseline = "middle";
  }

  // --- places ------------------------------------------------------------------------------------

  place(at: XY): XY {
    return [(at[0] - this.#left) / this.view.resolution, (this.#top - at[1]) / this.view.resolution];
  }

  /** A line in pixels, without what is too fine to be seen. */
  places(points: readonly XY[]): readonly XY[] {
    return simplified(
      points.map((point) => this.place(point)),
      FINE,
    );
  }

  /** A length on the ground, in pixels. */
  long(metres: number): number {
    return metres / this.view.resolution;
  }

  /** Whether anything of a box in metres can be seen. */
  sees(box: Box): boolean {
    const { resolution, width_px, height_px } = this.view;
    const bottom = this.#top - height_px * resolution;
    const margin = 12 * this.mm * resolution;
    const right = this.#left + width_px * resolution;
    return meets(box, [this.#left - margin, bottom - margin, right + margin, this.#top + margin]);
  }

  // --- drawing, in pixels ------------------------------------------------------------------------

  trace(points: readonly XY[]): void {
    const { context } = this;
    for (let i = 0; i < points.length; i++) {
      const [x, y] = points[i] as XY;
      if (i === 0) context.moveTo(x, y);
      else context.lineTo(x, y);
    }
  }

  line(points: readonly XY[], stroke: Stroke = {}): void {
    this.context.beginPath();
    this.trace(points);
    this.stroke(stroke);
  }

  /** Several pieces of line at once. */
  lines(all: readonly (readonly XY[])[], stroke: Stroke = {}): void {
    this.context.beginPath();
    for (const points of all) this.trace(points);
    this.stroke(stroke);
  }

  stroke({ width = 0.2, colour = this.inks.ink, dashes = [], cap = "butt" }: Stroke): void {
    const { context, mm } = this;
    context.lineWidth = Math.max(width * mm * this.inks.weight, 0.7);
    context.strokeStyle = colour;
    context.lineCap = cap;
    context.setLineDash(dashes.map((dash) => dash * mm));
    context.stroke();
  }

  fill(ring: readonly XY[], colour: string): void {
    this.context.beginPath();
    this.trace(ring);
    this.context.fillStyle = colour;
    this.context.fill();
  }

  outline(ring: readonly XY[], stroke: Stroke = {}): void {
    this.line(closed(ring), stroke);
  }

  dot(at: XY, radius: number, fill = this.inks.ink, width?: number): void {
    const { context } = this;
    context.beginPath();
    context.arc(at[0], at[1], radius * this.mm, 0, 2 * Math.PI);
    context.fillStyle = fill;
    context.fill();
    if (width !== undefined) this.stroke({ width });
  }

  box(at: XY, half: number, fill?: string, width?: number): void {
    const [x, y, h] = [at[0], at[1], half * this.mm];
    const ring: XY[] = [
      [x - h, y - h],
      [x + h, y - h],
      [x + h, y + h],
      [x - h, y + h],
    ];
    if (fill) this.fill(ring, fill);
    if (width !== undefined) this.outline(ring, { width });
  }

  /** Ruled lines at 45 degrees over an area; all areas of a sheet share one ruling. */
  hatch(ring: readonly XY[], spacing: number, width = 0.2): void {
    const { context } = this;
    const step = spacing * this.mm * Math.SQRT2;
    const xs = ring.map((p) => p[0]);
    const ys = ring.map((p) => p[1]);
    const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    context.save();
    context.beginPath();
    this.trace(ring);
    context.clip();
    context.beginPath();
    for (let c = Math.floor((left + top) / step) * step; c <= right + bottom; c += step) {
      context.moveTo(c - top, top);
      context.lineTo(c - bottom, bottom);
    }
    this.stroke({ width });
    context.restore();
  }

  /** Bare paper in a box. */
  clear([left, top, right, bottom]: Box): void {
    this.context.fillStyle = this.inks.paper;
    this.context.fillRect(left, top, right - left, bottom - top);
  }

  /** Where text begins and ends, for placing it. */
  textWidth(text: string, isBold = false): number {
    const font = this.#font(isBold);
    const key = `${font} ${text}`;
    let width = widths.get(key);
    if (width === undefined) {
      this.context.font = font;
      width = this.context.measureText(text).width;
      widths.set(key, width);
    }
    return width;
  }

  /** Words on the sheet, on a little paper so that they can be read over lines. */
  text(text: string, left: number, middle: number, { isBold = false, colour = this.inks.ink } = {}): void {
    const { context } = this;
    context.font = this.#font(isBold);
    context.setLineDash([]);
    context.lineWidth = 4;
    context.strokeStyle = this.inks.paper;
    context.strokeText(text, left, middle);
    context.fillStyle = colour;
    context.fillText(text, left, middle);
  }

  #font(isBold: boolean): string {
    return `${isBold ? 700 : 400} ${this.type_px}px ${FONT}`;
  }
}
