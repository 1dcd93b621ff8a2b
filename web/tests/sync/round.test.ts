/** @vitest-environment node */
/** Rounds to a real office: what is typed, opened and photographed here goes there, once, and comes back elsewhere. */

import "./as_pages_do";

import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import * as Y from "yjs";
import { HEAD, Office } from "../../e2e/server";
import { borrow, giveBack, openWalks } from "../../src/sync/borrow";
import { hex, pack, unpackAll } from "../../src/sync/envelope";
import { exchange, unsentOf } from "../../src/sync/exchange";
import { beginWalk, changeJob, fetchJobs, fetchWalks, keptJob, openJob } from "../../src/sync/jobs";
import { phone } from "../../src/sync/phone";
import { photoOf, release, takeIn, unsentPhotos } from "../../src/sync/photos";
import { round } from "../../src/sync/round";
import { walkFile } from "../../src/sync/save_file";
import { signIn, signOut } from "../../src/sync/session";
import { behind, type Line, withBetween } from "./at_office";

let office: Office;
let line: Line;

beforeAll(async () => {
  const words = new Map<string, string>();
  vi.stubGlobal("localStorage", {
    getItem: (name: string) => words.get(name) ?? null,
    setItem: (name: string, text: string) => words.set(name, text),
    removeItem: (name: string) => words.delete(name),
  });
  vi.stubGlobal("document", { visibilityState: "visible" });
  office = await Office.open();
  line = behind(office);
}, 90_000);

afterAll(async () => {
  round.stop();
  await office.close();
});

beforeEach(() => {
  line.requests.length = 0;
});

/** A job with a walk, both only here. */
async function begun(): Promise<{ job: string; walk: string }> {
  const job = await openJob({ name: "Bellwether Green", stage: "walk" });
  return { job: job.key, walk: await beginWalk(job.key) };
}

async function record(walk: string) {
  return (await office.api("GET", `/api/walks/${walk}/record`)).json.plain;
}

/** A JPEG of so many bytes: a head that is read, and a tail that nobody looks at. */
function picture(size: number): File {
  const bytes = new Uint8Array(size);
  for (let at = 0; at < size; at += 65_536) crypto.getRandomValues(bytes.subarray(at, Math.min(at + 65_536, size)));
  bytes.set(JPEG.subarray(0, JPEG.length - 2));
  return new File([bytes], "IMG_0001.jpg", { type: "image/jpeg", lastModified: 1_776_340_800_000 });
}

// One grey pixel.
const JPEG = Uint8Array.from(
  atob(
    "/9j/4AAQSkZJRgABAQEASABIAAD/2wBDAP//////////////////////////////////////////////////////////////////////////////////////wAALCAABAAEBAREA/8QAFAABAAAAAAAAAAAAAAAAAAAACf/EABQQAQAAAAAAAAAAAAAAAAAAAAD/2gAIAQEAAD8AVN//2Q==",
  ),
  (letter) => letter.charCodeAt(0),
);

describe("without having signed in", () => {
  it("nothing is sent, nothing is lost, and it is said", async () => {
    const { walk } = await begun();
    const open = await borrow(walk);
    open.say("walk", "name", "typed first");
    await open.settled();
    expect((await round.go()).ended).toBe("signed out");
    expect(line.requests).toEqual(["GET /api/session"]);
    expect(await unsentOf(walk)).toBe(2);
    await signIn(HEAD.email, HEAD.password);
    expect((await round.go()).ended).toBe("done");
    expect((await record(walk)).walk).toEqual({ shape: 1, name: "typed first" });
    expect(await unsentOf(walk)).toBe(0);
    await giveBack(walk);
  });
});

