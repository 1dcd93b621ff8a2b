/** Taps along an old repair: where the next one is, what was heard so far. The share with its range is the office's. */
import type { GeometryM, PointM } from "./frame";
import { closed, distance, lengthOf } from "./geometry";
import { sides, toSegment } from "./shapes";

export type Heard = "solid" | "hollow" | "unknown";

/** A tap that was made: where along the repair, and what was heard. */
export interface Tap {
  readonly id: string;
  readonly along_m: number;
  readonly heard: Heard;
}

export interface Step {
  readonly along_m: number;
  readonly at_m: PointM;
  readonly tap: Tap | undefined;
}

export interface HeardSoFar {
  readonly taps: number;
  /** Without those where nobody could tell. */
  readonly told: number;
  readonly hollow: number;
  /** Stretches that sound hollow: each tap speaks for half a step before and behind it, and for no more. */
  readonly stretches_m: readonly (readonly [from: number, to: number])[];
}

/** Taps this near to the line of a repair were made along it; the office reaches as far (trade/tolerances.toml). */
const REACH = 0.3048;
/** Taps this near to a step were made there. */
const THERE = 0.05;

/** The line along which a repair is tapped: its own, or the middle of its patch along the longer way. */
export function lineOf(geometry: GeometryM): readonly PointM[] {
  if (geometry.type === "LineString") return geometry.coordinates;
  const ring = geometry.type === "Polygon" ? geometry.coordinates[0] : undefined;
  if (ring === undefined || ring.length < 3) return [];
  const around = sides(closed(ring));
  const [from, to] = around.reduce((one, other) =>
    distance(other[0], other[1]) > distance(one[0], one[1]) ? other : one,
  );
  const length = distance(from, to);
  const [ux, uy] = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const along = ring.map(([x, y]) => (x - from[0]) * ux + (y - from[1]) * uy);
  const across = ring.map(([x, y]) => (y - from[1]) * ux - (x - from[0]) * uy);
  const middle = (Math.min(...across) + Math.max(...across)) / 2;
  const at = (u: number): PointM => [from[0] + u * ux - middle * uy, from[1] + u * uy + middle * ux];
  return [at(Math.min(...along)), at(Math.max(...along))];
}

export function placeAlong(line: readonly PointM[], along_m: number): PointM {
  let rest = along_m;
  for (const [from, to] of sides(line)) {
    const length = distance(from, to);
    if (rest <= length && length > 0) {
      const share = Math.max(rest, 0) / length;
      return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
    }
    rest -= length;
  }
  return line.at(-1) ?? [0, 0];
}

/** Where along a line a place lies; null when it lies beside it. */
export function alongOf(line: readonly PointM[], at: PointM): number | null {
  let [best, away, before] = [0, Number.POSITIVE_INFINITY, 0];
  for (const [from, to] of sides(line)) {
    const length = distance(from, to);
    const off = toSegment(at, [from, to]);
    if (off < away && length > 0) {
      const along = ((at[0] - from[0]) * (to[0] - from[0]) + (at[1] - from[1]) * (to[1] - from[1])) / length;
      [best, away] = [before + Math.min(Math.max(along, 0), length), off];
    }
    before += length;
  }
  return away <= REACH ? best : null;
}

/** The steps of a run: from half a step on, a step apart, so that each tap speaks for the step around it. */
export function stepsOf(line: readonly PointM[], step_m: number, taps: readonly Tap[]): Step[] {
  const length = lengthOf(line);
  if (!(step_m > 0) || length === 0) return [];
  const count = Math.max(1, Math.round(length / step_m));
  return Array.from({ length: count }, (_, i) => {
    const along_m = ((i + 0.5) * length) / count;
    const tap = taps.findLast((one) => Math.abs(one.along_m - along_m) < THERE);
    return { along_m, at_m: placeAlong(line, along_m), tap };
  });
}

export function heardSoFar(taps: readonly Tap[], length_m: number, step_m: number): HeardSoFar {
  const sorted = taps.toSorted((one, other) => one.along_m - other.along_m);
  const half = step_m / 2;
  const stretches: [number, number][] = [];
  for (const { along_m, heard } of sorted) {
    if (heard !== "hollow") continue;
    const [from, to] = [Math.max(along_m - half, 0), Math.min(along_m + half, length_m)];
    const last = stretches.at(-1);
    if (last !== undefined && from - last[1] < THERE) last[1] = to;
    else stretches.push([from, to]);
  }
  return {
    taps: taps.length,
    told: taps.filter(({ heard }) => heard !== "unknown").length,
    hollow: taps.filter(({ heard }) => heard === "hollow").length,
    stretches_m: stretches,
  };
}

/** The step of a run that was broken off: what lies between taps side by side; null while there are fewer than two. */
export function stepSoFar(taps: readonly Tap[]): number | null {
  const sorted = taps.map(({ along_m }) => along_m).toSorted((one, other) => one - other);
  const gaps = sorted.slice(1).map((along, i) => along - (sorted[i] as number));
  const least = Math.min(...gaps.filter((gap) => gap > THERE));
  return Number.isFinite(least) ? least : null;
}
