/** The plainest surface through some heights: a plane, and about each shot a cone (spec/README.md, step 3). */

/** A height at a place of the pad frame [m]. */
export interface Height {
  readonly x_m: number;
  readonly y_m: number;
  readonly z_m: number;
}

export type Surface = (x_m: number, y_m: number) => number;

/** The surface through shots at places that differ and do not lie on one line. */
export function surfaceThrough(shots: readonly Height[]): Surface {
  const count = shots.length;
  const mean = (of: (shot: Height) => number) => shots.reduce((sum, shot) => sum + of(shot), 0) / count;
  const [x0, y0, z0] = [mean((shot) => shot.x_m), mean((shot) => shot.y_m), mean((shot) => shot.z_m)];
  const scale = Math.max(...shots.map((shot) => Math.hypot(shot.x_m - x0, shot.y_m - y0)));
  const x = Float64Array.from(shots, (shot) => (shot.x_m - x0) / scale);
  const y = Float64Array.from(shots, (shot) => (shot.y_m - y0) / scale);
  const weights = solved(matrixOf(x, y), [...shots.map((shot) => shot.z_m - z0), 0, 0, 0]);
  const [a, b, c] = [weights[count] as number, weights[count + 1] as number, weights[count + 2] as number];
  return (x_m, y_m) => {
    const [px, py] = [(x_m - x0) / scale, (y_m - y0) / scale];
    let z = z0 + a + b * px + c * py;
    for (let j = 0; j < count; j++) {
      const [dx, dy] = [px - (x[j] as number), py - (y[j] as number)];
      z += (weights[j] as number) * Math.sqrt(dx * dx + dy * dy);
    }
    return z;
  };
}

function matrixOf(x: Float64Array, y: Float64Array): Float64Array[] {
  const count = x.length;
  const rows = Array.from({ length: count + 3 }, () => new Float64Array(count + 3));
  for (let i = 0; i < count; i++) {
    const row = rows[i] as Float64Array;
    const [xi, yi] = [x[i] as number, y[i] as number];
    for (let j = 0; j < count; j++) {
      const [dx, dy] = [xi - (x[j] as number), yi - (y[j] as number)];
      row[j] = Math.sqrt(dx * dx + dy * dy);
    }
    for (const [k, value] of [1, xi, yi].entries()) {
      row[count + k] = value;
      (rows[count + k] as Float64Array)[i] = value;
    }
  }
  return rows;
}

/** The solution of linear equations, by elimination with row exchange. The rows are used up. */
function solved(rows: Float64Array[], right: readonly number[]): Float64Array {
  const size = rows.length;
  const found = Float64Array.from(right);
  for (let step = 0; step < size; step++) {
    let pivot = step;
    for (let i = step + 1; i < size; i++) {
      if (Math.abs(at(rows, i, step)) > Math.abs(at(rows, pivot, step))) pivot = i;
    }
    [rows[step], rows[pivot]] = [rows[pivot] as Float64Array, rows[step] as Float64Array];
    [found[step], found[pivot]] = [found[pivot] as number, found[step] as number];
    const own = rows[step] as Float64Array;
    for (let i = step + 1; i < size; i++) {
      const row = rows[i] as Float64Array;
      const factor = (row[step] as number) / (own[step] as number);
      if (factor === 0) continue;
      for (let j = step + 1; j < size; j++) row[j] = (row[j] as number) - factor * (own[j] as number);
      found[i] = (found[i] as number) - factor * (found[step] as number);
    }
  }
  for (let i = size - 1; i >= 0; i--) {
    let rest = found[i] as number;
    for (let j = i + 1; j < size; j++) rest -= at(rows, i, j) * (found[j] as number);
    found[i] = rest / at(rows, i, i);
  }
  return found;
}

function at(rows: readonly Float64Array[], i: number, j: number): number {
  return (rows[i] as Float64Array)[j] as number;
}
