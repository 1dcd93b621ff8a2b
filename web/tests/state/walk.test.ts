/** An open walk as screens see it. */
import { describe, expect, it } from "vitest";
import type { Value } from "../../src/model/document";
import type { GeometryM } from "../../src/model/frame";
import { geometryOf } from "../../src/model/frame";
import { settings } from "../../src/state/settings.svelte";
import { Walk } from "../../src/state/walk.svelte";

const LINE: GeometryM = {
  type: "LineString",
  coordinates: [
    [0, 0],
    [3.048, -1.524],
  ],
};

describe("a mark that is drawn", () => {
  // It is written in the units of the walk, not of who reads it.
  it.each([
    ["us", "metric", ["10 ft", "-5 ft"]],
    ["metric", "us", ["3.048 m", "-1.524 m"]],
  ] as const)("lies where it was drawn: walk in %s, reader in %s", async (own, readers, end) => {
    const walk = await Walk.open(crypto.randomUUID());
    walk.open.say("walk", "units", own);
    settings.change({ units: readers });
    const id = walk.addMark("crack", "a", LINE, { width: "1/2 in" });
    const mark = walk.open.item("marks", id);
    const geometry = { type: "LineString", coordinates: [[expect.any(String), expect.any(String)], end] };
    expect(mark).toMatchObject({ mark: "crack", pad: "a", width: "1/2 in", order: 1, geometry });
    expect(geometryOf(mark?.geometry as Value, own)).toEqual(LINE);
    await walk.close();
  });
});
