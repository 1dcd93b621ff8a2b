/** A mark whose points are moved, until it is let go of. */
import type { GeometryM, PointM } from "../model/frame";
import type { XY } from "../model/geometry";
import type { PlanContent, PlanMark } from "./content";
import { type Hold, holdAt, pulled, withoutPoint } from "./draft";
import { caught, type Surroundings } from "./snapping";

const [FINGER_PX, MOUSE_PX] = [26, 10];

interface Changed {
  readonly id: string;
  readonly geometry: GeometryM;
}

export class Editing {
  #mark: PlanMark;
  #hold: Hold | null = null;
  /** The geometry when the hold was taken: pulls are reckoned from it. */
  #before: GeometryM;
  #touched: number | null = null;

  constructor(mark: PlanMark) {
    this.#mark = mark;
    this.#before = mark.geometry;
  }

  get mark(): PlanMark {
    return this.#mark;
  }

  /** The point that was touched last. */
  get heldPoint(): number | null {
    return this.#touched;
  }

  get canRemove(): boolean {
    return this.#touched !== null && withoutPoint(this.#mark.geometry, this.#touched) !== null;
  }

  /** The same editing of the mark as it is now; null when it is gone. What a hand holds goes before what came. */
  after(content: PlanContent): Editing | null {
    const now = content.marks.get(this.#mark.id);
    if (now === undefined) return null;
    if (this.#hold === null) this.#mark = now;
    return this;
  }

  take(at: PointM, resolution: number, isFinger: boolean): boolean {
    this.#hold = holdAt(this.#mark.geometry, at, resolution * (isFinger ? FINGER_PX : MOUSE_PX));
    this.#before = this.#mark.geometry;
    this.#touched = this.#hold === null || this.#hold.of === "all" ? null : this.#hold.index;
    return this.#hold !== null;
  }

  pull(at: XY, resolution: number, around: Surroundings): void {
    if (this.#hold === null) return;
    const found = this.#hold.of === "all" ? null : caught(at, resolution, { ...around, without: this.#mark.id });
    this.#put(pulled(this.#before, this.#hold, found?.at ?? at));
  }

  /** What the mark has become, if it is another. */
  letGo(): Changed | null {
    this.#hold = null;
    const isSame = this.#mark.geometry === this.#before;
    this.#before = this.#mark.geometry;
    return isSame ? null : { id: this.#mark.id, geometry: this.#mark.geometry };
  }

  remove(): Changed | null {
    const geometry = this.#touched === null ? null : withoutPoint(this.#mark.geometry, this.#touched);
    if (geometry === null) return null;
    this.#touched = null;
    this.#put(geometry);
    this.#before = geometry;
    return { id: this.#mark.id, geometry };
  }

  #put(geometry: GeometryM): void {
    this.#mark = { ...this.#mark, geometry };
  }
}
