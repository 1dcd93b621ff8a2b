/** The painted sheet, larger than what is seen, so that moving it paints nothing. */
import type { FrameState } from "ol/Map";
import type { Box } from "../model/geometry";
import type { View } from "./pen";

/** How much larger than what is seen the painted sheet is, each way. */
const LARGER = 2;
const MOST_DENSE = 2;
/** When what is seen has come so far towards the end of what is painted, the next one is painted. */
const DRIFT = 0.3;
/** While a sheet is brought nearer or farther its picture is stretched; it is painted again when that rests so long [ms]. */
const REST_MS = 90;
/** So much of a frame goes into painting ahead [ms]. */
const SLICE_MS = 4;
/** So many pieces are drawn before the clock is looked at. */
const AT_ONCE = 12;

/** Paints a view bit by bit; `seen` is the part of it that is in sight now [px]. */
export type Painter = (context: CanvasRenderingContext2D, view: View, seen: Box) => Generator<void>;

interface Picture {
  readonly canvas: HTMLCanvasElement;
  readonly context: CanvasRenderingContext2D;
  view: View | null;
}

export class Buffer {
  readonly element = document.createElement("div");
  readonly #paint: Painter;
  readonly #again: () => void;
  #front = picture();
  #back = picture();
  #steps: Generator<void> | null = null;
  #isStale = true;
  #resolution = 0;
  #changedAt = 0;

  /** `again` asks for one more frame. */
  constructor(paint: Painter, again: () => void) {
    this.#paint = paint;
    this.#again = again;
    Object.assign(this.element.style, { position: "absolute", inset: "0", overflow: "hidden" });
    this.element.append(this.#front.canvas);
  }

  /** What is painted shows no longer what there is. */
  spoil(): void {
    this.#isStale = true;
  }

  /** The layer's part of a frame: paint when it must be, then lay the picture where it belongs. */
  render(frame: FrameState): HTMLElement {
    const now = performance.now();
    if (frame.viewState.resolution !== this.#resolution) {
      this.#resolution = frame.viewState.resolution;
      this.#changedAt = now;
    }
    if (this.#front.view === null || this.#isStale) this.#paintAll(frame);
    else if (this.#isSpent(this.#front.view, frame)) this.#paintAhead(frame, now);
    if (this.#front.view !== null) lay(this.#front.canvas, this.#front.view, frame);
    return this.element;
  }

  #paintAll(frame: FrameState): void {
    this.#begin(this.#front, frame);
    while (this.#steps?.next().done === false);
    this.#steps = null;
    this.#isStale = false;
  }

  #paintAhead(frame: FrameState, now: number): void {
    this.#again();
    const ahead = this.#back.view;
    if (this.#steps !== null && (ahead === null || this.#isSpent(ahead, frame))) this.#steps = null;
    if (this.#steps === null) {
      if (now - this.#changedAt < REST_MS) return;
      this.#begin(this.#back, frame);
    }
    do {
      for (let i = 0; i < AT_ONCE; i++)
        if (this.#steps?.next().done !== false) {
          this.#swap();
          return;
        }
      // What was drawn is only noted until it is looked at; all of it would fall into one frame.
      this.#back.context.getImageData(0, 0, 1, 1);
    } while (performance.now() - now < SLICE_MS);
  }

  #swap(): void {
    this.#steps = null;
    [this.#front, this.#back] = [this.#back, this.#front];
    this.element.replaceChildren(this.#front.canvas);
  }

  /** Whether a picture is stretched, or what is seen comes near its end. */
  #isSpent(view: View, { size, viewState }: FrameState): boolean {
    if (Math.abs(view.resolution / viewState.resolution - 1) > 1e-6) return true;
    const [width = 0, height = 0] = size ?? [];
    const [x = 0, y = 0] = viewState.center;
    const spareX = ((view.width_px - width) / 2) * view.resolution * DRIFT;
    const spareY = ((view.height_px - height) / 2) * view.resolution * DRIFT;
    return Math.abs(x - view.centre_m[0]) > spareX || Math.abs(y - view.centre_m[1]) > spareY;
  }

  #begin(picture: Picture, { size, viewState, pixelRatio }: FrameState): void {
    const [width = 0, height = 0] = size ?? [];
    const [x = 0, y = 0] = viewState.center;
    const { resolution } = viewState;
    const [width_px, height_px] = [Math.ceil(width * LARGER), Math.ceil(height * LARGER)];
    const dense = Math.min(pixelRatio, MOST_DENSE);
    const { canvas, context } = picture;
    const [w, h] = [Math.round(width_px * dense), Math.round(height_px * dense)];
    if (canvas.width !== w || canvas.height !== h) {
      canvas.width = w;
      canvas.height = h;
      Object.assign(canvas.style, { width: `${width_px}px`, height: `${height_px}px` });
    }
    context.setTransform(dense, 0, 0, dense, 0, 0);
    context.clearRect(0, 0, width_px, height_px);
    const view = { centre_m: [x, y] as const, resolution, width_px, height_px };
    picture.view = view;
    const [left, top] = [(width_px - width) / 2, (height_px - height) / 2];
    this.#steps = this.#paint(context, view, [left, top, left + width, top + height]);
  }
}

function picture(): Picture {
  const canvas = document.createElement("canvas");
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (context === null) throw new Error("This browser cannot draw.");
  Object.assign(canvas.style, { position: "absolute", transformOrigin: "0 0", willChange: "transform" });
  return { canvas, context, view: null };
}

/** Put a picture where what it shows is now. */
function lay(canvas: HTMLCanvasElement, view: View, { size, viewState, pixelRatio }: FrameState): void {
  const [width = 0, height = 0] = size ?? [];
  const [cx = 0, cy = 0] = viewState.center;
  const ratio = view.resolution / viewState.resolution;
  const stretch = Math.abs(ratio - 1) < 1e-6 ? 1 : ratio;
  const x = width / 2 + (view.centre_m[0] - cx) / viewState.resolution - (view.width_px * stretch) / 2;
  const y = height / 2 - (view.centre_m[1] - cy) / viewState.resolution - (view.height_px * stretch) / 2;
  // On whole pixels lines and letters stay sharp.
  const whole = (px: number) => Math.round(px * pixelRatio) / pixelRatio;
  canvas.style.transform =
    stretch === 1 ? `translate(${whole(x)}px,${whole(y)}px)` : `matrix(${stretch},0,0,${stretch},${x},${y})`;
}
