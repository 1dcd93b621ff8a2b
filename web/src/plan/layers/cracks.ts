/** Cracks, as wide as they are times a factor that is written on the drawing; ends that may run on are open. */

import { along, closed, lengthOf, nearestOnLine, type XY } from "../../model/geometry";
import type { PlanMark } from "../content";
import { linesOf } from "../marks";
import { distanceTo, type Nearby } from "../nearby";
import type { Pen } from "../pen";
import type { Scene } from "../scene";

const FACTORS = [20, 10, 5, 2, 1];
const WIDEST_DRAWN = 1.2; // mm
const LEAST_DRAWN = 0.22; // mm
/** As near as this to another crack or an edge, an end has met it. */
const END_REACH_M = 0.3;
export const UNMEASURED = [1.6, 0.9] as const;

const widest = new WeakMap<ReadonlyMap<string, PlanMark>, number>();

/** How many times as wide as they are the cracks of a sheet are drawn: so that the widest is not too wide. */
export function factorOf(marks: ReadonlyMap<string, PlanMark>, pen: Pick<Pen, "long" | "mm">): number | null {
  let width = widest.get(marks);
  if (width === undefined) {
    width = -1;
    for (const mark of marks.values()) if (mark.kind === "crack") width = Math.max(width, mark.sizes_m.width ?? 0);
    widest.set(marks, width);
  }
  const at = pen.long(width);
  return width < 0 ? null : (FACTORS.find((factor) => at * factor <= WIDEST_DRAWN * pen.mm) ?? 1);
}

/** How wide a crack is drawn [mm of paper]. */
export function drawnWidth(width_m: number | undefined, factor: number, pen: Pick<Pen, "long" | "mm">): number {
  return width_m === undefined ? LEAST_DRAWN : Math.max((pen.long(width_m) * factor) / pen.mm, LEAST_DRAWN);
}

/** Dashes of a proposal: the less sure, the shorter [mm]. */
export function proposalDashes(sureness = 0.5): readonly number[] {
  return [0.8 + 3 * Math.min(Math.max(sureness, 0), 1), 1];
}

export function* drawCracks(scene: Scene, nearby: Nearby): Generator<void> {
  const cracks = scene.of("crack");
  const factor = factorOf(scene.factorFrom, scene.pen) ?? 1;
  for (const mark of cracks) {
    drawCrack(scene.pen, mark, factor);
    wordOfCrack(scene, mark);
    yield;
  }
  yield* drawEnds(scene, cracks, nearby);
}

function drawCrack(pen: Pen, mark: PlanMark, factor: number, colour = pen.inks.ink): void {
  const [line = []] = linesOf(mark);
  const width_m = mark.sizes_m.width;
  const dashes = mark.isProposal ? proposalDashes(mark.sureness) : width_m === undefined ? UNMEASURED : [];
  pen.line(pen.places(line), { width: drawnWidth(width_m, factor, pen), colour, dashes });
}

function* drawEnds(scene: Scene, cracks: readonly PlanMark[], nearby: Nearby): Generator<void> {
  const { pen } = scene;
  // An end that cannot be told from its line on a small drawing would only blacken it.
  if (pen.view.resolution * pen.mm > 0.4) return;
  const outline = scene.content.pad?.outline_m ?? [];
  for (const mark of cracks) {
    for (const end of openEnds(mark, outline, nearby)) pen.dot(pen.place(end), 0.55, pen.inks.paper, 0.2);
    yield;
  }
}

/** The ends of a crack that meet neither another crack nor the edge of the pad. */
export function openEnds(mark: PlanMark, outline: readonly XY[], nearby: Nearby): XY[] {
  const [line = []] = linesOf(mark);
  const [first, last] = [line[0], line.at(-1)];
  if (first === undefined || last === undefined) return [];
  const edge = closed(outline);
  return [first, last].filter((end) => {
    if (edge.length > 1 && nearestOnLine(edge, end).distance <= END_REACH_M) return false;
    for (const other of nearby.in([
      end[0] - END_REACH_M,
      end[1] - END_REACH_M,
      end[0] + END_REACH_M,
      end[1] + END_REACH_M,
    ]))
      if (other.id !== mark.id && other.kind === "crack" && distanceTo(other, end) <= END_REACH_M) return false;
    return true;
  });
}

function wordOfCrack(scene: Scene, mark: PlanMark): void {
  const width = mark.sizes_m.width;
  if (width === undefined || mark.isProposal) return;
  const [line = []] = linesOf(mark);
  const long = lengthOf(line);
  const { at, towards } = along(line, 0.5);
  // Beside it, to the right or above.
  const side = Math.atan2(-Math.abs(towards[0]), Math.abs(towards[1]));
  const room = scene.pen.long(long) / 2;
  scene.word(scene.small(width), scene.pen.place(at), width * 1000 * long * 0.05, { side, room });
}
