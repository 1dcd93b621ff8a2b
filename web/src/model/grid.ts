/** Where to hold the rod, and in which order: a grid of about equal steps that has the edges and the net lines in it. */
import { type CourtAt, middleLine } from "./corners";
import type { PointM } from "./frame";
import { closed, contains, distance } from "./geometry";
import { sides, toSegment } from "./shapes";

/** The rod stands on the slab, this far from its edge. */
const INSET = 0.1;
/** A line nearer to a wanted one than this share of a step is moved there; else the wanted one is one more. */
const MOVES = 0.35;
const TOUCHES = 1e-6;
const MOST_POINTS = 600;

/** The points to shoot, in walking order from the corner nearest to `from_m`. Empty when there would be too many. */
export function shotGrid(
  outline_m: readonly PointM[],
  courts: readonly CourtAt[],
  spacing_m: number,
  from_m: PointM,
): PointM[] {
  if (outline_m.length < 3 || !(spacing_m > 0)) return [];
  const frame = alongLongestSide(outline_m);
  const ring = outline_m.map(frame.to);
  const [us, vs] = [0, 1].map((axis) => {
    const all = ring.map((point) => point[axis as 0 | 1]);
    const wanted = courts.map(middleLine).flatMap((line) => levelOf(line, frame, axis as 0 | 1));
    return linesAcross(Math.min(...all) + INSET, Math.max(...all) - INSET, spacing_m, wanted);
  }) as [number[], number[]];
  if (us.length * vs.length > MOST_POINTS) return [];
  const around = sides(closed(ring));
  const isOn = (point: PointM) =>
    contains(ring, point) && around.every((side) => toSegment(point, side) >= INSET - TOUCHES);
  const points = us.flatMap((u) => vs.map((v): PointM => [u, v])).filter(isOn);
  for (const corner of ring.map((_, i) => inwards(ring, i)).filter(isOn)) {
    if (points.every((point) => distance(point, corner) > MOVES * spacing_m)) points.push(corner);
  }
  const start = frame.to(from_m);
  const orders = [inLanes(points, us, 0, start), inLanes(points, vs, 1, start)];
  const best = orders.reduce((one, other) => (isBetter(other, one) ? other : one));
  return best.points.map(frame.back);
}

interface Frame {
  readonly to: (point: PointM) => PointM;
  readonly back: (point: PointM) => PointM;
}

function alongLongestSide(outline_m: readonly PointM[]): Frame {
  const longest = sides(closed(outline_m)).reduce((one, other) =>
    distance(other[0], other[1]) > distance(one[0], one[1]) + 1e-9 ? other : one,
  );
  const [[x0, y0], [x1, y1]] = longest;
  const length = distance(...longest);
  const [cos, sin] = [(x1 - x0) / length, (y1 - y0) / length];
  return {
    to: ([x, y]) => [(x - x0) * cos + (y - y0) * sin, (y - y0) * cos - (x - x0) * sin],
    back: ([u, v]) => [x0 + u * cos - v * sin, y0 + u * sin + v * cos],
  };
}

/** Where a middle line stands along an axis, when it runs across that axis. */
function levelOf(line: readonly [PointM, PointM] | null, frame: Frame, axis: 0 | 1): number[] {
  if (line === null) return [];
  const [from, to] = [frame.to(line[0])[axis], frame.to(line[1])[axis]];
  return Math.abs(from - to) < INSET ? [(from + to) / 2] : [];
}

/** Equal steps of about the spacing from one end to the other, with the wanted lines among them. */
function linesAcross(low: number, high: number, spacing: number, wanted: readonly number[]): number[] {
  if (high <= low) return [(low + high) / 2];
  const count = Math.max(1, Math.round((high - low) / spacing));
  const step = (high - low) / count;
  const lines = Array.from({ length: count + 1 }, (_, i) => low + i * step);
  for (const one of wanted) {
    if (one <= low || one >= high || lines.some((line) => Math.abs(line - one) < TOUCHES)) continue;
    const near = lines.findIndex((line, i) => i > 0 && i < count && Math.abs(line - one) < MOVES * step);
    if (near > 0) lines[near] = one;
    else if (lines.every((line) => Math.abs(line - one) > 2 * INSET)) lines.push(one);
  }
  return lines.sort((one, other) => one - other);
}

/** The place beside a corner where the rod stands on the slab. */
function inwards(ring: readonly PointM[], i: number): PointM {
  const at = ring[i] as PointM;
  const [before, after] = [ring.at(i - 1) as PointM, ring[(i + 1) % ring.length] as PointM];
  const unit = (to: PointM): PointM => [(to[0] - at[0]) / distance(to, at), (to[1] - at[1]) / distance(to, at)];
  const [p, q] = [unit(before), unit(after)];
  const turn = Math.abs(p[0] * q[1] - p[1] * q[0]);
  // So far along both sides that the edges are as far away as the inset; at a corner that turns in, away from the sides.
  const isOut = turnOf(before, at, after) * orientation(ring) > 0;
  const reach = (INSET / Math.max(turn, 0.1)) * (isOut ? 1 : -1);
  return [at[0] + reach * (p[0] + q[0]), at[1] + reach * (p[1] + q[1])];
}

function turnOf(p: PointM, q: PointM, r: PointM): number {
  return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
}

function orientation(ring: readonly PointM[]): number {
  return Math.sign(sides(closed(ring)).reduce((sum, [p, q]) => sum + p[0] * q[1] - q[0] * p[1], 0));
}

interface Order {
  readonly points: readonly PointM[];
  readonly way: number;
  readonly lanes: number;
}

/** Lane by lane, up one and down the next, from the end that lies nearest to the start. */
function inLanes(points: readonly PointM[], lanes: readonly number[], axis: 0 | 1, start: PointM): Order {
  const along = axis === 0 ? 1 : 0;
  const nearest = (point: PointM) =>
    lanes.reduce(
      (one, lane, i) => (Math.abs(lane - point[axis]) < Math.abs((lanes[one] ?? 0) - point[axis]) ? i : one),
      0,
    );
  const own = lanes.map((_, lane) =>
    points.filter((point) => nearest(point) === lane).sort((one, other) => one[along] - other[along]),
  );
  const full = own.filter((lane) => lane.length > 0);
  const away = (lane: readonly PointM[] | undefined) =>
    Math.min(...(lane ?? []).map((point) => distance(point, start)));
  if (away(full.at(-1)) < away(full[0])) full.reverse();
  const ordered: PointM[] = [];
  for (const lane of full) {
    const from = ordered.at(-1) ?? start;
    const isBackwards = distance(lane.at(-1) as PointM, from) < distance(lane[0] as PointM, from);
    ordered.push(...(isBackwards ? lane.toReversed() : lane));
  }
  return {
    points: ordered,
    way: sides([start, ...ordered]).reduce((sum, side) => sum + distance(...side), 0),
    lanes: full.length,
  };
}

function isBetter(one: Order, other: Order): boolean {
  // A shorter way; of ways about as long, fewer turns.
  if (Math.abs(one.way - other.way) > 0.02 * other.way) return one.way < other.way;
  return one.lanes < other.lanes;
}