describe("a round", () => {
  it("opens a job once, however often its answer is lost", async () => {
    const before = (await office.api("GET", "/api/jobs")).json.items.length;
    const job = await openJob({ name: "first", call: { sport: "tennis" } });
    // The office takes it; its answer does not arrive, and the name is changed meanwhile.
    const broken: Line["between"] = async (request, go) => {
      const answer = await go(request);
      if (!request.url.endsWith("/api/jobs")) return answer;
      throw new TypeError("broken off");
    };
    expect((await withBetween(line, broken, () => round.go())).ended).toBe("not reached");
    await changeJob(job.key, { name: "second" });
    expect((await round.go()).ended).toBe("done");
    const { items } = (await office.api("GET", "/api/jobs")).json;
    expect(items.length).toBe(before + 1);
    expect(items.find((one: { name: string }) => one.name === "second")?.call).toEqual({ sport: "tennis" });
    expect((await keptJob(job.key))?.unsent).toEqual([]);
  });

  it("keeps what both sides changed of a job", async () => {
    const { job } = await begun();
    await round.go();
    const id = (await keptJob(job))?.officeId;
    const headers = { "if-match": `"${(await keptJob(job))?.version}"` };
    await office.api("PATCH", `/api/jobs/${id}`, { json: { address: "12 Mill Lane", note: "theirs" }, headers });
    await changeJob(job, { note: "mine", name: "Bellwether" });
    expect((await round.go()).ended).toBe("done");
    const told = (await office.api("GET", `/api/jobs/${id}`)).json;
    expect([told.name, told.address, told.note]).toEqual(["Bellwether", "12 Mill Lane", "mine"]);
    const here = await keptJob(job);
    expect([here?.name, here?.address, here?.note, here?.version]).toEqual([
      "Bellwether",
      "12 Mill Lane",
      "mine",
      told.version,
    ]);
  });

  it("sends only what is lacking, and fetches what others typed", async () => {
    const { walk } = await begun();
    const open = await borrow(walk);
    for (let n = 0; n < 300; n++) open.add("marks", { mark: "crack", width: `${n}/16 in`, order: n });
    await open.settled();
    await round.go();
    expect(Object.keys((await record(walk)).marks).length).toBe(300);
    const id = open.ids("marks")[0] ?? "";
    open.set("marks", id, "width", "1 in");
    await open.settled();
    expect(await unsentOf(walk)).toBe(1);
    const sizes: number[] = [];
    const weighed: Line["between"] = async (request, go) => {
      if (request.url.endsWith("/updates")) sizes.push((await request.clone().arrayBuffer()).byteLength);
      return go(request);
    };
    await withBetween(line, weighed, () => round.go());
    expect(sizes.length).toBe(1);
    expect(sizes[0]).toBeLessThan(200);
    // Somebody else has the walk, and types into it.
    const theirs = new Y.Doc({ gc: false });
    for (const one of await unpackAll(
      (await office.api("GET", `/api/walks/${walk}/updates`)).bytes as Uint8Array<ArrayBuffer>,
    ))
      Y.applyUpdate(theirs, one.update);
    const before = Y.encodeStateVector(theirs);
    (theirs.getMap("marks").get(id) as Y.Map<string>).set("filled", "sealant");
    const update = Y.encodeStateAsUpdate(theirs, before) as Uint8Array<ArrayBuffer>;
    const body = await pack({ device: crypto.randomUUID(), toldAt: 1, update });
    await office.api("POST", `/api/walks/${walk}/updates`, {
      body,
      headers: { "content-type": "application/octet-stream" },
    });
    await round.go();
    expect(open.item("marks", id)).toMatchObject({ width: "1 in", filled: "sealant" });
    open.undo();
    expect(open.item("marks", id)).toMatchObject({ width: "0/16 in", filled: "sealant" });
    await giveBack(walk);
  });

  it("tells the office when each thing was typed", async () => {
    vi.useFakeTimers({ toFake: ["Date"] });
    vi.setSystemTime("2026-04-16T09:00:00Z");
    const { walk } = await begun();
    const open = await borrow(walk);
    open.say("walk", "name", "in the morning");
    await open.settled();
    vi.setSystemTime("2026-04-16T16:30:00Z");
    open.say("walk", "address", "in the afternoon");
    await open.settled();
    vi.useRealTimers();
    await round.go();
    const { items } = (await office.api("GET", `/api/walks/${walk}/history`)).json;
    const told = Object.fromEntries(
      items.map((one: { field: string; told_at: string }) => [one.field, one.told_at.slice(0, 16)]),
    );
    expect(told).toMatchObject({ name: "2026-04-16T09:00", address: "2026-04-16T16:30" });
    await giveBack(walk);
  });

  it("goes on where the office was away, and keeps all meanwhile", async () => {
    const { job, walk } = await begun();
    line.away = true;
    const open = await borrow(walk);
    for (let n = 0; n < 50; n++) {
      open.say("answers", `fact ${n}`, String(n));
      if (n % 10 === 0) expect((await round.go()).ended).toBe("not reached");
    }
    await open.settled();
    // Nothing piles up: one request was tried each time.
    expect(line.requests).toEqual(Array(5).fill("GET /api/session"));
    line.away = false;
    expect((await round.go()).ended).toBe("done");
    expect(Object.keys((await record(walk)).answers).length).toBe(50);
    expect(await keptJob(job)).toMatchObject({ walksToSend: [], unsent: [] });
    await giveBack(walk);
  });

  it("is told what the office will not have, sends the rest, and loses nothing", async () => {
    const bad = await openJob({ name: "x".repeat(5_000) });
    const { walk } = await begun();
    const open = await borrow(walk);
    open.say("walk", "name", "good");
    await open.settled();
    const { ended, trouble } = await round.go();
    expect(ended).toBe("refused");
    expect(trouble).toBeInstanceOf(Error);
    expect((await record(walk)).walk.name).toBe("good");
    expect((await keptJob(bad.key))?.name.length).toBe(5_000);
    await (await phone()).delete("jobs", bad.key);
    await giveBack(walk);
  });
});

