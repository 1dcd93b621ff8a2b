/** An open walk as screens see it: plain values that change as the document does. All changes go through `open`. */
import { SvelteMap } from "svelte/reactivity";
import { type Fields, type FlatRoot, ITEM_ROOTS, type ItemRoot, type Items, type Value } from "../model/document";
import { bareUnits, type GeometryM, geometryIn } from "../model/frame";
import { borrow, giveBack } from "../sync/borrow";
import type { Kept, OpenWalk } from "../sync/open_walk";

export class Walk {
  readonly open: OpenWalk;
  readonly pads = new SvelteMap<string, Items["pads"]>();
  readonly courts = new SvelteMap<string, Items["courts"]>();
  readonly marks = new SvelteMap<string, Items["marks"]>();
  readonly tallies = new SvelteMap<string, Items["tallies"]>();
  readonly shots = new SvelteMap<string, Items["shots"]>();
  readonly photos = new SvelteMap<string, Items["photos"]>();
  readonly files = new SvelteMap<string, Items["files"]>();
  readonly walk = new SvelteMap<string, Value>();
  readonly answers = new SvelteMap<string, Value>();
  kept = $state<Kept>("kept");
  canUndo = $state(false);
  canRedo = $state(false);
  readonly #stop: () => void;

  private constructor(open: OpenWalk) {
    this.open = open;
    for (const root of ITEM_ROOTS) this.#readAll(root);
    for (const root of ["walk", "answers"] as const) this.#readFlat(root);
    this.kept = open.kept;
    open.onKept = (kept) => {
      this.kept = kept;
    };
    this.#stop = open.listen((root, ids) => {
      if (root === "walk" || root === "answers") this.#readFlat(root);
      else for (const id of ids) this.#read(root, id);
      // A deed is remembered once its change is told.
      queueMicrotask(() => this.#undoable());
    });
    this.#undoable();
  }

  static async open(id: string): Promise<Walk> {
    return new Walk(await borrow(id));
  }

  get id(): string {
    return this.open.id;
  }

  async close(): Promise<void> {
    this.#stop();
    await giveBack(this.open.id);
  }

  /** Items of a root that were not taken away, in their order. */
  list<R extends ItemRoot>(root: R): [id: string, item: Items[R]][] {
    const all = [...(this[root] as unknown as SvelteMap<string, Items[R]>).entries()];
    return all
      .filter(([, item]) => item.withdrawn !== true)
      .sort(([a, one], [b, other]) => (one.order ?? 0) - (other.order ?? 0) || (a < b ? -1 : 1));
  }

  /** The number that puts a new item behind all others. */
  nextOrder(root: ItemRoot): number {
    let last = 0;
    for (const item of (this[root] as SvelteMap<string, Fields>).values()) {
      if (typeof item.order === "number") last = Math.max(last, item.order);
    }
    return last + 1;
  }

  /** Put a mark where it was drawn: its places are written in the units of this walk, whatever those of the reader. */
  addMark(kind: string, pad: string, geometry: GeometryM, facts: Fields = {}): string {
    const typed = geometryIn(geometry, bareUnits(this.walk).marks) as unknown as Value;
    return this.open.add("marks", { mark: kind, pad, ...facts, geometry: typed, order: this.nextOrder("marks") });
  }

  undo(): void {
    this.open.undo();
    this.#undoable();
  }

  redo(): void {
    this.open.redo();
    this.#undoable();
  }

  #undoable(): void {
    this.canUndo = this.open.canUndo;
    this.canRedo = this.open.canRedo;
  }

  #readAll(root: ItemRoot): void {
    for (const id of this.open.ids(root)) this.#read(root, id);
  }

  #read(root: ItemRoot, id: string): void {
    const item = this.open.item(root, id);
    if (item !== undefined) (this[root] as SvelteMap<string, Fields>).set(id, item);
  }

  #readFlat(root: FlatRoot): void {
    for (const [name, value] of Object.entries(this.open.flat(root))) this[root].set(name, value);
  }
}
