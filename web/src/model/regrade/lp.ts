/** Small linear programmes: few unknowns, some hundred limits, to the last digit. */

/** `a · x ≤ b`. */
export interface Limit {
  readonly a: readonly number[];
  readonly b: number;
}

/** A limit counts as broken from here on [m]. */
const BROKEN = 1e-10;
const NOTHING = 1e-12;
/** From so many steps on the first that is broken is taken, so that no round goes on for ever. */
const PATIENT = 400;
const MOST_STEPS = 4_000;

/**
 * The least of `goal · x` under limits, each unknown at most `far` from nought; null where nothing fits.
 *
 * The dual simplex method: from corner to corner, each time towards the limit that is broken most. Corners are solved anew
 * at each step, so that errors do not add up.
 */
export function leastUnder(goal: readonly number[], limits: readonly Limit[], far: number): number[] | null {
  const n = goal.length;
  const basis: Limit[] = goal.map((c, j) => ({ a: goal.map((_, k) => (k === j ? (c > 0 ? -1 : 1) : 0)), b: far }));
  const down = goal.map((c) => -c);
  for (let step = 0; step < MOST_STEPS; step++) {
    const x = solved(
      basis.map(({ a }) => a),
      basis.map(({ b }) => b),
    );
    const columns = Array.from({ length: n }, (_, j) => basis.map(({ a }) => a[j] as number));
    const prices = solved(columns, down);
    if (x === null || prices === null) return null;
    const broken = mostBroken(limits, x, step > PATIENT);
    if (broken === null) return x;
    const shares = solved(columns, broken.a);
    if (shares === null) return null;
    const leaving = leaves(prices, shares);
    if (leaving === null) return null;
    basis[leaving] = broken;
  }
  return null;
}

function mostBroken(limits: readonly Limit[], x: readonly number[], isFirst: boolean): Limit | null {
  let worst: Limit | null = null;
  let most = BROKEN;
  for (const limit of limits) {
    let over = -limit.b;
    for (let j = 0; j < x.length; j++) over += (limit.a[j] as number) * (x[j] as number);
    if (over <= most) continue;
    if (isFirst) return limit;
    [worst, most] = [limit, over];
  }
  return worst;
}

/** Which limit of a corner gives way; of those that give way alike the one that is left most firmly. */
function leaves(prices: readonly number[], shares: readonly number[]): number | null {
  let best: number | null = null;
  let least = Infinity;
  for (const [i, share] of shares.entries()) {
    if (share <= NOTHING) continue;
    const ratio = Math.max(prices[i] as number, 0) / share;
    if (ratio < least - NOTHING || (best !== null && ratio < least + NOTHING && share > (shares[best] as number))) {
      best = i;
      least = Math.min(ratio, least);
    }
  }
  return best;
}

/** The solution of so many equations, by elimination with exchange of rows; null where there is none. */
function solved(rows: readonly (readonly number[])[], right: readonly number[]): number[] | null {
  const n = rows.length;
  const table = rows.map((row, i) => [...row, right[i] as number]);
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let i = column + 1; i < n; i++)
      if (Math.abs(table[i]?.[column] as number) > Math.abs(table[pivot]?.[column] as number)) pivot = i;
    const top = table[pivot] as number[];
    if (Math.abs(top[column] as number) < 1e-14) return null;
    [table[pivot], table[column]] = [table[column] as number[], top];
    for (let i = column + 1; i < n; i++) {
      const row = table[i] as number[];
      const factor = (row[column] as number) / (top[column] as number);
      if (factor !== 0) for (let k = column; k <= n; k++) row[k] = (row[k] as number) - factor * (top[k] as number);
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    const row = table[i] as number[];
    let rest = row[n] as number;
    for (let k = i + 1; k < n; k++) rest -= (row[k] as number) * (x[k] as number);
    x[i] = rest / (row[i] as number);
  }
  return x;
}