describe("a second device", () => {
  it("fetches the jobs, their walks and what is in them", async () => {
    const made = (await office.api("POST", "/api/jobs", { json: { name: "from elsewhere" } })).json;
    const begun = (await office.api("POST", `/api/jobs/${made.id}/walks`, { json: {} })).json;
    await fetchJobs();
    expect((await fetchWalks(made.id))?.walks).toEqual([begun.id]);
    await exchange(begun.id);
    expect(openWalks()).toEqual([]);
    expect(await unsentOf(begun.id)).toBe(0);
  });
});

describe("photos", () => {
  it("go in pieces, on from where they broke off, and are at the office byte for byte", async () => {
    const { walk } = await begun();
    const file = picture(3_400_000);
    const photo = await takeIn(walk, file);
    let pieces = 0;
    const broken: Line["between"] = async (request, go) => {
      if (request.method === "PATCH" && ++pieces === 3) throw new TypeError("broken off");
      return go(request);
    };
    expect((await withBetween(line, broken, () => round.go())).ended).toBe("not reached");
    expect((await unsentPhotos(walk)).length).toBe(1);
    line.requests.length = 0;
    expect((await round.go()).ended).toBe("done");
    // Two of four pieces were there.
    expect(line.requests.filter((one) => one.startsWith("PATCH")).length).toBe(2);
    expect(await unsentPhotos(walk)).toEqual([]);
    const [there] = (await office.api("GET", `/api/walks/${walk}/photos`)).json.items;
    expect(there.sha256).toBe(photo.sha256);
    const { bytes } = await office.api("GET", `/api/photos/${there.id}`);
    expect(bytes.length).toBe(file.size);
    expect(hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes as Uint8Array<ArrayBuffer>)))).toBe(
      photo.sha256,
    );
    expect(hex(new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer())))).toBe(photo.sha256);
    line.requests.length = 0;
    await round.go();
    expect(line.requests.filter((one) => one.includes("upload"))).toEqual([]);
  }, 30_000);

  it("stay on the device until room is wanted, and longer when they are not at the office", async () => {
    const { walk } = await begun();
    const sent = await takeIn(walk, picture(50_000));
    await round.go();
    line.away = true;
    const unsent = await takeIn(walk, picture(60_000));
    await round.go();
    line.away = false;
    await release();
    expect((await photoOf(sent.id))?.bytes).toBe(null);
    expect((await photoOf(unsent.id))?.bytes?.size).toBe(60_000);
    await round.go();
    expect(await unsentPhotos(walk)).toEqual([]);
  });

  it("that the office cannot read as one are told, and not sent for ever", async () => {
    const { walk } = await begun();
    await takeIn(walk, new File([new Uint8Array(2_000)], "no.jpg"));
    expect((await round.go()).ended).toBe("refused");
    line.requests.length = 0;
    await round.go();
    expect(line.requests.filter((one) => one.includes("upload"))).toEqual([]);
  });
});

describe("a saved file", () => {
  it("is taken in by the office as the same walk, later saves too", async () => {
    const { walk } = await begun();
    line.away = true;
    const open = await borrow(walk);
    open.add("marks", { mark: "crack", width: "1/4 in" });
    await open.settled();
    const first = await (await walkFile(walk)).arrayBuffer();
    open.say("walk", "name", "later");
    await open.settled();
    const later = await (await walkFile(walk)).arrayBuffer();
    await giveBack(walk);
    line.away = false;
    const job = (await office.api("POST", "/api/jobs", { json: { name: "by file" } })).json.id;
    const headers = { "content-type": "application/octet-stream" };
    const one = await office.api("POST", `/api/jobs/${job}/walks/file?walk=${walk}`, { body: first, headers });
    const two = await office.api("POST", `/api/jobs/${job}/walks/file?walk=${walk}`, { body: later, headers });
    expect([one.status, two.status, two.json.walk.id]).toEqual([201, 200, walk]);
    const plain = await record(walk);
    expect([Object.keys(plain.marks).length, plain.walk.name]).toEqual([1, "later"]);
  });
});

describe("after signing out", () => {
  it("it is said again", async () => {
    await signOut();
    expect((await round.go()).ended).toBe("signed out");
  });
});
