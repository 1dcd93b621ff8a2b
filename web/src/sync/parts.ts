/** Cuts what a document has more than the office into updates that the office takes, each with the time it was typed. */
import * as encoding from "lib0/encoding";
import * as Y from "yjs";
import { MOST_UPDATE } from "./envelope";

/** One update, and when its values were typed: milliseconds since 1970. */
export interface Part {
  toldAt: number;
  update: Uint8Array<ArrayBuffer>;
}

/** Values of one editing round up to `clock`, not included, were typed at `at`. */
export interface TypedBy {
  client: number;
  clock: number;
  at: number;
}

type Struct = Y.Item | Y.GC | Y.Skip;

/** An update of a quarter of the most that is taken: that the last value of it is long does no harm. [bytes] */
const FULL = MOST_UPDATE / 4;
/** An update with more ids takes the office too long to try. */
const MOST_IDS = 50_000;

/** The updates that together are the one given, oldest first. */
export function partsOf(update: Uint8Array, typed: readonly TypedBy[], now: number): Part[] {
  const { structs, ds } = Y.decodeUpdate(update);
  const runs = runsOf(structs, whenTyped(typed, now)).sort((one, other) => one.toldAt - other.toldAt);
  const nothing = new Map<number, Deleted[]>();
  const parts = runs.map((run) => ({ toldAt: run.toldAt, update: encoded(run, nothing) }));
  // What was typed over goes with the last: all that it names has come by then.
  if (ds.clients.size > 0) {
    const last = runs.at(-1);
    parts.splice(-1, 1, { toldAt: last?.toldAt ?? now, update: encoded(last ?? null, ds.clients) });
  }
  return parts;
}

interface Run {
  toldAt: number;
  structs: Struct[];
}

/** Neighbouring values of one editing round that were typed in one minute, and are not too many. */
function runsOf(structs: readonly Struct[], when: (struct: Struct) => number): Run[] {
  const runs: Run[] = [];
  let run: Run | null = null;
  let client = -1;
  let size = 0;
  let ids = 0;
  for (const struct of structs) {
    const toldAt = when(struct);
    const isNext =
      run !== null && struct.id.client === client && toldAt === run.toldAt && size < FULL && ids < MOST_IDS;
    if (struct instanceof Y.Skip) {
      run = null;
      continue;
    }
    if (run === null || !isNext) {
      run = { toldAt, structs: [] };
      runs.push(run);
      client = struct.id.client;
      size = ids = 0;
    }
    run.structs.push(struct);
    size += sizeOf(struct);
    ids += struct.length;
  }
  return runs;
}

function sizeOf(struct: Struct): number {
  const encoder = new Y.UpdateEncoderV1();
  struct.write(encoder, 0);
  return encoding.length(encoder.restEncoder);
}

function whenTyped(typed: readonly TypedBy[], now: number): (struct: Struct) => number {
  const rounds = new Map<number, TypedBy[]>();
  for (const one of typed) rounds.set(one.client, [...(rounds.get(one.client) ?? []), one]);
  for (const round of rounds.values()) round.sort((one, other) => one.clock - other.clock);
  return ({ id }) => rounds.get(id.client)?.find((one) => one.clock > id.clock)?.at ?? now;
}

type Deleted = { clock: number; len: number };

/** A Yjs update, version 1. */
function encoded(run: Run | null, deleted: ReadonlyMap<number, readonly Deleted[]>): Uint8Array<ArrayBuffer> {
  const encoder = new Y.UpdateEncoderV1();
  const [first] = run?.structs ?? [];
  encoding.writeVarUint(encoder.restEncoder, first === undefined ? 0 : 1);
  if (run !== null && first !== undefined) {
    encoding.writeVarUint(encoder.restEncoder, run.structs.length);
    encoder.writeClient(first.id.client);
    encoding.writeVarUint(encoder.restEncoder, first.id.clock);
    for (const struct of run.structs) struct.write(encoder, 0);
  }
  encoding.writeVarUint(encoder.restEncoder, deleted.size);
  for (const [client, items] of deleted) {
    encoding.writeVarUint(encoder.restEncoder, client);
    encoding.writeVarUint(encoder.restEncoder, items.length);
    for (const { clock, len } of items) {
      encoding.writeVarUint(encoder.restEncoder, clock);
      encoding.writeVarUint(encoder.restEncoder, len);
    }
  }
  return encoder.toUint8Array() as Uint8Array<ArrayBuffer>;
}

/** How many values one side has that the other lacks; vectors as Yjs writes them. */
export function aheadBy(here: Uint8Array, there: Uint8Array | null): number {
  const known = there === null ? new Map<number, number>() : Y.decodeStateVector(there);
  let more = 0;
  for (const [client, clock] of Y.decodeStateVector(here)) more += Math.max(0, clock - (known.get(client) ?? 0));
  return more;
}
