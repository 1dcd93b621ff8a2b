/** Low spots as water: contours with ticks inward, more broken where less likely, the depth at the deepest point. */

import { boxOf, closed, contains, inside, lengthOf, simplified, spread, type XY } from "../../model/geometry";
import type { PlanLowSpot } from "../content";
import { linesOf } from "../marks";
import type { Pen } from "../pen";
import type { Scene } from "../scene";

const TICK_EVERY = 3.2; // mm
const TICK = 1.0; // mm
/** The outline of what was read from a grid goes by its steps: that much is taken off it. */
const SMOOTH = 0.5; // mm
const CELL_M = 0.15;
/** A spot at least so likely is drawn with these dashes [mm]. */
const DASHES: readonly (readonly [number, readonly number[]])[] = [
  [0.9, []],
  [0.6, [2.6, 0.8]],
  [0.3, [1.3, 1.0]],
  [0, [0.6, 1.2]],
];

export function dashesOf(likelihood: number | undefined): readonly number[] {
  return likelihood === undefined ? [] : (DASHES.find(([least]) => likelihood >= least)?.[1] ?? []);
}

export function* drawLowSpots(scene: Scene): Generator<void> {
  for (const spot of scene.content.lowSpots ?? []) if (scene.pen.sees(boxOf(spot.outline_m))) drawRead(scene, spot);
  for (const mark of scene.of("low-spot")) {
    const [outline] = linesOf(mark);
    if (outline === undefined || outline.length < 3) continue;
    const ring = scene.pen.places(outline);
    pool(scene.pen, ring, []);
    const depth = mark.sizes_m.depth;
    if (depth !== undefined) depthAt(scene, inside(ring), depth, lengthOf(ring));
    yield;
  }
}

function drawRead(scene: Scene, spot: PlanLowSpot): void {
  const { pen } = scene;
  const ring = smooth(
    spot.outline_m.map((at) => pen.place(at)),
    Math.max(SMOOTH * pen.mm, pen.long(CELL_M)),
  );
  pool(pen, ring, dashesOf(spot.likelihood));
  for (const contour of spot.contours ?? [])
    pen.lines(
      contour.lines_m.map((line) => pen.places(line)),
      { width: 0.15 },
    );
  const at = spot.deepest_m ? pen.place(spot.deepest_m) : inside(ring);
  if (spot.depth_mm !== undefined && spot.depth_mm > 0) depthAt(scene, at, spot.depth_mm / 1000, lengthOf(ring));
}

function depthAt(scene: Scene, at: XY, depth: number, room: number): void {
  const reach = 0.7 * scene.pen.mm;
  scene.pen.lines(
    [
      [
        [at[0] - reach, at[1]],
        [at[0] + reach, at[1]],
      ],
      [
        [at[0], at[1] - reach],
        [at[0], at[1] + reach],
      ],
    ],
    { width: 0.25 },
  );
  scene.word(scene.say("deep", { depth: scene.small(depth) }), at, 60 + depth * 1000, { room });
}

/** A ring without the steps of a grid: fewer points, their corners cut twice. */
function smooth(ring: readonly XY[], tolerance: number): readonly XY[] {
  const cut = (points: readonly XY[]): XY[] =>
    points.flatMap((a, i): XY[] => {
      const b = points[(i + 1) % points.length] as XY;
      return [
        [0.75 * a[0] + 0.25 * b[0], 0.75 * a[1] + 0.25 * b[1]],
        [0.25 * a[0] + 0.75 * b[0], 0.25 * a[1] + 0.75 * b[1]],
      ];
    });
  const fewer = simplified(ring, tolerance);
  return fewer.length < 4 ? ring : cut(cut(fewer));
}

/** Water inside a depression contour. */
export function pool(pen: Pen, ring: readonly XY[], dashes: readonly number[]): void {
  pen.fill(ring, pen.inks.water);
  pen.outline(ring, { width: 0.28, dashes });
  const round = closed(ring);
  const long = lengthOf(round);
  const count = Math.min(Math.max(Math.floor(long / (TICK_EVERY * pen.mm)), 5), 400);
  const reach = Math.min(TICK * pen.mm, long / 12);
  const ticks = spread(round, count).map(({ at, towards }): XY[] => {
    const left: XY = [at[0] - towards[1] * reach, at[1] + towards[0] * reach];
    const right: XY = [at[0] + towards[1] * reach, at[1] - towards[0] * reach];
    const probe: XY = [at[0] - (towards[1] * reach) / 4, at[1] + (towards[0] * reach) / 4];
    return [at, contains(ring, probe) ? left : right];
  });
  pen.lines(ticks, { width: 0.22 });
}
