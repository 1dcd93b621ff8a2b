/** The disk under one open walk: updates by y-indexeddb, and beside them how far they reach and when they were typed. */
import { fetchUpdates, IndexeddbPersistence } from "y-indexeddb";
import * as Y from "yjs";
import { aheadBy, type TypedBy } from "./parts";

/** Values typed within so long of each other share one time. */
const ONE_TIME_MS = 60_000;
const VECTOR = "vector";
const TYPED = "typed";

export function nameOf(walk: string): string {
  return `courtwright-walk-${walk}`;
}

export class WalkStore {
  /** Called when the disk refused something, whoever asked for it. */
  onLost: () => void = () => undefined;
  readonly #doc: Y.Doc;
  readonly #kept: IndexeddbPersistence;
  #typed: TypedBy[] = [];
  /** How far the disk is known to reach. */
  #safe: Uint8Array = new Uint8Array([0]);
  /** How far the transaction that is on its way makes it reach. */
  #noted: Uint8Array | null = null;

  private constructor(walk: string, doc: Y.Doc) {
    this.#doc = doc;
    this.#kept = new IndexeddbPersistence(nameOf(walk), doc);
  }

  /** Read what the disk has of a walk into a document, and keep from now on what comes to it. */
  static async open(walk: string, doc: Y.Doc): Promise<WalkStore> {
    const store = new WalkStore(walk, doc);
    // Waited for first: a database that does not open would never tell that it has been read.
    const database = await store.#kept._db;
    await store.#kept.whenSynced;
    store.#safe = Y.encodeStateVector(doc);
    database.addEventListener("abort", () => store.onLost());
    database.addEventListener("close", () => store.onLost());
    return store;
  }

  /** Whether the disk has all of the document: what it refused was only its own tidying then. */
  get isSafe(): boolean {
    return aheadBy(Y.encodeStateVector(this.#doc), this.#safe) === 0;
  }

  /** Whether a change of the document came from the disk. */
  isOrigin(origin: unknown): boolean {
    return origin === this.#kept;
  }

  async close(): Promise<void> {
    await this.#kept.destroy();
  }

  /** Read what other tabs have put on the disk. */
  async readNew(): Promise<void> {
    if (this.#kept.db === null) return;
    const wasSafe = this.isSafe;
    await fetchUpdates(this.#kept);
    if (wasSafe) this.#safe = Y.encodeStateVector(this.#doc);
  }

  /**
   * Wait until the disk has all that came to the document; false when it does not take it.
   *
   * Transactions on one store end in their order, so that one that is forced to the disk ends after all before it.
   */
  flush(): Promise<boolean> {
    return this.#strictly((_updates, custom) => this.#note(custom));
  }

  /** Put the whole document on the disk in place of what is there, what other tabs wrote included. */
  keepWhole(): Promise<boolean> {
    return this.#strictly((updates, custom) => {
      const there = updates.getAll();
      there.onsuccess = () => {
        Y.transact(
          this.#doc,
          () => {
            for (const one of there.result as Uint8Array[]) Y.applyUpdate(this.#doc, one);
          },
          this.#kept,
        );
        const whole = updates.add(Y.encodeStateAsUpdate(this.#doc));
        whole.onsuccess = () => {
          updates.delete(IDBKeyRange.upperBound(whole.result, true));
          this.#note(custom);
        };
      };
    });
  }

  #strictly(write: (updates: IDBObjectStore, custom: IDBObjectStore) => void): Promise<boolean> {
    return new Promise((resolve) => {
      try {
        const transaction = this.#kept.db?.transaction(["updates", "custom"], "readwrite", { durability: "strict" });
        if (transaction === undefined) return resolve(false);
        transaction.oncomplete = () => {
          if (this.#noted !== null) this.#safe = this.#noted;
          resolve(true);
        };
        transaction.onabort = () => resolve(false);
        write(transaction.objectStore("updates"), transaction.objectStore("custom"));
      } catch {
        // The browser closed the database.
        resolve(false);
      }
    });
  }

  /** How far the disk reaches, and when what was typed here was. */
  #note(custom: IDBObjectStore): void {
    const { clientID: client, store } = this.#doc;
    const clock = Y.getState(store, client);
    if (this.#typed[0]?.client !== client) this.#typed = [];
    const last = this.#typed.at(-1);
    if (clock > (last?.clock ?? 0)) {
      const now = Date.now();
      if (last !== undefined && now - last.at < ONE_TIME_MS) last.clock = clock;
      else this.#typed.push({ client, clock, at: now });
      custom.put(this.#typed, `${TYPED} ${client}`);
    }
    this.#noted = Y.encodeStateVector(this.#doc);
    custom.put(this.#noted, VECTOR);
  }

  /** When what was typed on this device was, in every editing round of it. */
  async typed(): Promise<TypedBy[]> {
    const found = await read(this.#kept.db, (custom) => custom.getAll(IDBKeyRange.bound(TYPED, `${TYPED}￿`)));
    return (found as TypedBy[][] | undefined)?.flat() ?? [];
  }
}

/** How far the disk has a walk, without opening it; null when it is not on this device. */
export async function vectorOf(walk: string): Promise<Uint8Array | null> {
  const database = await openedIfThere(nameOf(walk));
  if (database === null) return null;
  try {
    return ((await read(database, (custom) => custom.get(VECTOR))) as Uint8Array | undefined) ?? null;
  } finally {
    database.close();
  }
}

function openedIfThere(name: string): Promise<IDBDatabase | null> {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(name);
    let isThere = true;
    request.onupgradeneeded = () => {
      // It was not there: it shall not be there because it was looked for.
      isThere = false;
      request.transaction?.abort();
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => (isThere ? reject(request.error) : resolve(null));
  });
}

function read(database: IDBDatabase | null, ask: (custom: IDBObjectStore) => IDBRequest): Promise<unknown> {
  if (database === null) return Promise.resolve(undefined);
  return new Promise((resolve, reject) => {
    const request = ask(database.transaction("custom", "readonly").objectStore("custom"));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}
