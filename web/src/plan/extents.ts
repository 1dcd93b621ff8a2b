/** Where things of a sheet are: to bring them into sight, to end a leader. */

import { type Box, boxOf, grown, inside, meets, type XY } from "../model/geometry";
import type { Fit, Picked, PlanContent } from "./content";
import { painted } from "./court_lines";
import { boxOfMark, middleOf } from "./marks";

/** What stands farther than this from the pad does not make the sheet smaller: it is found by moving the sheet. */
const REACH_M = 12;

/** The box of what is to be seen, in metres; null when there is nothing. */
export function extentOf(content: PlanContent, what: Fit): Box | null {
  if (typeof what === "string") return ofSheet(content, what === "all");
  const box = "kind" in what ? ofOne(content, what) : boxOf(what);
  return Number.isFinite(box?.[0]) && box !== null ? grown(box, 1) : null;
}

function ofSheet(content: PlanContent, withMarks: boolean): Box | null {
  const outline = content.pad?.outline_m ?? [];
  const pad = outline.length > 0 ? boxOf(outline) : null;
  const boxes = content.courts.map((court) => painted(court).box);
  if (withMarks) for (const mark of content.marks.values()) boxes.push(boxOfMark(mark));
  const near = pad === null ? boxes : boxes.filter((box) => meets(box, grown(pad, REACH_M)));
  const corners = near.flatMap(([left, bottom, right, top]): XY[] => [
    [left, bottom],
    [right, top],
  ]);
  const box = boxOf([...outline, ...corners]);
  if (!Number.isFinite(box[0])) return null;
  return pad === null ? grown(box, 1) : cut(box, grown(pad, REACH_M));
}

function cut(box: Box, to: Box): Box {
  return [Math.max(box[0], to[0]), Math.max(box[1], to[1]), Math.min(box[2], to[2]), Math.min(box[3], to[3])];
}

function ofOne(content: PlanContent, { kind, id }: Picked): Box | null {
  const mark = kind === "mark" ? content.marks.get(id) : undefined;
  if (mark !== undefined) return boxOfMark(mark);
  const court = kind === "court" ? content.courts.find((one) => one.id === id) : undefined;
  if (court !== undefined) return painted(court).box;
  const area = [...(content.lowSpots ?? []), ...(content.pieces ?? [])].find((one) => one.id === id);
  if (area !== undefined) return boxOf(area.outline_m);
  const at = placeOf(content, id);
  return at && [at[0], at[1], at[0], at[1]];
}

/** The place that stands for anything of a sheet, by its id. */
export function placeOf(content: PlanContent, id: string): XY | null {
  const mark = content.marks.get(id);
  if (mark !== undefined) return middleOf(mark);
  const point = [...(content.stations ?? []), ...(content.shots ?? []), ...(content.notes ?? [])].find(
    (one) => one.id === id,
  );
  if (point !== undefined) return point.at_m;
  const area = [...(content.lowSpots ?? []), ...(content.pieces ?? [])].find((one) => one.id === id);
  if (area !== undefined) return inside(area.outline_m);
  return content.courts.find((court) => court.id === id)?.centre_m ?? null;
}
