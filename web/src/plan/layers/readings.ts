/** What was measured on the pad and what the office made of it: slopes, the straightedge, shots, photos, tapes. */

import { bearing, type XY } from "../../model/geometry";
import type { PlanShot, Station } from "../content";
import type { Pen } from "../pen";
import type { Scene } from "../scene";

const LONG_AT_ONE_PERCENT = 14; // mm
const [SHORTEST, LONGEST] = [5, 34]; // mm

/** One arrow a court that points downhill, longer when steeper, with its percent. */
export function drawSlopes(scene: Scene): void {
  const { pen } = scene;
  for (const slope of scene.content.slopes ?? []) {
    const [x, y] = pen.place(slope.at_m);
    const long = Math.min(Math.max(Math.abs(slope.slope_pct) * LONG_AT_ONE_PERCENT, SHORTEST), LONGEST) * pen.mm;
    const [east, north] = bearing(slope.bearing_deg);
    const [dx, dy] = [(east * long) / 2, (-north * long) / 2];
    arrow(pen, [x - dx, y - dy], [x + dx, y + dy], 0.4);
    scene.keepClear([x - dx, y - dy], [x + dx, y + dy], 1.2 * pen.mm);
    scene.word(`${slope.slope_pct.toFixed(1)} %`, [x, y], 80, { side: -Math.PI / 2 });
  }
}

export function arrow(pen: Pen, tail: XY, head: XY, width: number): void {
  const long = Math.hypot(head[0] - tail[0], head[1] - tail[1]) || 1;
  const [ux, uy] = [(head[0] - tail[0]) / long, (head[1] - tail[1]) / long];
  const [back, wing] = [2.4 * pen.mm, 0.9 * pen.mm];
  const neck: XY = [head[0] - back * ux, head[1] - back * uy];
  pen.line([tail, neck], { width });
  pen.fill(
    [head, [neck[0] - wing * uy, neck[1] + wing * ux], [neck[0] + wing * uy, neck[1] - wing * ux]],
    pen.inks.ink,
  );
}

/** The straightedge itself, where the gap under it is widest. */
export function drawStraightedge(scene: Scene): void {
  const edge = scene.content.straightedge;
  if (edge === undefined) return;
  const [dx, dy] = bearing(edge.bearing_deg);
  const half = edge.length_m / 2;
  const [x, y] = edge.at_m;
  const ends = [scene.pen.place([x - dx * half, y - dy * half]), scene.pen.place([x + dx * half, y + dy * half])];
  straightedge(scene.pen, ends[0] as XY, ends[1] as XY);
  const shown = { gap: scene.small(edge.gap_mm / 1000), long: scene.length(edge.length_m) };
  scene.keepClear(ends[0] as XY, ends[1] as XY, scene.pen.mm);
  scene.word(scene.say("gap", shown), scene.pen.place(edge.at_m), 70, { room: scene.pen.long(edge.length_m) * 2 });
}

export function straightedge(pen: Pen, a: XY, b: XY): void {
  pen.line([a, b], { width: 1.4, colour: pen.inks.ink });
  pen.line([a, b], { width: 0.7, colour: pen.inks.paper });
}

/** Rod shots: a small cross; open where one is still to be taken, ringed where the next one is, or one is proposed. */
export function drawShots(scene: Scene): void {
  const { pen } = scene;
  for (const shot of scene.content.shots ?? []) {
    const at = pen.place(shot.at_m);
    shotSign(pen, at, shot);
    if (shot.text) {
      const isHeard = shot.isNext || shot.isProposed;
      scene.word(shot.text, at, isHeard ? 90 : 5, isHeard ? {} : { room: pen.long(2) });
    }
  }
}

export function shotSign(pen: Pen, [x, y]: XY, shot: Pick<PlanShot, "isTaken" | "isNext" | "isProposed">): void {
  const r = 0.8 * pen.mm;
  if (shot.isTaken === false) pen.dot([x, y], 0.45, pen.inks.paper, 0.2);
  else
    pen.lines([
      [
        [x - r, y],
        [x + r, y],
      ],
      [
        [x, y - r],
        [x, y + r],
      ],
    ]);
  if (shot.isProposed && !shot.isNext) {
    pen.context.beginPath();
    pen.context.arc(x, y, 2 * pen.mm, 0, 2 * Math.PI);
    pen.stroke({ width: 0.3, dashes: [1, 0.7] });
  }
  if (shot.isNext) {
    pen.context.beginPath();
    pen.context.arc(x, y, 2 * pen.mm, 0, 2 * Math.PI);
    pen.stroke({ width: 0.5, colour: pen.inks.madder });
  }
}

/** Where photos were taken from: a tick with its angle of view and a letter. */
export function drawStations(scene: Scene): void {
  for (const station of scene.content.stations ?? []) {
    const at = scene.pen.place(station.at_m);
    stationSign(scene.pen, at, station);
    const turn = ((station.bearing_deg ?? -90) * Math.PI) / 180;
    // Behind the photographer, where the angle of view is not.
    scene.word(station.letter, at, 92, { isBold: true, side: turn + Math.PI / 2 });
  }
}

export function stationSign(pen: Pen, at: XY, station: Pick<Station, "bearing_deg" | "angle_deg">): void {
  const { bearing_deg, angle_deg = 60 } = station;
  if (bearing_deg === undefined) {
    pen.dot(at, 0.7, pen.inks.ink);
    return;
  }
  const long = 5 * pen.mm;
  const sides = [-0.5, 0.5].map((side): XY => {
    const [dx, dy] = bearing(bearing_deg + side * angle_deg);
    return [at[0] + dx * long, at[1] - dy * long];
  });
  const [a, b] = sides as [XY, XY];
  pen.line([a, at, b], { width: 0.3 });
  const [tx, ty] = bearing(bearing_deg);
  const tick = 1.4 * pen.mm;
  pen.line(
    [
      [at[0] - ty * tick, at[1] - tx * tick],
      [at[0] + ty * tick, at[1] + tx * tick],
    ],
    { width: 0.45 },
  );
}

/** Arcs, lines and points of tapes. */
export function drawConstruction(scene: Scene): void {
  const { pen } = scene;
  for (const one of scene.content.construction ?? []) {
    if (one.type === "arc") {
      const at = pen.place(one.centre_m);
      pen.context.beginPath();
      pen.context.arc(at[0], at[1], pen.long(one.radius_m), 0, 2 * Math.PI);
      pen.stroke({ width: 0.2, dashes: [1.5, 1] });
      pen.dot(at, 0.5);
      if (one.text) scene.word(one.text, at, 95);
    } else if (one.type === "line") {
      const line = pen.places(one.points_m);
      pen.line(line, { width: 0.2, dashes: [1.5, 1] });
      const last = line.at(-1);
      if (one.text && last) scene.word(one.text, last, 95);
    } else {
      const at = pen.place(one.at_m);
      pen.dot(at, 0.9, pen.inks.paper, 0.4);
      pen.dot(at, 0.3);
      if (one.text) scene.word(one.text, at, 95);
    }
  }
}

/** The places of margin notes: a small ring, its letter beside it. */
export function drawNotes(scene: Scene): void {
  for (const note of scene.content.notes ?? []) {
    const at = scene.pen.place(note.at_m);
    scene.pen.dot(at, 0.6, scene.pen.inks.paper, 0.35);
    if (note.text) scene.word(note.text, at, 85, { isBold: true });
  }
}
