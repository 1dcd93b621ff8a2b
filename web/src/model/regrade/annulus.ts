/** The least of the highest of many planes over all slopes between a least and a most, in any direction (spec/README.md). */
import { type Limit, leastUnder } from "./lp";

/** A linear function of a gradient, `level + lean · gradient` [m]; a limit must not be above nought. */
export interface Row {
  readonly level: number;
  readonly lean: Gradient;
  readonly isLimit: boolean;
}
/** Rise along x and y [m/m]. */
export type Gradient = readonly [x: number, y: number];

export interface Least {
  readonly gradient: Gradient;
  /** Of the highest function there [m]. */
  readonly value: number;
}

/** No function may be missed by more than this [m]. */
const MISS = 1e-8;
const EXACT = 1e-10;
const MOST_ROUNDS = 500;
/** No mean thickness and no depth comes near it [m]. */
const FAR = 1e4;

const at = ({ level, lean }: Row, [x, y]: Gradient): number => level + lean[0] * x + lean[1] * y;

/**
 * The gradient between two slopes [m/m] at which the highest of many functions is least; null where none is allowed.
 * `rowsAt` gives, at a gradient, the highest functions and the most broken limits, all or some of them. Functions are
 * added while any is missed, as the office does.
 */
export function leastBetween(
  rowsAt: (gradient: Gradient) => readonly Row[],
  low: number,
  high: number,
  known: readonly Row[] = [],
): Least | null {
  const starts: Gradient[] = [
    [0, 0],
    [high, 0],
    [0, high],
    [-high, 0],
    [0, -high],
  ];
  const rows = once([...known, ...starts.flatMap((start) => rowsAt(start))]);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const found = leastOf(rows, low, high);
    if (found === null) return null;
    const missed = rowsAt(found.gradient).filter(
      (row) => at(row, found.gradient) - (row.isLimit ? 0 : found.value) > MISS,
    );
    if (missed.length === 0) return found;
    rows.push(...missed);
  }
  return null;
}

function once(rows: readonly Row[]): Row[] {
  const seen = new Set<string>();
  return rows.filter(({ level, lean, isLimit }) => {
    const name = `${level} ${lean[0]} ${lean[1]} ${isLimit}`;
    return !seen.has(name) && seen.add(name);
  });
}

function leastOf(rows: readonly Row[], low: number, high: number): Least | null {
  const anywhere = inAnySlope(rows, high);
  if (anywhere === null) return null;
  const slope = Math.hypot(...anywhere.gradient);
  if (slope < low - EXACT) return onCircle(rows, low);
  return slope > high + EXACT ? onCircle(rows, high) : anywhere;
}

/** The least over the square around the circle of the most slope. */
function inAnySlope(rows: readonly Row[], high: number): Least | null {
  const limits: Limit[] = rows.map(({ level, lean, isLimit }) => ({ a: [isLimit ? 0 : -1, ...lean], b: -level }));
  for (const a of [
    [0, 1, 0],
    [0, -1, 0],
    [0, 0, 1],
    [0, 0, -1],
  ])
    limits.push({ a, b: high });
  const found = leastUnder([1, 0, 0], limits, FAR);
  return found === null ? null : { gradient: [found[1] as number, found[2] as number], value: found[0] as number };
}

/** The least over all gradients of one slope, by every place where it can be: see `_on_circle` of the office. */
function onCircle(rows: readonly Row[], slope: number): Least | null {
  const limits = rows.filter(({ isLimit }) => isLimit);
  const goals = rows.filter(({ isLimit }) => !isLimit);
  let best: Least | null = null;
  const look = (turn: number): void => {
    const gradient: Gradient = [slope * Math.cos(turn), slope * Math.sin(turn)];
    let value = -Infinity;
    for (const goal of goals) {
      value = Math.max(value, at(goal, gradient));
      if (best !== null && value >= best.value) return;
    }
    if (limits.every((limit) => at(limit, gradient) <= MISS / 2)) best = { gradient, value };
  };
  for (const { lean } of goals) look(Math.atan2(-lean[1], -lean[0]));
  for (const limit of limits) noughts(limit.level, limit.lean, slope).forEach(look);
  goals.forEach((one, i) => {
    for (const other of goals.slice(i + 1)) {
      const lean: Gradient = [one.lean[0] - other.lean[0], one.lean[1] - other.lean[1]];
      noughts(one.level - other.level, lean, slope).forEach(look);
    }
  });
  return best;
}

/** The directions in which a function is nought on a circle [rad]. */
function noughts(level: number, lean: Gradient, slope: number): number[] {
  const size = slope * Math.hypot(...lean);
  if (size === 0 || Math.abs(level) > size) return [];
  const half = Math.acos(-level / size);
  const towards = Math.atan2(lean[1], lean[0]);
  return [towards - half, towards + half];
}
