/** What a point is caught by while it is drawn: corners and ends before lines, the nearest first. */

import { type Box, closed, distance, grown, meets, nearestOnLine, type XY } from "../model/geometry";
import type { CaughtBy, PlanContent } from "./content";
import { painted } from "./court_lines";
import { linesOf } from "./marks";
import type { Nearby } from "./nearby";

export interface Caught {
  readonly at: XY;
  readonly by: CaughtBy;
}

export interface Surroundings {
  readonly content: PlanContent;
  readonly nearby: Nearby;
  /** A mark that is being moved does not catch itself. */
  readonly without?: string | undefined;
  /** Where a drawing began: an area closes there. */
  readonly start?: XY | undefined;
}

/** A finger reaches so far [px], but never farther than a person would call the same place [m]. */
const POINT_REACH_PX = 14;
const LINE_REACH_PX = 9;
const POINT_REACH_M = 0.9;
const LINE_REACH_M = 0.4;

/** What catches a point at `resolution` [m/px]; null where it stays as it is. */
export function caught(at: XY, resolution: number, around: Surroundings): Caught | null {
  const pointReach = Math.min(POINT_REACH_PX * resolution, POINT_REACH_M);
  const lineReach = Math.min(LINE_REACH_PX * resolution, LINE_REACH_M);
  return (
    nearest(at, pointReach, points(at, pointReach, around)) ?? nearest(at, lineReach, lines(at, lineReach, around))
  );
}

function nearest(at: XY, reach: number, all: Iterable<Caught>): Caught | null {
  let [best, away]: [Caught | null, number] = [null, reach];
  for (const one of all) {
    const off = distance(at, one.at);
    if (off <= away && (best === null || off < away)) [best, away] = [one, off];
  }
  return best;
}

function* points(at: XY, reach: number, around: Surroundings): Generator<Caught> {
  const { content, nearby, without, start } = around;
  if (start !== undefined) yield { at: start, by: "start" };
  for (const corner of content.pad?.outline_m ?? []) yield { at: corner, by: "pad" };
  const box = grown([at[0], at[1], at[0], at[1]], reach);
  for (const court of content.courts) {
    const { corners, netPosts_m, box: ground } = painted(court);
    if (!meets(grown(ground, 2), box)) continue;
    for (const { at_m } of corners) yield { at: at_m, by: "corner" };
    for (const post of netPosts_m) yield { at: post, by: "court" };
  }
  for (const mark of nearby.in(box)) {
    if (mark.id === without) continue;
    if (mark.geometry.type === "Polygon") for (const corner of linesOf(mark)[0] ?? []) yield { at: corner, by: "mark" };
    else for (const end of [linesOf(mark)[0]?.[0], linesOf(mark)[0]?.at(-1)]) if (end) yield { at: end, by: "end" };
  }
}

function* lines(at: XY, reach: number, around: Surroundings): Generator<Caught> {
  const { content, nearby, without } = around;
  const box: Box = grown([at[0], at[1], at[0], at[1]], reach);
  for (const court of content.courts) {
    const { lines: all, box: ground } = painted(court);
    if (!meets(ground, box)) continue;
    for (const { middle_m } of all) yield { at: nearestOnLine(middle_m, at).at, by: "line" };
  }
  const outline = content.pad?.outline_m ?? [];
  if (outline.length > 2) yield { at: nearestOnLine(closed(outline), at).at, by: "pad" };
  for (const mark of nearby.in(box)) {
    if (mark.id === without) continue;
    for (const line of linesOf(mark))
      if (line.length > 1) {
        const round = mark.geometry.type === "Polygon" ? closed(line) : line;
        yield { at: nearestOnLine(round, at).at, by: "mark" };
      }
  }
}
