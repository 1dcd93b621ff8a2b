/** @vitest-environment node */
/** What a document has more is cut into updates that together are the same, each with its time. */
import { describe, expect, it } from "vitest";
import * as Y from "yjs";
import { aheadBy, partsOf } from "../../src/sync/parts";

function walked(values: number, text = (n: number) => `${n} in`): Y.Doc {
  const doc = new Y.Doc({ gc: false });
  for (let n = 0; n < values; n++) {
    const mark = new Y.Map();
    mark.set("width", text(n));
    doc.getMap("marks").set(`mark ${n % 50}`, mark);
  }
  return doc;
}

function joined(updates: readonly Uint8Array[]): Y.Doc {
  const doc = new Y.Doc({ gc: false });
  for (const update of updates) Y.applyUpdate(doc, update);
  return doc;
}

describe("parts", () => {
  it("are together the whole document, with what was typed over", () => {
    const doc = walked(200);
    const client = doc.clientID;
    const typed = [
      { client, clock: 100, at: 1_000 },
      { client, clock: 301, at: 61_000 },
    ];
    const parts = partsOf(Y.encodeStateAsUpdate(doc), typed, 99_000);
    const again = joined(parts.map((part) => part.update));
    expect(again.getMap("marks").toJSON()).toEqual(doc.getMap("marks").toJSON());
    expect(Y.encodeStateAsUpdate(again)).toEqual(Y.encodeStateAsUpdate(doc));
  });

  it("tell when each was typed, the oldest first; what nobody noted is of now", () => {
    const doc = walked(200);
    const client = doc.clientID;
    const typed = [
      { client, clock: 301, at: 61_000 },
      { client, clock: 100, at: 1_000 },
    ];
    const parts = partsOf(Y.encodeStateAsUpdate(doc), typed, 99_000);
    expect(parts.map((part) => part.toldAt)).toEqual([1_000, 61_000, 99_000]);
    const reach = parts.map((part) => Y.parseUpdateMeta(part.update).to.get(client));
    // A value belongs to the first time whose end lies behind it.
    expect(reach).toEqual([100, 301, 400]);
  });

  it("hold less than the office takes, however much was typed", () => {
    const long = "x".repeat(50_000);
    const doc = walked(400, (n) => `${n} ${long}`);
    const whole = Y.encodeStateAsUpdate(doc);
    expect(whole.length).toBeGreaterThan(20_000_000);
    const parts = partsOf(whole, [], 5);
    expect(parts.length).toBeGreaterThan(5);
    for (const part of parts) expect(part.update.length).toBeLessThan(4_000_000);
    expect(
      joined(parts.map((part) => part.update))
        .getMap("marks")
        .toJSON(),
    ).toEqual(doc.getMap("marks").toJSON());
  });

  it("come from several editing rounds, one after the other", () => {
    const one = walked(3);
    const two = joined([Y.encodeStateAsUpdate(one)]);
    (two.getMap("marks").get("mark 1") as Y.Map<string>).set("width", "2 in");
    const parts = partsOf(Y.encodeStateAsUpdate(two), [{ client: two.clientID, clock: 9, at: 8 }], 5);
    expect(parts.length).toBe(2);
    expect(
      joined(parts.map((part) => part.update))
        .getMap("marks")
        .toJSON(),
    ).toEqual(two.getMap("marks").toJSON());
  });

  it("are none of nothing", () => {
    expect(partsOf(Y.encodeStateAsUpdate(new Y.Doc()), [], 5)).toEqual([]);
  });
});

describe("what one side has more", () => {
  it("is counted by values", () => {
    const one = walked(3);
    const two = joined([Y.encodeStateAsUpdate(one)]);
    const vector = (doc: Y.Doc) => Y.encodeStateVector(doc);
    expect(aheadBy(vector(one), vector(two))).toBe(0);
    (two.getMap("marks").get("mark 1") as Y.Map<string>).set("width", "2 in");
    expect(aheadBy(vector(two), vector(one))).toBe(1);
    expect(aheadBy(vector(one), vector(two))).toBe(0);
    // Each mark is a map and one value in it.
    expect(aheadBy(vector(one), null)).toBe(6);
  });
});
