/** Where a run of shots stands, told from the walk alone: what was read is in it, and nothing else is needed to go on. */
import type { Shot, Value } from "./document";
import { coordinate, type PointM, pointOf } from "./frame";
import { distance } from "./geometry";
import { isReading, type Known } from "./levelling";
import type { UnitSystem } from "./show";

export type Way = "level" | "laser";
export type RodMarks = "tenths" | "inches" | "metric";

/** What was chosen before the first reading; each shot carries it, so that the run goes on after a break. */
export interface RunChoices {
  readonly way: Way;
  readonly rod_marks: RodMarks;
  /** As typed, with its unit. */
  readonly spacing: string;
  /** Number of the pad's corner where the run begins. */
  readonly start: number;
}

/** A point of the grid and the shots that were taken there, the last one last. */
export interface RunPoint {
  readonly at_m: PointM;
  readonly number: number;
  readonly shots: readonly (readonly [id: string, shot: Shot])[];
}

export type PadShot = readonly [id: string, shot: Shot];

/** Shots this near to a point of the grid were taken there. */
const THERE = 0.05;

function placeOf(shot: Shot, units: UnitSystem): PointM | null {
  return pointOf([shot.x ?? "", shot.y ?? ""], units);
}

/** The shots of a pad that have a height, for its surface. */
export function knownHeights(shots: readonly PadShot[], units: UnitSystem): (Known & { readonly id: string })[] {
  return shots.flatMap(([id, shot]) => {
    const [place, z_m] = [placeOf(shot, units), coordinate(shot.elevation, units)];
    return place === null || z_m === null ? [] : [{ id, x_m: place[0], y_m: place[1], z_m }];
  });
}

export function pointsWithShots(grid: readonly PointM[], shots: readonly PadShot[], units: UnitSystem): RunPoint[] {
  const placed = shots.flatMap((one) => {
    const place = placeOf(one[1], units);
    return place === null ? [] : [{ one, place }];
  });
  return grid.map((at_m, i) => ({
    at_m,
    number: i + 1,
    shots: placed.filter(({ place }) => distance(place, at_m) < THERE).map(({ one }) => one),
  }));
}

/** The last reading of a run, which tells how it goes on; undefined before the first. */
export function lastOf(shots: readonly PadShot[]): PadShot | undefined {
  return shots.findLast(([, shot]) => choicesOf(shot) !== null);
}

export function choicesOf(shot: Shot): RunChoices | null {
  const { way, rod_marks, spacing, start } = shot as Readonly<Record<string, Value | undefined>>;
  if ((way !== "level" && way !== "laser") || typeof spacing !== "string" || typeof start !== "number") return null;
  if (rod_marks !== "tenths" && rod_marks !== "inches" && rod_marks !== "metric") return null;
  return { way, rod_marks, spacing, start };
}

/**
 * The point to go to: the first without a shot behind the one that was taken last, else the first without; null at the
 * end. A point that is read again, or tied back to, does not lead the run astray: its first shot counts.
 */
export function nextPoint(points: readonly RunPoint[]): number | null {
  let [from, latest] = [-1, Number.NEGATIVE_INFINITY];
  for (const [i, { shots }] of points.entries()) {
    const order = shots[0]?.[1].order ?? Number.NEGATIVE_INFINITY;
    if (order > latest) [from, latest] = [i, order];
  }
  const isOpen = ({ shots }: RunPoint) => shots.length === 0;
  const behind = points.findIndex((point, i) => i > from && isOpen(point));
  const any = behind >= 0 ? behind : points.findIndex(isOpen);
  return any < 0 ? null : any;
}

/** The instrument of the last reading: its height, and how often it was put up. */
export function instrumentOf(shots: readonly PadShot[], units: UnitSystem): { height_m: number; setUp: number } | null {
  const last = shots.findLast(([, shot]) => isReading(shot) || shot.instrument !== undefined)?.[1];
  if (last === undefined) return null;
  const height_m = coordinate(last.instrument, units);
  return height_m === null ? null : { height_m, setUp: typeof last.set_up === "number" ? last.set_up : 1 };
}

/** What was typed with the unit of the rod, when it has none of its own. */
export function rodText(typed: string, marks: RodMarks): string {
  const text = typed.trim();
  return /^-?[\d.,]+$/.test(text) ? `${text} ${marks === "metric" ? "m" : "ft"}` : text;
}
