/** A mark that is measured in, point by point: by tapes from named corners, or by its two numbers. */
import { type Corner, courtCorners, padCorners } from "../../../model/corners";
import { type Geometry, type Place, UNKNOWN, type Value } from "../../../model/document";
import { coordinate, type PointM, placeIn } from "../../../model/frame";
import { contains } from "../../../model/geometry";
import { type Drawing, kindOf, kindsInOrder, withItsUnit } from "../../../model/kinds";
import { metres } from "../../../model/length";
import { type ByTapes, byTapes } from "../../../model/tapes";
import type { Construction, PlanContent } from "../../../plan/content";
import { contentOf } from "../../../plan/from_walk";
import { settings } from "../../../state/settings.svelte";
import type { Walk } from "../../../state/walk.svelte";

export interface TapeTyped {
  readonly corner: string;
  readonly length: string;
}

const NEEDED: Readonly<Record<Drawing, number>> = { point: 1, line: 2, polygon: 3 };
const FIRST: Drawing = "point";
export const MOST_TAPES = 4;

export class Taping {
  readonly walk: Walk;
  readonly pad: string;
  kind = $state(kindsInOrder[0]?.id ?? "crack");
  shapeChosen = $state<Drawing | null>(null);
  way = $state<"tapes" | "xy">("tapes");
  tapes = $state.raw<readonly TapeTyped[]>([]);
  xy = $state.raw<readonly [string, string]>(["", ""]);
  sideChosen = $state<number | null>(null);
  points = $state.raw<readonly PointM[]>([]);
  /** The points as the walk keeps them: two numbers as they were typed. */
  #places: readonly Place[] = [];
  /** The mark that the points so far are kept in. */
  mark = $state<string | null>(null);

  constructor(walk: Walk, pad: string) {
    this.walk = walk;
    this.pad = pad;
    this.tapes = this.corners.slice(0, 2).map(({ id }) => ({ corner: id, length: "" }));
  }

  readonly content: PlanContent = $derived.by(() => contentOf(this.walk, this.pad));
  readonly corners: readonly Corner[] = $derived.by(() => [
    ...padCorners(this.content.pad?.outline_m ?? []),
    ...this.content.courts.flatMap((court, i) =>
      courtCorners({ ...court, label: court.label || String(i + 1) }, this.content.courts.length === 1),
    ),
  ]);
  readonly shapes: readonly Drawing[] = $derived(kindOf(this.kind)?.geometry ?? [FIRST]);
  readonly shape: Drawing = $derived(
    this.shapeChosen !== null && this.shapes.includes(this.shapeChosen) ? this.shapeChosen : (this.shapes[0] ?? FIRST),
  );
  readonly needed: number = $derived(Math.max(0, NEEDED[this.shape] - this.points.length));

