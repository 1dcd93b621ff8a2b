/** A finger or a mouse on the sheet, as the sheet hears of it: in metres, one pointer at a time. */

import PointerInteraction from "ol/interaction/Pointer";
import type MapBrowserEvent from "ol/MapBrowserEvent";
import type { PointM } from "../model/frame";

export interface Handler {
  /** True when the sheet takes the pointer; else it moves the sheet. */
  down(at: PointM, isFinger: boolean): boolean;
  drag(at: PointM): void;
  up(at: PointM): void;
  /** A second finger came: the sheet is moved, nothing is placed. */
  leave(): void;
  hover(at: PointM): void;
}

/** Two touches within this time [ms] and reach [px] are one double touch. */
const TWICE_MS = 380;
const TWICE_PX = 24;

export class Hand extends PointerInteraction {
  readonly #handler: Handler;
  #isLeft = false;
  #last: { at: number; x: number; y: number } = { at: Number.NEGATIVE_INFINITY, x: 0, y: 0 };
  #isTwice = false;
  #placedAt = Number.NEGATIVE_INFINITY;

  constructor(handler: Handler) {
    super();
    this.#handler = handler;
  }

  /** Whether the touch that is being handled is the second of two in one place. */
  get isTwice(): boolean {
    return this.#isTwice;
  }

  /** The click that follows a touch which the sheet took belongs to that touch. */
  get hasJustPlaced(): boolean {
    return performance.now() - this.#placedAt < 50;
  }

  override handleDownEvent(event: MapBrowserEvent): boolean {
    this.#isLeft = false;
    const [x = 0, y = 0] = event.pixel;
    const now = event.originalEvent.timeStamp;
    const near = Math.hypot(x - this.#last.x, y - this.#last.y) < TWICE_PX;
    this.#isTwice = near && now - this.#last.at < TWICE_MS;
    this.#last = { at: now, x, y };
    if (this.targetPointers.length > 1) return false;
    return this.#handler.down(metresAt(event), isFinger(event));
  }

  override handleDragEvent(event: MapBrowserEvent): void {
    if (this.targetPointers.length > 1) this.#leave();
    else if (!this.#isLeft) this.#handler.drag(metresAt(event));
  }

  override handleUpEvent(event: MapBrowserEvent): boolean {
    if (this.targetPointers.length > 0) {
      this.#leave();
      return true;
    }
    if (!this.#isLeft) {
      this.#placedAt = performance.now();
      this.#handler.up(metresAt(event));
    }
    return false;
  }

  override handleMoveEvent(event: MapBrowserEvent): void {
    if (!isFinger(event)) this.#handler.hover(metresAt(event));
  }

  #leave(): void {
    if (!this.#isLeft) this.#handler.leave();
    this.#isLeft = true;
  }
}

function metresAt(event: MapBrowserEvent): PointM {
  return [event.coordinate[0] as number, event.coordinate[1] as number];
}

function isFinger(event: MapBrowserEvent): boolean {
  return (event.originalEvent as PointerEvent).pointerType !== "mouse";
}
