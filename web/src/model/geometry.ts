/** Plane geometry of points, lines and rings; the same for metres of ground and pixels of a sheet. */
export type XY = readonly [x: number, y: number];
export type Box = readonly [left: number, bottom: number, right: number, top: number];

export function distance(a: XY, b: XY): number {
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}

export function lengthOf(line: readonly XY[]): number {
  let sum = 0;
  for (let i = 1; i < line.length; i++) sum += distance(line[i - 1] as XY, line[i] as XY);
  return sum;
}

/** Twice counted nowhere: the area of a simple ring, open or closed. */
export function areaOf(ring: readonly XY[]): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i++) {
    const [a, b] = [ring[i] as XY, ring[(i + 1) % ring.length] as XY];
    sum += a[0] * b[1] - b[0] * a[1];
  }
  return Math.abs(sum) / 2;
}

/** A ring that ends where it begins. */
export function closed(ring: readonly XY[]): readonly XY[] {
  const [first, last] = [ring[0], ring.at(-1)];
  if (first === undefined || last === undefined || distance(first, last) === 0) return ring;
  return [...ring, first];
}

export function boxOf(points: Iterable<XY>): Box {
  let [left, bottom, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    left = Math.min(left, x);
    bottom = Math.min(bottom, y);
    right = Math.max(right, x);
    top = Math.max(top, y);
  }
  return [left, bottom, right, top];
}

export function meets(a: Box, b: Box): boolean {
  return a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];
}

export function grown(box: Box, by: number): Box {
  return [box[0] - by, box[1] - by, box[2] + by, box[3] + by];
}

/** The point of a piece of line that is nearest to a point. */
export function nearestOn(a: XY, b: XY, p: XY): XY {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const long = dx * dx + dy * dy;
  const share = long === 0 ? 0 : Math.min(Math.max(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long, 0), 1);
  return [a[0] + share * dx, a[1] + share * dy];
}

export interface Nearest {
  readonly at: XY;
  readonly distance: number;
  /** The piece of the line, from point `segment` to the next. */
  readonly segment: number;
}

export function nearestOnLine(line: readonly XY[], p: XY): Nearest {
  let best: Nearest = { at: line[0] ?? p, distance: line[0] ? distance(line[0], p) : Infinity, segment: 0 };
  for (let i = 1; i < line.length; i++) {
    const at = nearestOn(line[i - 1] as XY, line[i] as XY, p);
    const away = distance(at, p);
    if (away < best.distance) best = { at, distance: away, segment: i - 1 };
  }
  return best;
}

export function contains(ring: readonly XY[], p: XY): boolean {
  let isIn = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [a, b] = [ring[i] as XY, ring[j] as XY];
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) isIn = !isIn;
  }
  return isIn;
}

/** A point of a line and the direction in which the line runs there. */
export interface Along {
  readonly at: XY;
  readonly towards: XY;
}

/** The point of a line at a share of its length. */
export function along(line: readonly XY[], share: number): Along {
  let rest = lengthOf(line) * share;
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1] as XY, line[i] as XY];
    const long = distance(a, b);
    if (long > 0 && (rest <= long || i === line.length - 1)) {
      const towards: XY = [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
      const on = Math.min(rest, long);
      return { at: [a[0] + towards[0] * on, a[1] + towards[1] * on], towards };
    }
    rest -= long;
  }
  return { at: line[0] ?? [0, 0], towards: [1, 0] };
}

/** Points evenly along a line, each in the middle of its share. */
export function spread(line: readonly XY[], count: number): Along[] {
  const step = lengthOf(line) / count;
  const found: Along[] = [];
  let next = step / 2;
  let gone = 0;
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1] as XY, line[i] as XY];
    const long = distance(a, b);
    const isLast = i === line.length - 1;
    while (long > 0 && found.length < count && (next <= gone + long || isLast)) {
      const towards: XY = [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
      const on = Math.min(next - gone, long);
      found.push({ at: [a[0] + towards[0] * on, a[1] + towards[1] * on], towards });
      next += step;
    }
    gone += long;
  }
  return found;
}

/** A point inside a ring: the middle of its widest stretch half way up. */
export function inside(ring: readonly XY[]): XY {
  const box = boxOf(ring);
  const y = (box[1] + box[3]) / 2 + (box[3] - box[1]) * 1e-6;
  const crossings: number[] = [];
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [a, b] = [ring[i] as XY, ring[j] as XY];
    if (a[1] > y !== b[1] > y) crossings.push(((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]);
  }
  crossings.sort((a, b) => a - b);
  let best: [number, number] = [(box[0] + box[2]) / 2, 0];
  for (let i = 0; i + 1 < crossings.length; i += 2) {
    const [from, to] = [crossings[i] as number, crossings[i + 1] as number];
    if (to - from > best[1]) best = [(from + to) / 2, to - from];
  }
  return [best[0], y];
}

/** A line beside a line, to its left as y goes up. Corners are mitred, sharp ones cut off. */
export function beside(line: readonly XY[], by: number): XY[] {
  return line.map((p, i) => {
    const before = i > 0 ? normal(line[i - 1] as XY, p) : null;
    const after = i + 1 < line.length ? normal(p, line[i + 1] as XY) : null;
    const [a, b] = [before ?? after ?? [0, 0], after ?? before ?? [0, 0]];
    const sum: XY = [a[0] + b[0], a[1] + b[1]];
    const square = sum[0] ** 2 + sum[1] ** 2;
    const reach = square < 0.5 ? by : (2 * by) / square;
    return [p[0] + sum[0] * reach, p[1] + sum[1] * reach];
  });
}

function normal(a: XY, b: XY): XY | null {
  const long = distance(a, b);
  return long === 0 ? null : [-(b[1] - a[1]) / long, (b[0] - a[0]) / long];
}

/** The strip of a width along a line, as a ring. */
export function strip(line: readonly XY[], width: number): XY[] {
  return [...beside(line, width / 2), ...beside(line, -width / 2).reverse()];
}

export function circle(at: XY, radius: number, count = 24): XY[] {
  return Array.from({ length: count }, (_, i) => {
    const turn = (i / count) * 2 * Math.PI;
    return [at[0] + radius * Math.cos(turn), at[1] + radius * Math.sin(turn)];
  });
}

/** The way of a bearing in a frame with y up: clockwise from y. */
export function bearing(deg: number): XY {
  const turn = (deg * Math.PI) / 180;
  return [Math.sin(turn), Math.cos(turn)];
}

/** A line without the points that nobody can see it by: none leaves it by more than `tolerance` (Douglas, Peucker). */
export function simplified(line: readonly XY[], tolerance: number): readonly XY[] {
  if (line.length < 3) return line;
  const keep = new Uint8Array(line.length);
  keep[0] = keep[line.length - 1] = 1;
  const open: [number, number][] = [[0, line.length - 1]];
  for (let span = open.pop(); span !== undefined; span = open.pop()) {
    const [from, to] = span;
    let [farthest, away] = [0, tolerance];
    for (let i = from + 1; i < to; i++) {
      const p = line[i] as XY;
      const off = distance(p, nearestOn(line[from] as XY, line[to] as XY, p));
      if (off > away) [farthest, away] = [i, off];
    }
    if (farthest > 0) {
      keep[farthest] = 1;
      open.push([from, farthest], [farthest, to]);
    }
  }
  return line.filter((_, i) => keep[i] === 1);
}
