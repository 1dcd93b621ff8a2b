/** A new site in under a minute: a pad of two taped numbers, and courts put side by side on it. Places are metres. */
import courts from "../data/courts.json";
import type { Place, Value } from "./document";
import type { PointM } from "./frame";
import { withItsUnit } from "./kinds";
import { metres } from "./length";
import type { UnitSystem } from "./show";

export interface Sport {
  readonly id: string;
  readonly label: { readonly en: string; readonly es: string };
  readonly length_m: number;
  readonly width_m: number;
  readonly pad: { readonly length_m: number; readonly width_m: number };
  readonly run_off: { readonly side_m: number; readonly end_m: number };
  /** Between the sidelines of neighbours on one pad; twice the run-off where the data tells none. */
  readonly gap_m?: number;
  readonly lines: readonly { readonly id: string; readonly width_m: number; readonly points_m: readonly PointM[] }[];
}

export const SPORTS = courts as unknown as readonly Sport[];

/** Those that are asked for most come first; every other follows by its id. */
const FIRST = ["tennis", "pickleball", "basketball"];

export const sportsInOrder: readonly Sport[] = [
  ...FIRST.map((id) => SPORTS.find((sport) => sport.id === id)).filter((sport) => sport !== undefined),
  ...SPORTS.filter((sport) => !FIRST.includes(sport.id)),
];

export function sportOf(id: string | undefined): Sport | undefined {
  return SPORTS.find((sport) => sport.id === id);
}

/** More courts than this on one pad are asked for pad by pad. */
export const MOST_COURTS = 24;

export interface Size {
  readonly across_m: number;
  readonly along_m: number;
}

export interface PlacedCourt {
  readonly centre_m: PointM;
  readonly turned_deg: number;
}

export interface Battery {
  readonly courts: readonly PlacedCourt[];
  /** Whether every painted line lies on the pad. */
  readonly fits: boolean;
  /** Whether the usual room between and beyond the courts is there. */
  readonly hasUsualRoom: boolean;
}

function gapOf(sport: Sport): number {
  return sport.gap_m ?? 2 * sport.run_off.side_m;
}

/** The usual pad of so many courts side by side. */
export function usualSize(sport: Sport, count: number): Size {
  return {
    across_m: sport.pad.width_m + (count - 1) * (sport.width_m + gapOf(sport)),
    along_m: sport.pad.length_m,
  };
}

interface Layout {
  readonly columns: number;
  readonly rows: number;
  readonly isTurned: boolean;
  readonly room: number;
}

/** Courts side by side in the middle of a pad; in rows, or turned, where they fit better so. */
export function battery(sport: Sport, count: number, pad: Size): Battery {
  const layouts: Layout[] = [];
  for (const isTurned of [false, true]) {
    for (let rows = 1; rows <= count; rows++) {
      const columns = Math.ceil(count / rows);
      if (Math.ceil(count / columns) === rows) layouts.push(laidOut(sport, pad, columns, rows, isTurned));
    }
  }
  // Of layouts with the same room the first stands: one row, not turned.
  const best = layouts.reduce((one, other) => (other.room > one.room + 1e-6 ? other : one));
  return {
    courts: placed(sport, count, pad, best),
    fits: best.room > -1e-6,
    hasUsualRoom: best.room > 1 - 1e-6,
  };
}

/** How much of the usual room a layout has, 1 for all of it; below 0 lines lie off the pad. */
function laidOut(sport: Sport, pad: Size, columns: number, rows: number, isTurned: boolean): Layout {
  const [across, along] = isTurned ? [pad.along_m, pad.across_m] : [pad.across_m, pad.along_m];
  const width = roomIn(across, columns, sport.width_m, gapOf(sport), sport.pad.width_m - sport.width_m);
  const length = roomIn(along, rows, sport.length_m, 2 * sport.run_off.end_m, sport.pad.length_m - sport.length_m);
  return { columns, rows, isTurned, room: Math.min(width, length) };
}

function roomIn(size: number, count: number, court: number, gap: number, beyond: number): number {
  const free = size - count * court;
  const wanted = (count - 1) * gap + beyond;
  return free < 0 ? free / court : Math.min(free / wanted, 1);
}

function placed(sport: Sport, count: number, pad: Size, layout: Layout): PlacedCourt[] {
  const { columns, rows, isTurned } = layout;
  const [across, along] = isTurned ? [pad.along_m, pad.across_m] : [pad.across_m, pad.along_m];
  const x = spread(across, columns, sport.width_m, gapOf(sport), sport.pad.width_m - sport.width_m);
  const y = spread(along, rows, sport.length_m, 2 * sport.run_off.end_m, sport.pad.length_m - sport.length_m);
  return Array.from({ length: count }, (_, number) => {
    const u = x[number % columns] as number;
    // The first row is the one at the near end, where the first corner is.
    const v = y[Math.floor(number / columns)] as number;
    return { centre_m: isTurned ? [v, u] : [u, v], turned_deg: isTurned ? 90 : 0 };
  });
}

/** Middles of courts in a row, with the usual gap, or less where the pad is smaller. */
function spread(size: number, count: number, court: number, gap: number, beyond: number): number[] {
  const free = size - count * court;
  const share = Math.min(Math.max(free / ((count - 1) * gap + beyond), 0), 1);
  const step = court + gap * share;
  return Array.from({ length: count }, (_, i) => size / 2 + (i - (count - 1) / 2) * step);
}

/** A taped size in metres; null while one of the numbers says nothing. */
export function sizeOf(across: string, along: string, units: UnitSystem): Size | null {
  const [across_m, along_m] = [metres(across, units), metres(along, units)];
  if (across_m === null || along_m === null || across_m <= 0 || along_m <= 0) return null;
  return { across_m, along_m };
}

/** The outline of a pad as it was taped: four corners, each number as typed, from the near left one. */
export function tapedOutline(across: string, along: string, units: UnitSystem): readonly Place[] {
  const [x, y] = [withItsUnit(across, "length", units), withItsUnit(along, "length", units)];
  return [
    [0, 0],
    [x, 0],
    [x, y],
    [0, y],
  ];
}

/** The outline of a pad that nobody taped: metres to a tenth of a millimetre, as nobody tapes. */
export function usualOutline(size: Size): readonly Place[] {
  const [x, y] = [`${size.across_m.toFixed(4)} m`, `${size.along_m.toFixed(4)} m`];
  return [
    [0, 0],
    [x, 0],
    [x, y],
    [0, y],
  ];
}

const NOT_TAPED = /^\d+\.\d{4} m$/;

/** Whether an outline is of the usual size, which nobody measured. */
export function isUsual(outline: Value | undefined): boolean {
  if (!Array.isArray(outline)) return false;
  const typed = outline.flat().filter((one) => one !== 0);
  return typed.length > 0 && typed.every((one) => typeof one === "string" && NOT_TAPED.test(one));
}

/** The two sides of an outline as they were taped; null when it has another shape. */
export function sidesOf(outline: Value | undefined): readonly [across: string, along: string] | null {
  if (!Array.isArray(outline) || outline.length !== 4) return null;
  const [first, second, third, fourth] = outline as readonly (readonly [Value, Value])[];
  const isBox =
    [first?.[0], first?.[1], second?.[1], fourth?.[0]].every((one) => one === 0) &&
    second?.[0] === third?.[0] &&
    third?.[1] === fourth?.[1];
  return isBox ? [String(third?.[0]), String(third?.[1])] : null;
}
