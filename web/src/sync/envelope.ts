/**
 * Updates of a walk in envelopes, so that any damage on the way shows (docs/explanation/walk-document.md).
 *
 * A walk as one file, and what one request brings, are envelopes one after the other.
 */

/** Larger updates are refused by the office. [bytes] */
export const MOST_UPDATE = 8_000_000;

/** One update with what its device tells of it. */
export interface Envelope {
  /** UUID. */
  device: string;
  /** When the device says it was made: milliseconds since 1970. */
  toldAt: number;
  update: Uint8Array<ArrayBuffer>;
}

/** Bytes that are no envelopes, or damaged ones. */
export class DamagedEnvelope extends Error {}

const MAGIC = new TextEncoder().encode("cw-walk");
const VERSION = 1;
const HEAD = 36;
const HASH = 32;
const AT = { version: 7, device: 8, toldAt: 24, length: 32 } as const;

export async function pack(envelope: Envelope): Promise<Uint8Array<ArrayBuffer>> {
  const { device, toldAt, update } = envelope;
  if (update.length === 0 || update.length > MOST_UPDATE) throw new RangeError(`an update of ${update.length} bytes`);
  const whole = new Uint8Array(HEAD + HASH + update.length);
  const view = new DataView(whole.buffer);
  whole.set(MAGIC);
  view.setUint8(AT.version, VERSION);
  whole.set(bytesOf(device), AT.device);
  view.setBigInt64(AT.toldAt, BigInt(Math.trunc(toldAt)));
  view.setUint32(AT.length, update.length);
  whole.set(update, HEAD + HASH);
  whole.set(await hash(whole), HEAD);
  return whole;
}

/** The envelopes of an answer or a file; throws `DamagedEnvelope` when anything in it is damaged. */
export async function unpackAll(bytes: Uint8Array<ArrayBuffer>): Promise<Envelope[]> {
  const found: Envelope[] = [];
  for (let at = 0; at < bytes.length; ) {
    const length = lengthAt(bytes, at);
    const whole = bytes.subarray(at, at + HEAD + HASH + length);
    found.push(await opened(whole));
    at += whole.length;
  }
  return found;
}

function lengthAt(bytes: Uint8Array<ArrayBuffer>, at: number): number {
  const left = bytes.length - at;
  if (left < HEAD + HASH) throw new DamagedEnvelope("cut off");
  if (MAGIC.some((byte, index) => bytes[at + index] !== byte)) throw new DamagedEnvelope("no envelope");
  const view = new DataView(bytes.buffer, bytes.byteOffset + at);
  if (view.getUint8(AT.version) !== VERSION) throw new DamagedEnvelope("another version");
  const length = view.getUint32(AT.length);
  if (length === 0 || length > MOST_UPDATE) throw new DamagedEnvelope("too long");
  if (left < HEAD + HASH + length) throw new DamagedEnvelope("cut off");
  return length;
}

async function opened(whole: Uint8Array<ArrayBuffer>): Promise<Envelope> {
  const told = whole.subarray(HEAD, HEAD + HASH);
  const found = await hash(whole);
  if (found.some((byte, index) => byte !== told[index])) throw new DamagedEnvelope("damaged");
  const toldAt = Number(new DataView(whole.buffer, whole.byteOffset).getBigInt64(AT.toldAt));
  return { device: uuidOf(whole.subarray(AT.device, AT.device + 16)), toldAt, update: whole.slice(HEAD + HASH) };
}

/** Of the head followed by the update. */
async function hash(whole: Uint8Array<ArrayBuffer>): Promise<Uint8Array> {
  const hashed = new Uint8Array(whole.length - HASH);
  hashed.set(whole.subarray(0, HEAD));
  hashed.set(whole.subarray(HEAD + HASH), HEAD);
  return new Uint8Array(await crypto.subtle.digest("SHA-256", hashed));
}

function bytesOf(uuid: string): Uint8Array {
  const digits = uuid.replaceAll("-", "");
  if (!/^[0-9a-f]{32}$/i.test(digits)) throw new RangeError(`no UUID: ${uuid}`);
  return Uint8Array.from({ length: 16 }, (_, index) => Number.parseInt(digits.slice(2 * index, 2 * index + 2), 16));
}

function uuidOf(bytes: Uint8Array): string {
  return hex(bytes).replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

/** Bytes as digits, two for each. */
export function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
