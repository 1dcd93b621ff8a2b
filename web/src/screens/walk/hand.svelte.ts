/** What one hand does on the walk: which court one stands on, what is being added, whose facts are open. */
import type { Fields, Value } from "../../model/document";
import type { GeometryM } from "../../model/frame";
import { type CountedBy, type Drawing, type Kind, kindOf, withItsUnit } from "../../model/kinds";
import { settings } from "../../state/settings.svelte";
import type { Walk } from "../../state/walk.svelte";

export type Doing =
  | { readonly at: "rest" }
  | { readonly at: "adding"; readonly kind: Kind; readonly shape: Drawing }
  | { readonly at: "facts"; readonly root: "marks" | "tallies"; readonly id: string };

/** What was added last, to be added again with the same facts. */
interface Again {
  readonly kind: Kind;
  readonly facts: Fields;
  readonly by: "drawn" | CountedBy;
  readonly shape: Drawing;
}

/** A place on the walk: a court of a pad, or a pad that has none. */
export interface Standing {
  readonly pad: string;
  readonly court: string | null;
}

const REST: Doing = { at: "rest" };
/** What is of one mark alone and is not said again of the next. */
const ITS_OWN = ["mark", "pad", "court", "geometry", "order", "withdrawn", "length", "count", "area"];

export class Hand {
  readonly walk: Walk;
  doing = $state.raw<Doing>(REST);
  /** Facts that are chosen before the mark is there. */
  draft = $state.raw<Fields>({});
  #pad = $state<string | null>(null);
  #court = $state<string | null>(null);
  #again = $state.raw<Again | null>(null);

  constructor(walk: Walk) {
    this.walk = walk;
  }

  // --- where one stands ----------------------------------------------------------------------------

  /** The pad one stands on: the first while none was chosen. */
  get pad(): string | null {
    const pads = this.walk.list("pads");
    return pads.some(([id]) => id === this.#pad) ? this.#pad : (pads[0]?.[0] ?? null);
  }

  /** The court one stands on; null on a pad without courts. */
  get court(): string | null {
    const courts = this.courtsHere;
    return courts.some(([id]) => id === this.#court) ? this.#court : (courts[0]?.[0] ?? null);
  }

  get courtsHere() {
    return this.walk.list("courts").filter(([, court]) => court.pad === this.pad);
  }

  stand(pad: string, court: string | null = null): void {
    this.#pad = pad;
    this.#court = court;
  }

  /** All places in the order in which they are walked: each court of each pad, or the pad where it has none. */
  get places(): Standing[] {
    const courts = this.walk.list("courts");
    return this.walk.list("pads").flatMap(([pad]): Standing[] => {
      const own = courts.filter(([, court]) => court.pad === pad);
      return own.length === 0 ? [{ pad, court: null }] : own.map(([court]) => ({ pad, court }));
    });
  }

  nextCourt(): void {
    const { places } = this;
    const now = places.findIndex((place) => place.pad === this.pad && place.court === this.court);
    const next = places[(now + 1) % places.length];
    if (next !== undefined) this.stand(next.pad, next.court);
  }

  // --- adding --------------------------------------------------------------------------------------

  choose(id: string, facts: Fields = {}, shape?: Drawing): void {
    const kind = kindOf(id);
    if (kind === undefined) return;
    this.draft = facts;
    this.doing = { at: "adding", kind, shape: shape ?? (kind.geometry[0] as Drawing) };
  }

  rest(): void {
    this.doing = REST;
    this.draft = {};
  }

  /** A drawing was finished on the plan: it becomes a mark with the facts chosen so far. */
  drawn(kind: Kind, geometry: GeometryM): void {
    const { pad } = this;
    if (pad === null) return;
    const facts = { ...this.draft };
    const id = this.walk.addMark(kind.id, pad, geometry, facts);
    const shape = ({ Point: "point", LineString: "line", Polygon: "polygon" } as const)[geometry.type];
    this.#again = { kind, facts, by: "drawn", shape };
    this.doing = { at: "facts", root: "marks", id };
  }

  /** So much of a kind, counted and not drawn: on the court one stands on, or on the whole pad (`null`). */
  count(kind: Kind, by: CountedBy, typed: string, court: string | null = this.court): void {
    const { pad } = this;
    if (pad === null) return;
    const facts = { ...this.draft };
    const amount = withItsUnit(typed, by, settings.units);
    const id = this.walk.open.add("tallies", {
      mark: kind.id,
      pad,
      ...(court === null ? {} : { court }),
      ...facts,
      [by]: amount,
      order: this.walk.nextOrder("tallies"),
    });
    this.#again = { kind, facts, by, shape: kind.geometry[0] as Drawing };
    this.doing = { at: "facts", root: "tallies", id };
  }

  /** The name of what "same again" would add; null while nothing was added. */
  get againKind(): Kind | null {
    return this.#again?.kind ?? null;
  }

  /** Once more of what was added last, with the same facts: counted at once where it is one by one. */
  same(): void {
    const again = this.#again;
    if (again === null) return;
    this.choose(again.kind.id, again.facts, again.shape);
    if (again.by === "count") this.count(again.kind, "count", "1");
  }

  // --- facts ---------------------------------------------------------------------------------------

  open(root: "marks" | "tallies", id: string): void {
    this.doing = { at: "facts", root, id };
  }

  /** The item whose facts are open, and its kind; null when somebody took it away. */
  get subject(): { root: "marks" | "tallies"; id: string; item: Fields; kind: Kind | undefined } | null {
    if (this.doing.at !== "facts") return null;
    const { root, id } = this.doing;
    const item = this.walk[root].get(id) as Fields | undefined;
    if (item === undefined || item.withdrawn === true) return null;
    return { root, id, item, kind: kindOf(item.mark as string | undefined) };
  }

  /** Say a fact of what is open, or of what is about to be added. */
  say(property: string, value: Value): void {
    const { subject } = this;
    if (subject === null) this.draft = { ...this.draft, [property]: value };
    else {
      this.walk.open.set(subject.root, subject.id, property, value);
      this.#learn({ ...subject.item, [property]: value });
    }
  }

  /** What is open is what "same again" repeats, with the facts that it has now. */
  #learn(item: Fields): void {
    const kind = kindOf(item.mark as string | undefined);
    if (kind === undefined) return;
    const facts = Object.fromEntries(Object.entries(item).filter(([name]) => !ITS_OWN.includes(name)));
    const by = (["length", "count", "area"] as const).find(
      (one) => item[one] !== undefined && item.geometry === undefined,
    );
    const drawnAs = (item.geometry as { type?: string } | undefined)?.type;
    const shape =
      drawnAs === "Point" ? "point" : drawnAs === "Polygon" ? "polygon" : drawnAs ? "line" : kind.geometry[0];
    this.#again = { kind, facts, by: by ?? "drawn", shape: shape as Drawing };
  }

  sameAsOpen(): void {
    if (this.subject !== null) this.#learn(this.subject.item);
    this.same();
  }

  takeAway(): void {
    const { subject } = this;
    if (subject !== null) this.walk.open.takeAway(subject.root, subject.id);
    this.rest();
  }
}
