/** Where the lines of a court are painted on a pad, from the trade's data: pure geometry in metres. */
import given from "../data/courts.json";
import { type Box, boxOf, strip, type XY } from "../model/geometry";
import type { PlanCourt } from "./content";

interface Sport {
  readonly id: string;
  readonly length_m: number;
  readonly width_m: number;
  readonly lines: readonly { readonly id: string; readonly width_m: number; readonly points_m: readonly XY[] }[];
  readonly net_posts_m: readonly XY[];
  readonly corners: readonly {
    readonly id: string;
    readonly label: { readonly en: string; readonly es: string };
    readonly at_m: XY;
  }[];
}

const SPORTS = new Map((given as unknown as readonly Sport[]).map((sport) => [sport.id, sport]));

interface PaintedLine {
  readonly middle_m: readonly XY[];
  /** The edge of the paint, as a ring. */
  readonly ring_m: readonly XY[];
}

export interface PaintedCourt {
  readonly lines: readonly PaintedLine[];
  readonly corners: readonly { readonly id: string; readonly at_m: XY }[];
  readonly netPosts_m: readonly XY[];
  /** To the outside of the border lines, as a ring. */
  readonly border_m: readonly XY[];
  readonly box: Box;
}

/** From a court's own frame to its pad's: a clockwise turn, then a move. */
export function onPad(court: PlanCourt): (at: XY) => XY {
  const turn = (court.turned_deg * Math.PI) / 180;
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const [cx, cy] = court.centre_m;
  return ([x, y]) => [x * cos + y * sin + cx, y * cos - x * sin + cy];
}

const kept = new WeakMap<PlanCourt, PaintedCourt>();

/** The painted lines of a court; a sport that is not known has none. */
export function painted(court: PlanCourt): PaintedCourt {
  const before = kept.get(court);
  if (before !== undefined) return before;
  const made = paint(court, SPORTS.get(court.sport));
  kept.set(court, made);
  return made;
}

function paint(court: PlanCourt, sport: Sport | undefined): PaintedCourt {
  const move = onPad(court);
  const lines = (sport?.lines ?? []).map((line) => {
    const middle_m = line.points_m.map(move);
    return { middle_m, ring_m: strip(middle_m, line.width_m) };
  });
  const [w, l] = [(sport?.width_m ?? 0) / 2, (sport?.length_m ?? 0) / 2];
  const border: XY[] = [
    [-w, -l],
    [w, -l],
    [w, l],
    [-w, l],
  ];
  const border_m = border.map(move);
  return {
    lines,
    corners: (sport?.corners ?? []).map(({ id, at_m }) => ({ id, at_m: move(at_m) })),
    netPosts_m: (sport?.net_posts_m ?? []).map(move),
    border_m,
    box: boxOf([...border_m, ...lines.flatMap((line) => line.ring_m)]),
  };
}
