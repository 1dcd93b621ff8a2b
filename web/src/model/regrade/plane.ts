/** The one plane over a pad's heights that needs the least asphalt, as `ground/regrade/plane.py` has it (spec/README.md). */
import { type Gradient, leastBetween, type Row } from "./annulus";
import type { Ground, Held } from "./ground";
import { canBeTouched } from "./highest";

/** `height = level + gradient · place`, from home: [m] and [m/m]. */
export interface Plane {
  readonly level: number;
  readonly gradient: Gradient;
}

export type Found =
  | { readonly plane: Plane /** How deep the ground is milled at the deepest place [m]. */; readonly milled: number }
  /** No plane meets all that is fixed; the nearest misses by this much [m]. */
  | { readonly miss: number };

/** What is fixed may be missed by a hair, so that rounding finds no contradiction [m]. */
const HAIR = 1e-6;
/** So many parts of the ground each name their highest place in a round. */
const PARTS = 8;

export const planeAt = ({ level, gradient }: Plane, x: number, y: number): number =>
  level + gradient[0] * x + gradient[1] * y;

/** The plane that lies at least `least` over the ground [m], with a slope between `low` and `high` [m/m]. */
export function leastPlane(ground: Ground, least: number, low: number, high: number, held: readonly Held[]): Found {
  let milled = 0;
  if (held.some((one) => one.high < Infinity)) {
    const miss = leastMiss(held, low, high);
    if (miss > HAIR) return { miss: miss / 2 };
    milled = leastMilling(ground, least, held, low, high);
  }
  const need = least - milled;
  const found = leastBetween((gradient) => rowsAt(ground, need, held, gradient), low, high);
  if (found === null) return { miss: 0 };
  return { plane: { level: levelOf(ground, need, held, found.gradient), gradient: found.gradient }, milled };
}

/** The mean heights of planes through the highest places, and the most broken limit. */
function rowsAt(ground: Ground, least: number, held: readonly Held[], gradient: Gradient): Row[] {
  const { middle } = ground;
  const below = [
    ...tops(ground, gradient).map((place) => ({ ...place, z: place.z + least })),
    ...held.filter(({ low }) => low > -Infinity).map(({ x, y, low }) => ({ x, y, z: low })),
  ];
  const rows = below.map(({ x, y, z }): Row => ({ level: z, lean: [middle[0] - x, middle[1] - y], isLimit: false }));
  const roof = lowest(held, gradient);
  if (roof === null) return rows;
  const top = below.reduce((one, other) => (seen(other, gradient) > seen(one, gradient) ? other : one));
  // What is met with a hair's room is met.
  return [...rows, { level: top.z - roof.high - 2 * HAIR, lean: [roof.x - top.x, roof.y - top.y], isLimit: true }];
}

/** The height at home of the lowest plane of a gradient [m]. */
function levelOf(ground: Ground, least: number, held: readonly Held[], gradient: Gradient): number {
  const rest = Math.max(...tops(ground, gradient).map((place) => seen(place, gradient))) + least;
  return Math.max(rest, ...held.map(({ x, y, low }) => seen({ x, y, z: low }, gradient)));
}

interface Place {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

const seen = ({ x, y, z }: Place, gradient: Gradient): number => z - gradient[0] * x - gradient[1] * y;

/** What holds a surface from above most, seen along a gradient. */
function lowest(held: readonly Held[], gradient: Gradient): Held | null {
  let best: Held | null = null;
  let least = Infinity;
  for (const one of held) {
    const here = seen({ ...one, z: one.high }, gradient);
    if (here < least) [best, least] = [one, here];
  }
  return best;
}

/** The highest place of each part of the ground, seen along a gradient. */
function tops(ground: Ground, [gx, gy]: Gradient): Place[] {
  const { x, y, z } = ground;
  const all = canBeTouched(ground);
  const size = Math.max(1, Math.ceil(all.length / PARTS));
  const found: Place[] = [];
  for (let start = 0; start < all.length; start += size) {
    let [best, most] = [-1, -Infinity];
    for (let k = start; k < Math.min(start + size, all.length); k++) {
      const i = all[k] as number;
      const rest = (z[i] as number) - gx * (x[i] as number) - gy * (y[i] as number);
      if (rest > most) [best, most] = [i, rest];
    }
    found.push({ x: x[best] as number, y: y[best] as number, z: z[best] as number });
  }
  return found;
}

/** By how much the heights held from below pass those held from above, at least; nought: not at all [m]. */
function leastMiss(held: readonly Held[], low: number, high: number): number {
  const pairs = held
    .filter((under) => under.low > -Infinity)
    .flatMap((under) =>
      held
        .filter((over) => over.high < Infinity)
        .map(
          (over): Row => ({
            level: under.low - over.high,
            lean: [over.x - under.x, over.y - under.y],
            isLimit: false,
          }),
        ),
    );
  if (pairs.length === 0) return 0;
  return leastBetween(() => pairs, low, high)?.value ?? 0;
}

/** How deep has to be milled at the deepest place so that a plane meets what is fixed [m]. */
function leastMilling(ground: Ground, least: number, held: readonly Held[], low: number, high: number): number {
  const under = held.filter((one) => one.low > -Infinity);
  const found = leastBetween(
    (gradient) => {
      const roof = lowest(held, gradient) as Held;
      const underneath = ({ x, y, low: z }: Held) => seen({ x, y, z }, gradient);
      const rows = tops(ground, gradient).map(
        ({ x, y, z }): Row => ({ level: z + least - roof.high, lean: [roof.x - x, roof.y - y], isLimit: false }),
      );
      // Nothing to mill is the least there is.
      rows.push({ level: 0, lean: [0, 0], isLimit: false });
      if (under.length === 0) return rows;
      const floor = under.reduce((one, other) => (underneath(other) > underneath(one) ? other : one));
      const lean: Gradient = [roof.x - floor.x, roof.y - floor.y];
      return [...rows, { level: floor.low - roof.high - HAIR, lean, isLimit: true }];
    },
    low,
    high,
  );
  return found === null || found.value < HAIR ? 0 : found.value;
}
