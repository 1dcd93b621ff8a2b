/** @vitest-environment node */
/** A walk on the device: kept, undone, typed over and not lost. */
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import * as Y from "yjs";
import { type Kept, OpenWalk } from "../../src/sync/open_walk";
import { nameOf, vectorOf } from "../../src/sync/walk_store";

const newId = () => crypto.randomUUID();

async function reopened(walk: OpenWalk): Promise<OpenWalk> {
  await walk.close();
  return OpenWalk.open(walk.id);
}

/** Every value that ever stood in a field, from the updates alone. */
function everTyped(doc: Y.Doc): unknown[] {
  const { structs } = Y.decodeUpdate(Y.encodeStateAsUpdate(doc));
  return structs.flatMap((struct) =>
    struct instanceof Y.Item && struct.content instanceof Y.ContentAny ? struct.content.arr : [],
  );
}

/** How many updates of a walk lie on the disk. */
function onDisk(walk: string): Promise<number> {
  return new Promise((resolve) => {
    const open = indexedDB.open(nameOf(walk));
    open.onsuccess = () => {
      const count = open.result.transaction("updates").objectStore("updates").count();
      count.onsuccess = () => {
        open.result.close();
        resolve(count.result);
      };
    };
  });
}

describe("what is typed", () => {
  it("is there when the walk is opened again", async () => {
    const walk = await OpenWalk.open(newId());
    const id = walk.add("marks", { mark: "crack", width: "3/8 in" });
    walk.set("marks", id, "width", "1/2 in");
    walk.say("answers", "coats", "unknown");
    await walk.settled();
    expect(walk.kept).toBe("kept");
    const again = await reopened(walk);
    expect(again.item("marks", id)).toEqual({ mark: "crack", width: "1/2 in" });
    expect(again.flat("answers")).toEqual({ coats: "unknown" });
    await again.close();
  });

  it("is said to be kept only when the disk has it", async () => {
    const walk = await OpenWalk.open(newId());
    const told: [Kept, Uint8Array | null][] = [];
    walk.onKept = (kept) => told.push([kept, null]);
    walk.say("walk", "name", "Bellwether");
    expect(told.map(([kept]) => kept)).toEqual(["keeping"]);
    await vi.waitFor(() => expect(walk.kept).toBe("kept"));
    // Another one who opens the disk now has all of it, without the first having been closed.
    const other = await OpenWalk.open(walk.id);
    expect(other.flat("walk").name).toBe("Bellwether");
    expect(await vectorOf(walk.id)).toEqual(walk.vector);
    await other.close();
    await walk.close();
  });

  it("stays when it is typed over 2,000 times and the disk is tidied", async () => {
    const walk = await OpenWalk.open(newId());
    const id = walk.add("marks", { mark: "crack" });
    for (let n = 0; n < 2_000; n++) {
      walk.set("marks", id, "width", `${n}/16 in`);
      if (n % 100 === 0) await walk.settled();
    }
    await walk.settled();
    expect(await onDisk(walk.id)).toBeGreaterThan(1_000);
    // The disk is tidied a second after the last of many.
    await vi.waitFor(async () => expect(await onDisk(walk.id)).toBe(1), { timeout: 5_000, interval: 200 });
    let again = await reopened(walk);
    again = await reopened(again);
    const typed = new Set(everTyped(again.doc));
    for (let n = 0; n < 2_000; n++) expect(typed.has(`${n}/16 in`)).toBe(true);
    expect(again.item("marks", id)?.width).toBe("1999/16 in");
    // Undone to its very beginning, across the openings.
    for (let n = 0; n < 2_000; n++) again.undo();
    expect(again.item("marks", id)?.width).toBe(null);
    again.undo();
    expect(again.item("marks", id)?.withdrawn).toBe(true);
    expect(again.canUndo).toBe(false);
    await again.close();
  }, 30_000);
});

