/** A point by tapes from places that are known: two tapes give two answers or none, three and more a best one. */
import type { PointM } from "./frame";
import { distance } from "./geometry";

export interface Tape {
  readonly from_m: PointM;
  readonly length_m: number;
}

export type ByTapes =
  /** Two places, the one on the left of the way from the first corner to the second first; one where the tapes just meet. */
  | { readonly found: "points"; readonly points_m: readonly PointM[] }
  /** One place from three or more tapes, and by how much each is off it: too long where it is above nothing. */
  | { readonly found: "best"; readonly point_m: PointM; readonly off_m: readonly number[] }
  /** The tapes end this far from each other. */
  | { readonly found: "apart"; readonly gap_m: number; readonly isShort: boolean }
  /** Fewer than two tapes, or all from one place. */
  | { readonly found: "nothing" };

const SAME = 1e-6;
/** Tapes that fail to meet by less than this are held to meet: nobody reads a tape finer. */
const MEETS = 0.002;

export function byTapes(tapes: readonly Tape[]): ByTapes {
  const [first, second] = tapes;
  if (first === undefined || second === undefined) return { found: "nothing" };
  if (tapes.length === 2) return byTwo(first, second);
  return byMany(tapes);
}

function byTwo(first: Tape, second: Tape): ByTapes {
  const base = distance(first.from_m, second.from_m);
  if (base < SAME) return { found: "nothing" };
  const [r, s] = [first.length_m, second.length_m];
  const short = base - (r + s);
  const long = Math.abs(r - s) - base;
  if (short > MEETS) return { found: "apart", gap_m: short, isShort: true };
  if (long > MEETS) return { found: "apart", gap_m: long, isShort: false };
  const along = (base ** 2 + r ** 2 - s ** 2) / (2 * base);
  const across = Math.sqrt(Math.max(r ** 2 - along ** 2, 0));
  const [ux, uy] = [(second.from_m[0] - first.from_m[0]) / base, (second.from_m[1] - first.from_m[1]) / base];
  const foot: PointM = [first.from_m[0] + along * ux, first.from_m[1] + along * uy];
  if (across < MEETS) return { found: "points", points_m: [foot] };
  return {
    found: "points",
    points_m: [
      [foot[0] - across * uy, foot[1] + across * ux],
      [foot[0] + across * uy, foot[1] - across * ux],
    ],
  };
}

/** Least squares of the tapes' own lengths, from every pair's answers: the best of all is not missed for a nearer one. */
function byMany(tapes: readonly Tape[]): ByTapes {
  const starts = tapes.flatMap((one, i) => tapes.slice(i + 1).flatMap((other) => startsOf(one, other)));
  const ends = starts.map((start) => settled(start, tapes));
  const [best] = ends.toSorted((one, other) => squares(one, tapes) - squares(other, tapes));
  if (best === undefined) return { found: "nothing" };
  return { found: "best", point_m: best, off_m: tapes.map((tape) => tape.length_m - distance(best, tape.from_m)) };
}

function startsOf(one: Tape, other: Tape): readonly PointM[] {
  const met = byTwo(one, other);
  if (met.found === "points") return met.points_m;
  if (met.found !== "apart") return [];
  // Tapes that do not meet: the place between their ends.
  const base = distance(one.from_m, other.from_m);
  const share = (one.length_m + (base - other.length_m)) / 2 / base;
  return [
    [
      one.from_m[0] + share * (other.from_m[0] - one.from_m[0]),
      one.from_m[1] + share * (other.from_m[1] - one.from_m[1]),
    ],
  ];
}

function squares(point: PointM, tapes: readonly Tape[]): number {
  return tapes.reduce((sum, tape) => sum + (tape.length_m - distance(point, tape.from_m)) ** 2, 0);
}

/** Gauss–Newton steps to the place where the squares are least. */
function settled(start: PointM, tapes: readonly Tape[]): PointM {
  let at = start;
  for (let step = 0; step < 50; step++) {
    let [xx, xy, yy, x, y] = [0, 0, 0, 0, 0];
    for (const { from_m, length_m } of tapes) {
      const away = Math.max(distance(at, from_m), SAME);
      const [ux, uy] = [(at[0] - from_m[0]) / away, (at[1] - from_m[1]) / away];
      const off = length_m - away;
      xx += ux * ux;
      xy += ux * uy;
      yy += uy * uy;
      x += ux * off;
      y += uy * off;
    }
    const size = xx * yy - xy * xy;
    if (Math.abs(size) < 1e-12) return at;
    const [dx, dy] = [(yy * x - xy * y) / size, (xx * y - xy * x) / size];
    at = [at[0] + dx, at[1] + dy];
    if (Math.hypot(dx, dy) < 1e-10) break;
  }
  return at;
}
