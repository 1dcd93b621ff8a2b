/** @vitest-environment node */
/** Envelopes have the bytes that the office writes and reads (spec/cases/envelopes.json). */
import { describe, expect, it } from "vitest";
import cases from "../../../spec/cases/envelopes.json";
import { DamagedEnvelope, type Envelope, hex, MOST_UPDATE, pack, unpackAll } from "../../src/sync/envelope";

type Case = (typeof cases.packed)[number];

const bytes = (digits: string) => Uint8Array.from(digits.match(/../g) ?? [], (two) => Number.parseInt(two, 16));
const envelopeOf = (one: Case): Envelope => ({
  device: one.device,
  toldAt: one.told_at_ms,
  update: bytes(one.update),
});

describe("an envelope", () => {
  it.each(cases.packed)("has the office's bytes at $told_at_ms", async (one) => {
    expect(hex(await pack(envelopeOf(one)))).toBe(one.envelope);
    expect(await unpackAll(bytes(one.envelope))).toEqual([envelopeOf(one)]);
  });

  it("stands behind another", async () => {
    const found = await unpackAll(bytes(cases.together.bytes));
    expect(found).toEqual(cases.together.of.map((index) => envelopeOf(cases.packed[index] as Case)));
  });

  it.each(cases.damaged)("is refused when damaged: $because", async (one) => {
    await expect(unpackAll(bytes(one.bytes))).rejects.toBeInstanceOf(DamagedEnvelope);
  });

  it("holds something, and not more than the office takes", async () => {
    const device = "00000000-0000-0000-0000-000000000007";
    await expect(pack({ device, toldAt: 0, update: new Uint8Array() })).rejects.toThrow(RangeError);
    await expect(pack({ device, toldAt: 0, update: new Uint8Array(MOST_UPDATE + 1) })).rejects.toThrow(RangeError);
    await expect(pack({ device: "7", toldAt: 0, update: new Uint8Array(2) })).rejects.toThrow(RangeError);
  });
});
