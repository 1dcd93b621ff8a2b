/** A mark's geometry as layers and searches need it. Worked out once for each mark object. */

import { along, type Box, boxOf, grown, inside, type XY } from "../model/geometry";
import type { PlanMark } from "./content";

/** The lines of a geometry: its outer ring and its holes, its line, or one point. */
export function linesOf(mark: PlanMark): readonly (readonly XY[])[] {
  const { geometry } = mark;
  if (geometry.type === "Point") return [[geometry.coordinates]];
  return geometry.type === "LineString" ? [geometry.coordinates] : geometry.coordinates;
}

const boxes = new WeakMap<PlanMark, Box>();

/** The box round a mark with what is drawn round it. */
export function boxOfMark(mark: PlanMark): Box {
  let box = boxes.get(mark);
  if (box === undefined) {
    const reach = Math.max(mark.sizes_m.radius ?? 0, mark.sizes_m.strip_width ?? 0);
    box = grown(boxOf(linesOf(mark).flat()), reach);
    boxes.set(mark, box);
  }
  return box;
}

/** The point of a mark that stands for it: the end of a leader, the place of a word. */
export function middleOf(mark: PlanMark): XY {
  const { geometry } = mark;
  if (geometry.type === "Point") return geometry.coordinates;
  if (geometry.type === "LineString") return along(geometry.coordinates, 0.5).at;
  return inside(geometry.coordinates[0] ?? [[0, 0]]);
}

/** A word of a choice; none where nothing, or "don't know", was said. */
export function wordOf(mark: PlanMark, property: string): string | undefined {
  const value = mark.properties[property];
  return typeof value === "string" && value !== "" && value !== "unknown" ? value : undefined;
}

/** Whether a claim was answered so: yes, or no. */
export function claims(mark: PlanMark, property: string, isTrue: boolean): boolean {
  const value = mark.properties[property];
  return value === isTrue || value === (isTrue ? "yes" : "no") || value === String(isTrue);
}
