/**
 * One walk open on this device: its document, kept as it is typed, every change through here.
 *
 * What was typed is never lost: nothing is deleted, only withdrawn; an undo types what stood there before.
 */
import * as Y from "yjs";
import {
  type Fields,
  FLAT_ROOTS,
  type FlatRoot,
  ITEM_ROOTS,
  type ItemRoot,
  type Root,
  SHAPE,
  says,
  type Value,
} from "../model/document";
import { listen, ring } from "./bell";
import { type Part, partsOf } from "./parts";
import { type DeedKept, phone } from "./phone";
import { WalkStore } from "./walk_store";

/** One change of one value; `id` is null in a flat root, `field` is null where the item itself was made. */
export interface Change {
  root: Root;
  id: string | null;
  field: string | null;
  before: Value;
  after: Value;
}

/** Where what was typed is: kept on this phone, being kept, or not kept because there is no room. */
export type Kept = "kept" | "keeping" | "no room";

type Listener = (root: Root, ids: ReadonlySet<string>) => void;

/** Origins of changes: typed in this tab, or come from the office. What came from elsewhere is never undone here. */
const HERE = "here";
const OFFICE = "office";
/** How long until it is tried again to keep what the disk did not take. */
const AGAIN_MS = 15_000;

export class OpenWalk {
  readonly id: string;
  readonly doc: Y.Doc;
  /** Called when what is kept changes. */
  onKept: (kept: Kept) => void = () => undefined;
  readonly #self = crypto.randomUUID();
  #kept: Kept = "kept";
  readonly #store: WalkStore;
  readonly #listeners = new Set<Listener>();
  #deed: Change[] | null = null;
  #deeds: DeedKept[] = [];
  #isNew = false;
  #isLost = false;
  #writing: Promise<void> | null = null;
  #deedsWriting: Promise<void> = Promise.resolve();
  #again: ReturnType<typeof setTimeout> | undefined;
  readonly #stopListening: () => void;

