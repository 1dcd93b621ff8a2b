/**
 * From rod readings to elevations. The instrument looks along one level; what the rod reads there is how far the ground
 * lies below it: a larger reading is lower. The walk keeps the elevation, as the office reads it, and beside it the
 * reading as typed and the height of the instrument that it was taken from.
 */
import type { Fields, Shot } from "./document";
import type { UnitSystem } from "./show";

/** Where nobody knows a height, the instrument counts as this high; only differences say anything then. */
export const ASSUMED: Readonly<Record<UnitSystem, string>> = { us: "100 ft", metric: "30 m" };
const FOOT = 0.3048;
/** No court falls so steeply (from memory); two readings that say so are asked about before there are neighbours. */
const STEEP = 0.05;
/** What a careful reading may be off its neighbours on any court. */
const LEAST_DOUBT = 0.02;
const TIMES = 4;
const NEIGHBOURS = 8;

export interface Known {
  readonly x_m: number;
  readonly y_m: number;
  readonly z_m: number;
}

/** A height as text with four decimals: finer than any rod, so that nothing of a reading is lost. */
export function elevationText(z_m: number, units: UnitSystem): string {
  return units === "metric" ? `${+z_m.toFixed(4)} m` : `${+(z_m / FOOT).toFixed(4)} ft`;
}

export interface Taken {
  readonly pad: string;
  /** Its number in the grid. */
  readonly point: number;
  readonly x: string;
  readonly y: string;
  /** The reading as typed, with its unit. */
  readonly rod: string;
  readonly rod_m: number;
  readonly instrument_m: number;
  readonly setUp: number;
}

/** What the walk keeps of one reading. */
export function shotOf(taken: Taken, units: UnitSystem): Fields {
  const instrument = elevationText(taken.instrument_m, units);
  return {
    pad: taken.pad,
    point: String(taken.point),
    x: taken.x,
    y: taken.y,
    elevation: elevationText(taken.instrument_m - taken.rod_m, units),
    description: `rod ${taken.rod} below ${instrument}, set-up ${taken.setUp}`,
    rod: taken.rod,
    instrument,
    set_up: taken.setUp,
  };
}

/** Whether a shot of the walk is a reading, and not a point that was blocked or typed at the desk. */
export function isReading(shot: Shot): boolean {
  return typeof shot.rod === "string" && shot.rod !== "";
}

/**
 * What the neighbours of a place say its height is, when a reading there is farther from it than those readings are from
 * each other; null when it agrees or nobody can tell.
 */
export function doubted(reading: Known, others: readonly Known[]): number | null {
  const expected = fromNeighbours(reading, others);
  if (expected === null) return steeply(reading, others);
  const own = others.flatMap((one) => {
    const said = fromNeighbours(
      one,
      others.filter((other) => other !== one),
    );
    return said === null ? [] : [Math.abs(one.z_m - said.z_m) / said.spread];
  });
  const usual = 1.4826 * median(own);
  const limit = Math.max(LEAST_DOUBT, TIMES * usual) * expected.spread;
  return Math.abs(reading.z_m - expected.z_m) > limit ? expected.z_m : null;
}

function steeply(reading: Known, others: readonly Known[]): number | null {
  const away = (other: Known) => Math.hypot(other.x_m - reading.x_m, other.y_m - reading.y_m);
  const nearest = others.toSorted((one, other) => away(one) - away(other))[0];
  if (nearest === undefined) return null;
  return Math.abs(nearest.z_m - reading.z_m) > LEAST_DOUBT + STEEP * away(nearest) ? nearest.z_m : null;
}

/** The plane of the nearest few at a place, and how many times wider it may miss there than a reading does. */
function fromNeighbours(place: Known, others: readonly Known[]): { z_m: number; spread: number } | null {
  const away = (other: Known) => Math.hypot(other.x_m - place.x_m, other.y_m - place.y_m);
  const near = others.toSorted((one, other) => away(one) - away(other)).slice(0, NEIGHBOURS);
  if (near.length < 4) return null;
  const mean = (of: (one: Known) => number) => near.reduce((sum, one) => sum + of(one), 0) / near.length;
  const [x0, y0, z0] = [mean((one) => one.x_m), mean((one) => one.y_m), mean((one) => one.z_m)];
  let [xx, xy, yy, xz, yz] = [0, 0, 0, 0, 0];
  for (const { x_m, y_m, z_m } of near) {
    const [x, y, z] = [x_m - x0, y_m - y0, z_m - z0];
    xx += x * x;
    xy += x * y;
    yy += y * y;
    xz += x * z;
    yz += y * z;
  }
  const size = xx * yy - xy * xy;
  // Neighbours on about one line tell no plane.
  if (size < 1e-3 * (xx + yy) ** 2) return null;
  const [px, py] = [place.x_m - x0, place.y_m - y0];
  const [a, b] = [(yy * xz - xy * yz) / size, (xx * yz - xy * xz) / size];
  const leverage = (yy * px * px - 2 * xy * px * py + xx * py * py) / size;
  return { z_m: z0 + a * px + b * py, spread: Math.sqrt(1 + 1 / near.length + leverage) };
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((one, other) => one - other);
  const middle = sorted.length >> 1;
  if (sorted.length === 0) return 0;
  return sorted.length % 2 === 1
    ? (sorted[middle] as number)
    : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2;
}
