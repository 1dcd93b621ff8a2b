/** A walk is exchanged with the office: only what is lacking goes, and comes. */
import { send } from "../api/office";
import { Problem } from "../api/problem";
import { ring } from "./bell";
import { borrow, giveBack } from "./borrow";
import { pack, unpackAll } from "./envelope";
import type { OpenWalk } from "./open_walk";
import { aheadBy, type Part } from "./parts";
import { deviceId, type OfficeKnows, phone } from "./phone";
import { vectorOf } from "./walk_store";

/** Less than the office takes in one request, which is 32 MB and 2,000 updates. */
const MOST_SENT = 16_000_000;
const MOST_PARTS = 1_000;
/** A longer address would be refused; then all is fetched. */
const LONGEST_VECTOR = 30_000;

/** Send what the office lacks of a walk, fetch what this device lacks. */
export async function exchange(walk: string): Promise<void> {
  const open = await borrow(walk);
  try {
    const there = await fetched(open);
    const here = open.vector;
    const knows = aheadBy(here, there.vector) === 0 ? there : await sent(open, there);
    await (await phone()).put("office", { ...knows, at: Date.now() }, walk);
    ring({ kind: "sent", walk });
  } catch (error) {
    if (error instanceof Problem && error.status >= 400 && error.status < 500 && error.status !== 401)
      await refused(walk, error);
    throw error;
  } finally {
    await giveBack(walk);
  }
}

/** How much of a walk on this device is not at the office, as far as is known here. */
export async function unsentOf(walk: string): Promise<number> {
  const here = await vectorOf(walk);
  if (here === null) return 0;
  return aheadBy(here, (await (await phone()).get("office", walk))?.vector ?? null);
}

async function fetched(open: OpenWalk): Promise<OfficeKnows> {
  const vector = base64(open.vector);
  const since = vector.length > LONGEST_VECTOR ? "" : vector;
  const answer = await send(`/api/walks/${open.id}/updates?since=${since}`);
  const envelopes = await unpackAll(new Uint8Array(await answer.arrayBuffer()));
  open.takeIn(envelopes.map((one) => one.update));
  await open.settled();
  return {
    vector: bytesOf(answer.headers.get("Walk-Vector") ?? ""),
    seq: Number(answer.headers.get("Walk-Seq")),
    at: Date.now(),
  };
}

async function sent(open: OpenWalk, there: OfficeKnows): Promise<OfficeKnows> {
  const device = await deviceId();
  let knows = there;
  for (const parts of requests(await open.lacking(there.vector))) {
    const envelopes = await Promise.all(parts.map((part) => pack({ device, ...part })));
    const body = new Blob(envelopes);
    const headers = { "Content-Type": "application/octet-stream" };
    const answer = await send(`/api/walks/${open.id}/updates`, { method: "POST", body, headers });
    const told = (await answer.json()) as { vector: string; seq: number };
    knows = { vector: bytesOf(told.vector), seq: told.seq, at: 0 };
  }
  return knows;
}

function* requests(parts: readonly Part[]): Generator<Part[]> {
  let request: Part[] = [];
  let size = 0;
  for (const part of parts) {
    if (request.length === MOST_PARTS || (size > 0 && size + part.update.length > MOST_SENT)) {
      yield request;
      request = [];
      size = 0;
    }
    request.push(part);
    size += part.update.length;
  }
  if (request.length > 0) yield request;
}

/** What the office will not have is told, and stays here. */
async function refused(walk: string, problem: Problem): Promise<void> {
  const database = await phone();
  const knows = (await database.get("office", walk)) ?? { vector: new Uint8Array([0]), seq: 0, at: 0 };
  await database.put("office", { ...knows, refused: `${problem.message} ${problem.todo}`.trim() }, walk);
  ring({ kind: "refused", walk });
}

/** Base64 as it may stand in an address. */
function base64(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

function bytesOf(text: string): Uint8Array {
  return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
}