  private constructor(id: string, doc: Y.Doc, store: WalkStore, deeds: DeedKept[]) {
    this.id = id;
    this.doc = doc;
    this.#store = store;
    this.#deeds = deeds;
    for (const root of [...FLAT_ROOTS, ...ITEM_ROOTS])
      doc.getMap(root).observeDeep((events) => this.#tell(root, events));
    doc.on("update", (_update: Uint8Array, origin: unknown) => {
      if (store.isOrigin(origin)) return;
      this.#keep();
      if (origin !== OFFICE) ring({ kind: "new" });
    });
    store.onLost = () => {
      if (this.#writing === null && store.isSafe) return;
      this.#isLost = true;
      if (this.#writing === null) this.#keep();
    };
    this.#stopListening = listen((told) => {
      if (told.kind === "stored" && told.walk === id && told.by !== this.#self) void store.readNew();
      if (told.kind === "room" && this.#kept === "no room") this.#keep();
    });
  }

  /** Open a walk as this device has it; one that it does not have is empty. */
  static async open(id: string): Promise<OpenWalk> {
    const doc = new Y.Doc({ gc: false });
    const store = await WalkStore.open(id, doc);
    const range = IDBKeyRange.bound([id, 0], [id, Number.MAX_SAFE_INTEGER]);
    return new OpenWalk(id, doc, store, await (await phone()).getAll("deeds", range));
  }

  /** Where what was typed is. */
  get kept(): Kept {
    return this.#kept;
  }

  /** Resolves when all that was typed so far is on this device's disk, or was refused by it. */
  async settled(): Promise<void> {
    while (this.#writing !== null) await this.#writing;
    await this.#deedsWriting;
  }

  async close(): Promise<void> {
    await this.settled();
    clearTimeout(this.#again);
    this.#stopListening();
    await this.#store.close();
    this.doc.destroy();
  }

  // --- elsewhere ---------------------------------------------------------------------------------

  /** How far this document reaches, as Yjs writes it. */
  get vector(): Uint8Array<ArrayBuffer> {
    return Y.encodeStateVector(this.doc) as Uint8Array<ArrayBuffer>;
  }

  /** What this document has and another lacks, all where nothing is told; oldest first. */
  async lacking(vector?: Uint8Array): Promise<Part[]> {
    return partsOf(Y.encodeStateAsUpdate(this.doc, vector), await this.#store.typed(), Date.now());
  }

  /** Take in what came from the office. */
  takeIn(updates: readonly Uint8Array[]): void {
    this.doc.transact(() => {
      for (const update of updates) Y.applyUpdate(this.doc, update, OFFICE);
    }, OFFICE);
  }

  /** Be told which items of which root changed; call what is returned to be told no more. */
  listen(listener: Listener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  // --- reading -----------------------------------------------------------------------------------

  flat(root: FlatRoot): Fields {
    return this.doc.getMap(root).toJSON() as Fields;
  }

  item(root: ItemRoot, id: string): Fields | undefined {
    const item = this.doc.getMap(root).get(id);
    return item instanceof Y.Map ? (item.toJSON() as Fields) : undefined;
  }

  ids(root: ItemRoot): string[] {
    return [...this.doc.getMap(root).keys()];
  }

  // --- changing ----------------------------------------------------------------------------------

  /** Do several changes as one deed: sent together, undone together. */
  act<Result>(change: () => Result): Result {
    if (this.#deed !== null) return change();
    const deed: Change[] = [];
    this.#deed = deed;
    try {
      return this.doc.transact(change, HERE);
    } finally {
      this.#deed = null;
      if (deed.length > 0) this.#remember(deed);
    }
  }

  /** Make an item; returns its id. */
  add(root: ItemRoot, fields: Fields, id: string = crypto.randomUUID()): string {
    this.act(() => {
      const item = new Y.Map<Value>();
      for (const [name, value] of Object.entries(fields)) item.set(name, value);
      this.doc.getMap(root).set(id, item);
      this.#deed?.push({ root, id, field: null, before: null, after: null });
    });
    return id;
  }

  /** Set one field of an item. */
  set(root: ItemRoot, id: string, field: string, value: Value): void {
    const item = this.doc.getMap(root).get(id);
    if (!(item instanceof Y.Map)) return;
    this.#put(item, { root, id, field, before: (item.get(field) as Value | undefined) ?? null, after: value });
  }

  /** Set one value of a flat root: of the walk itself, or an answer. */
  say(root: FlatRoot, field: string, value: Value): void {
    const map = this.doc.getMap(root);
    this.act(() => {
      if (root === "walk" && map.get("shape") === undefined) map.set("shape", SHAPE);
      this.#put(map, { root, id: null, field, before: (map.get(field) as Value | undefined) ?? null, after: value });
    });
  }

  /** Set values of the walk that follow from elsewhere, such as the name of its job: nobody's deed, not undone. */
  follow(values: Fields): void {
    const map = this.doc.getMap("walk");
    const news = Object.entries(values).filter(
      ([field, value]) => says(value) && !same(value, map.get(field) as Value),
    );
    if (news.length === 0) return;
    this.doc.transact(() => {
      if (map.get("shape") === undefined) map.set("shape", SHAPE);
      for (const [field, value] of news) map.set(field, value);
    }, HERE);
  }

  takeAway(root: ItemRoot, id: string): void {
    this.set(root, id, "withdrawn", true);
  }

  bringBack(root: ItemRoot, id: string): void {
    this.set(root, id, "withdrawn", false);
  }

  #put(map: Y.Map<unknown>, change: Change): void {
    if (change.field === null || same(change.before, change.after)) return;
    const field = change.field;
    this.act(() => {
      map.set(field, change.after);
      this.#deed?.push(change);
    });
  }

  // --- undoing -----------------------------------------------------------------------------------

  get canUndo(): boolean {
    return this.#deeds.some((deed) => !deed.isUndone);
  }

  get canRedo(): boolean {
    return this.#deeds.at(-1)?.isUndone ?? false;
  }

  /** Take the last deed back. What somebody else has typed over since stays as it is. */
  undo(): void {
    const deed = this.#deeds.findLast((one) => !one.isUndone);
    if (deed === undefined) return;
    this.doc.transact(() => {
      for (const change of deed.changes.toReversed()) this.#revert(change, change.after, change.before, true);
    }, HERE);
    this.#mark(deed, true);
  }

  /** Do the deed again that was taken back last. */
  redo(): void {
    const deed = this.#deeds.find((one) => one.isUndone);
    if (deed === undefined) return;
    this.doc.transact(() => {
      for (const change of deed.changes) this.#revert(change, change.before, change.after, false);
    }, HERE);
    this.#mark(deed, false);
  }

  #revert(change: Change, from: Value, to: Value, isUndo: boolean): void {
    const root = this.doc.getMap(change.root);
    if (change.field === null) {
      const made = change.id === null ? undefined : root.get(change.id);
      if (made instanceof Y.Map) made.set("withdrawn", isUndo);
      return;
    }
    const map = change.id === null ? root : root.get(change.id);
    if (map instanceof Y.Map && same((map.get(change.field) as Value | undefined) ?? null, from))
      map.set(change.field, to);
  }

  #remember(changes: Change[]): void {
    const undone = this.#deeds.filter((deed) => deed.isUndone);
    this.#deeds = this.#deeds.filter((deed) => !deed.isUndone);
    // Two tabs on one walk choose different numbers.
    const number = Math.max(
      (this.#deeds.at(-1)?.number ?? 0) + 1,
      Date.now() * 1_000 + Math.floor(Math.random() * 1_000),
    );
    const deed: DeedKept = { walk: this.id, number, changes, isUndone: false };
    this.#deeds.push(deed);
    this.#keepDeeds([deed], undone);
  }

  #mark(deed: DeedKept, isUndone: boolean): void {
    deed.isUndone = isUndone;
    this.#keepDeeds([deed], []);
  }

  #keepDeeds(deeds: readonly DeedKept[], gone: readonly DeedKept[]): void {
    const copies = deeds.map((deed) => ({ ...deed }));
    this.#deedsWriting = this.#deedsWriting
      .then(async () => {
        const transaction = (await phone()).transaction("deeds", "readwrite");
        const writes = gone.map((one) => transaction.store.delete([one.walk, one.number]));
        await Promise.all([...writes, ...copies.map((one) => transaction.store.put(one)), transaction.done]);
      })
      .catch(() => {
        // A deed that could not be kept can still be undone while the walk is open.
      });
  }

  // --- keeping -----------------------------------------------------------------------------------

  /** After every change: wait until the disk has it, so that "on this phone" is true when it is said. */
  #keep(): void {
    this.#isKept("keeping");
    this.#isNew = true;
    this.#writing ??= this.#write();
  }

  async #write(): Promise<void> {
    while (this.#isNew) {
      // Changes of one moment share one write to the disk.
      await Promise.resolve();
      this.#isNew = false;
      this.#isLost = !(await this.#written());
    }
    this.#writing = null;
    this.#isKept(this.#isLost ? "no room" : "kept");
  }

  async #written(): Promise<boolean> {
    if (!this.#isLost && (await this.#store.flush()) && !this.#isLost) return true;
    // Something before was refused, and what came after means nothing without it.
    this.#isLost = false;
    return (await this.#store.keepWhole()) && !this.#isLost;
  }

  /** When room was made: write all of it again. */
  async keepAgain(): Promise<void> {
    this.#isLost = true;
    this.#keep();
    await this.settled();
  }

  #isKept(kept: Kept): void {
    if (kept === "keeping" && this.#kept === "no room") return;
    clearTimeout(this.#again);
    if (kept === "no room") this.#again = setTimeout(() => this.#keep(), AGAIN_MS);
    this.#kept = kept;
    this.onKept(kept);
    ring({ kind: "kept", walk: this.id, kept });
    if (kept === "kept") ring({ kind: "stored", walk: this.id, by: this.#self });
  }

  #tell(root: Root, events: Y.YEvent<Y.AbstractType<unknown>>[]): void {
    const ids = new Set<string>();
    for (const event of events) {
      const [first] = event.path;
      if (typeof first === "string") ids.add(first);
      else for (const key of event.changes.keys.keys()) ids.add(key);
    }
    for (const listener of this.#listeners) listener(root, ids);
  }
}

function same(one: Value, other: Value): boolean {
  return one === other || JSON.stringify(one) === JSON.stringify(other);
}