  readonly #read = $derived(
    this.tapes.map(({ corner, length }) => ({
      from_m: this.corners.find(({ id }) => id === corner)?.at_m,
      length_m: metres(length, settings.units),
    })),
  );
  readonly met: ByTapes = $derived.by(() => {
    const whole = this.#read.flatMap(({ from_m, length_m }) =>
      from_m === undefined || length_m === null ? [] : [{ from_m, length_m }],
    );
    return whole.length === this.#read.length ? byTapes(whole) : { found: "nothing" };
  });
  /** Which of two places: the one chosen, else the one that lies on the pad. */
  readonly side: number | null = $derived.by(() => {
    if (this.met.found !== "points") return null;
    if (this.met.points_m.length === 1) return 0;
    if (this.sideChosen !== null) return this.sideChosen;
    const on = this.met.points_m.map((point) => this.isOnPad(point));
    return on[0] === on[1] ? null : on.indexOf(true);
  });
  readonly found: PointM | null = $derived.by(() => {
    if (this.way === "xy") {
      const [x, y] = [coordinate(this.xy[0], settings.units), coordinate(this.xy[1], settings.units)];
      return x === null || y === null ? null : [x, y];
    }
    if (this.met.found === "best") return this.met.point_m;
    return this.met.found === "points" && this.side !== null ? (this.met.points_m[this.side] ?? null) : null;
  });

  isOnPad(point: PointM): boolean {
    return contains(this.content.pad?.outline_m ?? [], point);
  }

  readonly shown: PlanContent = $derived.by(() => {
    const drawn: Construction[] = [];
    if (this.way === "tapes") {
      for (const { from_m, length_m } of this.#read) {
        if (from_m === undefined) continue;
        drawn.push({ type: "point", at_m: from_m });
        if (length_m !== null && length_m > 0) drawn.push({ type: "arc", centre_m: from_m, radius_m: length_m });
      }
      if (this.met.found === "points" && this.met.points_m.length > 1)
        for (const [i, at_m] of this.met.points_m.entries()) drawn.push({ type: "point", at_m, text: "AB".charAt(i) });
    }
    if (this.found !== null) drawn.push({ type: "point", at_m: this.found });
    const way = this.found === null ? this.points : [...this.points, this.found];
    if (way.length > 1) drawn.push({ type: "line", points_m: way });
    for (const [i, at_m] of this.points.entries()) drawn.push({ type: "point", at_m, text: String(i + 1) });
    return { ...this.content, construction: drawn };
  });

  setTape(i: number, fields: Partial<TapeTyped>): void {
    this.tapes = this.tapes.map((tape, at) => (at === i ? { ...tape, ...fields } : tape));
    this.sideChosen = null;
  }

  addTape(): void {
    const used = new Set(this.tapes.map(({ corner }) => corner));
    const free = this.corners.find(({ id }) => !used.has(id));
    if (free !== undefined && this.tapes.length < MOST_TAPES)
      this.tapes = [...this.tapes, { corner: free.id, length: "" }];
  }

  dropTape(i: number): void {
    this.tapes = this.tapes.filter((_, at) => at !== i);
  }

  choose(kind: string): void {
    this.kind = kind;
    this.startAgain();
  }

  chooseShape(shape: Drawing): void {
    this.shapeChosen = shape;
    this.startAgain();
  }

  /** The point is measured in; as soon as there are enough, they are a mark on the plan. */
  keep(): void {
    if (this.found === null) return;
    this.#places = [...this.#places, this.way === "xy" ? this.#typed() : placeIn(this.found, settings.units)];
    this.points = [...this.points, this.found];
    this.tapes = this.tapes.map((tape) => ({ ...tape, length: "" }));
    [this.xy, this.sideChosen] = [["", ""], null];
    this.#write();
  }

  pointBack(): void {
    this.points = this.points.slice(0, -1);
    this.#places = this.#places.slice(0, -1);
    if (this.needed > 0 && this.mark !== null) {
      this.walk.open.takeAway("marks", this.mark);
      this.mark = null;
    } else this.#write();
  }

  startAgain(): void {
    [this.points, this.mark, this.sideChosen] = [[], null, null];
    this.#places = [];
  }

  #write(): void {
    if (this.needed > 0) return;
    const geometry = this.#geometry() as unknown as Value;
    const { open } = this.walk;
    if (this.mark !== null) open.set("marks", this.mark, "geometry", geometry);
    else {
      const order = this.walk.nextOrder("marks");
      this.mark = open.add("marks", { mark: this.kind, pad: this.pad, geometry, order });
    }
  }

  #geometry(): Geometry {
    const [first = [0, 0]] = this.#places;
    if (this.shape === "point") return { type: "Point", coordinates: first };
    if (this.shape === "line") return { type: "LineString", coordinates: this.#places };
    return { type: "Polygon", coordinates: [[...this.#places, first]] };
  }

  #typed(): Place {
    return [withItsUnit(this.xy[0], "length", settings.units), withItsUnit(this.xy[1], "length", settings.units)];
  }

  isUnread(length: string): boolean {
    return length.trim() !== "" && length !== UNKNOWN && metres(length, settings.units) === null;
  }
}
