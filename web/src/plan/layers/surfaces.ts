/** Lines of equal height, and a new surface: stippled where it cuts into the old one, ruled where it lies over it. */

import { along, type Box, boxOf, lengthOf, type XY } from "../../model/geometry";
import type { PlanLine, PlanSurface } from "../content";
import type { Pen } from "../pen";
import type { Scene } from "../scene";

const HEIGHT = { width: 0.16 };
export const THICKNESS = { width: 0.2 };
export const ZERO = { width: 0.6 };
export const MILLED = { width: 0.35, dashes: [0.4, 0.9] };
/** Rows of dots, and ruled lines, stand so far apart; along a ruled line it is asked so often whether it goes on [mm]. */
const [STIPPLE, RULING, ALONG] = [1.8, 3.0, 1.2];
/** A line that is shorter than this on the sheet has no words [mm]. */
const SPOKEN = 14;

export function* drawHeights(scene: Scene): Generator<void> {
  for (const line of scene.content.heights ?? []) {
    drawLine(scene, line, HEIGHT, `+${scene.small(line.value_m)}`);
    yield;
  }
}

/** A line of one value, its value on the longest piece of it. */
function drawLine(scene: Scene, line: PlanLine, stroke: { readonly width: number }, text: string): void {
  const { pen } = scene;
  const all = line.lines_m.filter((points) => pen.sees(boxOf(points))).map((points) => pen.places(points));
  pen.lines(all, stroke);
  const longest = all.reduce<readonly XY[]>((one, other) => (lengthOf(other) > lengthOf(one) ? other : one), []);
  const room = lengthOf(longest);
  if (room < SPOKEN * pen.mm) return;
  const [at, ...orAt] = [0.5, 0.3, 0.7, 0.15, 0.85].map((share) => along(longest, share).at);
  if (at === undefined) return;
  scene.word(text, at, 15, { isInside: true, isClear: true, orAt, room });
}

export function* drawCutAndFill(scene: Scene): Generator<void> {
  const { pen, content } = scene;
  const { surface } = content;
  if (surface === undefined) return;
  const over = overAt(pen, surface);
  const { raster } = surface;
  const [left, bottom] = pen.place([raster.x0_m, raster.y0_m]);
  const [right, top] = pen.place([
    raster.x0_m + (raster.columns - 1) * raster.cell_m,
    raster.y0_m + (raster.rows - 1) * raster.cell_m,
  ]);
  const seen: Box = [
    Math.max(left, 0),
    Math.max(top, 0),
    Math.min(right, pen.view.width_px),
    Math.min(bottom, pen.view.height_px),
  ];
  ruled(pen, seen, (at) => over(at) > 0);
  yield;
  stippled(pen, seen, (at) => over(at) < 0);
  yield;
  for (const line of surface.thickness)
    drawLine(scene, line, THICKNESS, scene.say("thick", { depth: scene.small(line.value_m) }));
  pen.lines(
    surface.zero_m.map((points) => pen.places(points)),
    ZERO,
  );
  pen.lines(
    surface.milled_m.map((points) => pen.places(points)),
    MILLED,
  );
  const { at_m, thickness_m } = surface.thickest;
  scene.word(scene.say("thick", { depth: scene.small(thickness_m) }), pen.place(at_m), 82);
  if (surface.deepest === undefined) return;
  const { at_m: deepest, depth_m } = surface.deepest;
  scene.word(scene.say("mill", { depth: scene.small(depth_m) }), pen.place(deepest), 83);
}

/** What lies over or under at a place of the sheet: that of the nearest node; no number off the pad. */
function overAt(pen: Pen, { raster, over_m }: PlanSurface): (at: XY) => number {
  const [left, bottom] = pen.place([raster.x0_m, raster.y0_m]);
  const cell = pen.long(raster.cell_m);
  return ([x, y]) => {
    const [column, row] = [Math.round((x - left) / cell), Math.round((bottom - y) / cell)];
    if (column < 0 || row < 0 || column >= raster.columns || row >= raster.rows) return Number.NaN;
    return over_m[row * raster.columns + column] as number;
  };
}

/** Rows of dots, every other one moved by half a step, wherever `holds`. */
export function stippled(pen: Pen, [left, top, right, bottom]: Box, holds: (at: XY) => boolean): void {
  const { context } = pen;
  const step = STIPPLE * pen.mm;
  const radius = 0.22 * pen.mm;
  context.beginPath();
  for (let row = Math.ceil(top / step); row * step <= bottom; row++) {
    const from = row % 2 === 0 ? 0 : step / 2;
    for (let column = Math.ceil((left - from) / step); column * step + from <= right; column++) {
      const [x, y] = [column * step + from, row * step];
      if (!holds([x, y])) continue;
      context.moveTo(x + radius, y);
      context.arc(x, y, radius, 0, 2 * Math.PI);
    }
  }
  context.fillStyle = pen.inks.ink;
  context.fill();
}

/** Ruled lines that fall to the right, wherever `holds`; hatches of other layers rise. */
export function ruled(pen: Pen, [left, top, right, bottom]: Box, holds: (at: XY) => boolean): void {
  const { context } = pen;
  const step = RULING * pen.mm * Math.SQRT2;
  const along = ALONG * pen.mm;
  context.beginPath();
  for (let k = Math.ceil((left - bottom) / step); k * step <= right - top; k++) {
    const across = k * step;
    let from: XY | null = null;
    const first = Math.max(top, left - across);
    const last = Math.min(bottom, right - across);
    for (let y = first; y <= last + along; y += along) {
      const at: XY = [Math.min(y, last) + across, Math.min(y, last)];
      const isOn = y <= last && holds(at);
      if (isOn && from === null) from = at;
      else if (!isOn && from !== null) {
        pen.trace([from, at]);
        from = null;
      }
    }
  }
  pen.stroke({ width: 0.1 });
}
