/** Old repairs as strips at their true width: solid where they sound solid, hatched where hollow, taps as dots. */

import { along, contains, grown, lengthOf, meets, nearestOnLine, strip, type XY } from "../../model/geometry";
import type { PlanMark } from "../content";
import { boxOfMark, linesOf, middleOf, wordOf } from "../marks";
import type { Pen } from "../pen";
import type { Scene } from "../scene";

/** States that mean the strip has let go. */
const LET_GO: ReadonlySet<string> = new Set(["hollow", "rippled", "split", "lifted"]);
const HATCH = 1.1; // mm
const LEAST_WIDE = 1.3; // mm
const TAP_REACH_M = 0.3;
/** A strip whose width nobody taped is drawn so wide: about a foot, as most are laid (common practice) [m]. */
const USUAL_WIDE_M = 0.3;

export type Sounds = "hollow" | "solid" | "not sounded";

export function* drawRepairs(scene: Scene): Generator<void> {
  const taps = scene.of("sounding");
  for (const mark of scene.of("old-repair")) {
    const near = tapsOn(mark, taps);
    for (const [ring, sounds] of parts(scene.pen, mark, near)) part(scene.pen, ring, sounds);
    for (const ring of rings(scene.pen, mark)) scene.pen.outline(ring, { width: 0.2 });
    yield;
  }
  for (const mark of taps) tap(scene.pen, scene.pen.place(middleOf(mark)), wordOf(mark, "sounds"));
}

export function tapsOn(mark: PlanMark, taps: readonly PlanMark[]): PlanMark[] {
  const half = (mark.sizes_m.strip_width ?? USUAL_WIDE_M) / 2;
  const box = grown(boxOfMark(mark), half + TAP_REACH_M);
  const [line = []] = linesOf(mark);
  return taps.filter((tap) => {
    const at = middleOf(tap);
    if (!meets([at[0], at[1], at[0], at[1]], box)) return false;
    if (mark.geometry.type === "Polygon" && contains(line, at)) return true;
    const reach = mark.geometry.type === "Polygon" ? TAP_REACH_M : half + TAP_REACH_M;
    return nearestOnLine(line, at).distance <= reach;
  });
}

/** How a mark was said to sound as a whole. */
export function soundsOf(mark: PlanMark): Sounds {
  const state = wordOf(mark, "state");
  return state === undefined ? "not sounded" : LET_GO.has(state) ? "hollow" : "solid";
}

function parts(pen: Pen, mark: PlanMark, taps: readonly PlanMark[]): (readonly [readonly XY[], Sounds])[] {
  if (taps.length >= 2 && mark.geometry.type === "LineString") return betweenTaps(pen, mark, taps);
  const [first] = taps;
  const sounds = soundsOf(mark);
  const all = sounds === "not sounded" && first !== undefined ? ofTap(first) : sounds;
  return rings(pen, mark).map((ring) => [ring, all] as const);
}

function ofTap(tap: PlanMark): Sounds {
  const sounds = wordOf(tap, "sounds");
  return sounds === "hollow" || sounds === "solid" ? sounds : "not sounded";
}

/** Each stretch of a strip sounds as the tap that is nearest along it. */
function betweenTaps(pen: Pen, mark: PlanMark, taps: readonly PlanMark[]): (readonly [XY[], Sounds])[] {
  const [line = []] = linesOf(mark);
  const long = lengthOf(line);
  const inOrder = taps.map((tap) => ({ tap, on: stationOn(line, middleOf(tap)) })).sort((a, b) => a.on - b.on);
  return inOrder.map(({ tap, on }, i) => {
    const before = inOrder[i - 1];
    const after = inOrder[i + 1];
    const from = before === undefined ? 0 : (before.on + on) / 2;
    const to = after === undefined ? long : (on + after.on) / 2;
    return [stripIn(pen, mark, stretch(line, from / long, to / long)), ofTap(tap)] as const;
  });
}

/** How far along a line its point nearest to a place lies. */
function stationOn(line: readonly XY[], at: XY): number {
  const near = nearestOnLine(line, at);
  return lengthOf([...line.slice(0, near.segment + 1), near.at]);
}

function stretch(line: readonly XY[], from: number, to: number): XY[] {
  const long = lengthOf(line);
  const between = line.filter((_, i) => {
    const on = lengthOf(line.slice(0, i + 1)) / long;
    return on > from && on < to;
  });
  return [along(line, from).at, ...between, along(line, to).at];
}

function rings(pen: Pen, mark: PlanMark): (readonly XY[])[] {
  const [line = []] = linesOf(mark);
  return mark.geometry.type === "Polygon" ? [pen.places(line)] : [stripIn(pen, mark, line)];
}

function stripIn(pen: Pen, mark: PlanMark, line: readonly XY[]): XY[] {
  const wide = Math.max(pen.long(mark.sizes_m.strip_width ?? USUAL_WIDE_M), LEAST_WIDE * pen.mm);
  return strip(pen.places(line), wide);
}

export function part(pen: Pen, ring: readonly XY[], sounds: Sounds): void {
  pen.fill(ring, sounds === "solid" ? pen.inks.hairline : pen.inks.paper);
  if (sounds === "hollow") pen.hatch(ring, HATCH);
}

export function tap(pen: Pen, at: XY, sounds: string | undefined): void {
  pen.dot(at, 0.5, sounds === "solid" ? pen.inks.ink : pen.inks.paper, 0.18);
}