describe("undoing", () => {
  it("goes on after the walk was closed, back and forth", async () => {
    let walk = await OpenWalk.open(newId());
    const id = walk.add("marks", { mark: "crack", width: "1" });
    walk.set("marks", id, "width", "2");
    walk.set("marks", id, "width", "3");
    walk = await reopened(walk);
    walk.undo();
    expect(walk.item("marks", id)?.width).toBe("2");
    walk = await reopened(walk);
    expect([walk.canUndo, walk.canRedo]).toEqual([true, true]);
    walk.redo();
    expect(walk.item("marks", id)?.width).toBe("3");
    walk.undo();
    walk.undo();
    walk = await reopened(walk);
    walk.redo();
    walk.set("marks", id, "width", "4");
    expect(walk.canRedo).toBe(false);
    walk = await reopened(walk);
    walk.undo();
    expect(walk.item("marks", id)?.width).toBe("2");
    await walk.close();
  });

  it("takes back one's own, never what somebody else typed", async () => {
    let mine = await OpenWalk.open(newId());
    const id = mine.add("marks", { mark: "crack", width: "1", depth: "1" });
    mine.set("marks", id, "width", "2");
    const theirs = new Y.Doc({ gc: false });
    Y.applyUpdate(theirs, Y.encodeStateAsUpdate(mine.doc));
    (theirs.getMap("marks").get(id) as Y.Map<string>).set("width", "theirs");
    (theirs.getMap("marks").get(id) as Y.Map<string>).set("filled", "sealant");
    mine.takeIn([Y.encodeStateAsUpdate(theirs)]);
    mine.set("marks", id, "depth", "2");
    mine = await reopened(mine);
    mine.undo();
    mine.undo();
    expect(mine.item("marks", id)).toEqual({ mark: "crack", width: "theirs", depth: "1", filled: "sealant" });
    mine.undo();
    expect(mine.item("marks", id)?.withdrawn).toBe(true);
    expect(mine.canUndo).toBe(false);
    await mine.close();
  });

  it("takes several changes of one deed back together", async () => {
    const walk = await OpenWalk.open(newId());
    walk.act(() => {
      walk.add("pads", { id: "upper" });
      walk.add("pads", { id: "lower" });
    });
    walk.undo();
    expect(walk.ids("pads").map((id) => walk.item("pads", id)?.withdrawn)).toEqual([true, true]);
    await walk.close();
  });
});

describe("two tabs on one walk", () => {
  it("see each other's changes, each once on the disk", async () => {
    const one = await OpenWalk.open(newId());
    const two = await OpenWalk.open(one.id);
    const id = one.add("marks", { mark: "crack" });
    await vi.waitFor(() => expect(two.item("marks", id)).toEqual({ mark: "crack" }));
    two.set("marks", id, "width", "1/4 in");
    await vi.waitFor(() => expect(one.item("marks", id)?.width).toBe("1/4 in"));
    one.undo();
    await vi.waitFor(() => expect(two.item("marks", id)?.withdrawn).toBe(true));
    await one.close();
    await two.close();
  });

  it("undo their own, also when both are opened again", async () => {
    const one = await OpenWalk.open(newId());
    const two = await OpenWalk.open(one.id);
    one.say("walk", "name", "a");
    two.say("answers", "coats", "6");
    await one.close();
    await two.close();
    const again = await OpenWalk.open(one.id);
    again.undo();
    again.undo();
    expect([again.flat("walk").name, again.flat("answers").coats]).toEqual([null, null]);
    await again.close();
  });
});

describe("a disk without room", () => {
  // The library that writes each update leaves its refusals to nobody; the open walk hears of them by the disk itself.
  const leftToNobody = () => undefined;
  beforeAll(() => void process.on("unhandledRejection", leftToNobody));
  afterAll(() => void process.off("unhandledRejection", leftToNobody));

  /** Refuse to write updates, as a full disk does: the transaction is given up. */
  function full(): () => void {
    const add = IDBObjectStore.prototype.add;
    const spy = vi.spyOn(IDBObjectStore.prototype, "add").mockImplementation(function (this: IDBObjectStore, ...given) {
      const request = add.apply(this, given);
      if (this.name === "updates") this.transaction.abort();
      return request;
    });
    return () => spy.mockRestore();
  }

  it("is told, and all is kept once there is room", async () => {
    const walk = await OpenWalk.open(newId());
    const id = walk.add("marks", { mark: "crack" });
    await walk.settled();
    const mend = full();
    walk.set("marks", id, "width", "1/4 in");
    await walk.settled();
    expect(walk.kept).toBe("no room");
    walk.set("marks", id, "depth", "1 in");
    await walk.settled();
    expect(walk.kept).toBe("no room");
    mend();
    await walk.keepAgain();
    expect(walk.kept).toBe("kept");
    const again = await reopened(walk);
    expect(again.item("marks", id)).toEqual({ mark: "crack", width: "1/4 in", depth: "1 in" });
    await again.close();
  });

  it("is not said to be well because something later found room", async () => {
    const walk = await OpenWalk.open(newId());
    const mend = full();
    walk.say("walk", "name", "lost");
    await walk.settled();
    expect(walk.kept).toBe("no room");
    mend();
    // The next thing typed brings what was refused before it along.
    walk.say("walk", "address", "kept");
    await walk.settled();
    expect(walk.kept).toBe("kept");
    const again = await reopened(walk);
    expect(again.flat("walk")).toEqual({ shape: 1, name: "lost", address: "kept" });
    await again.close();
  });
});
