/** What is meant by a touch: small things before large ones, the nearest first. */

import { contains, distance, type XY } from "../model/geometry";
import type { Picked, PlanContent } from "./content";
import { painted } from "./court_lines";
import type { Nearby } from "./nearby";

export function picked(at: XY, reach_m: number, content: PlanContent, nearby: Nearby): Picked | null {
  return (
    point("note", content.notes, at, reach_m) ??
    point("station", content.stations, at, reach_m) ??
    mark(at, reach_m, nearby, false) ??
    point("shot", content.shots, at, reach_m) ??
    mark(at, reach_m, nearby, true) ??
    area("low-spot", content.lowSpots, at) ??
    point("slope", content.slopes, at, reach_m) ??
    area(
      "piece",
      content.pieces?.filter((piece) => piece.free),
      at,
    ) ??
    area(
      "court",
      content.courts.map((court) => ({ id: court.id, outline_m: painted(court).border_m })),
      at,
    )
  );
}

function point(
  kind: Picked["kind"],
  all: readonly { readonly id: string; readonly at_m: XY }[] | undefined,
  at: XY,
  reach: number,
): Picked | null {
  let [best, away]: [Picked | null, number] = [null, reach];
  for (const { id, at_m } of all ?? []) {
    const off = distance(at, at_m);
    if (off <= away) [best, away] = [{ kind, id }, off];
  }
  return best;
}

function mark(at: XY, reach: number, nearby: Nearby, isArea: boolean): Picked | null {
  const found = nearby.near(at, reach).filter(({ mark }) => (mark.geometry.type === "Polygon") === isArea);
  // Of things in the same place a point is meant before a line: the line can be touched elsewhere.
  const first = found.find(({ mark }) => mark.geometry.type === "Point") ?? found[0];
  return first === undefined ? null : { kind: "mark", id: first.mark.id };
}

function area(
  kind: Picked["kind"],
  all: readonly { readonly id: string; readonly outline_m: readonly XY[] }[] | undefined,
  at: XY,
): Picked | null {
  const found = all?.find(({ outline_m }) => contains(outline_m, at));
  return found === undefined ? null : { kind, id: found.id };
}
