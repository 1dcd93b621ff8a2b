/** Plane shapes in metres: how long, how large, what of them lies where. */
import type { Geometry } from "./document";
import { type GeometryM, geometryOf, type PointM as Point } from "./frame";
import { closed, contains, distance, nearestOn } from "./geometry";
import type { UnitSystem } from "./show";

export type { Point };
export interface Shape {
  readonly type: Geometry["type"];
  /** A point, the corners of a line, or the outer ring of a patch, closed. */
  readonly points: readonly Point[];
}

/** What lies on one side: `a·x + b·y <= c`. */
export interface HalfPlane {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

/** A geometry as a shape: of a patch its outer ring. */
function shapeIn(geometry: GeometryM): Shape {
  const { type } = geometry;
  if (geometry.type === "Point") return { type, points: [geometry.coordinates] };
  if (geometry.type === "LineString") return { type, points: geometry.coordinates };
  return { type, points: closed(geometry.coordinates[0] ?? []) };
}

/** A geometry is read once: what is typed over it is another object. */
const read = new WeakMap<Geometry, { units: UnitSystem; shape: Shape | null }>();

/** A geometry as typed as a shape in metres; null where nothing of it can be read. */
export function shapeOf(geometry: Geometry | undefined, units: UnitSystem): Shape | null {
  if (geometry === undefined || geometry === null || typeof geometry !== "object") return null;
  const before = read.get(geometry);
  if (before?.units === units) return before.shape;
  const inMetres = geometryOf(geometry, units);
  const shape = inMetres && shapeIn(inMetres);
  read.set(geometry, { units, shape });
  return shape;
}

export function sides(points: readonly Point[]): [Point, Point][] {
  return points.slice(1).map((point, i) => [points[i] as Point, point]);
}

/** What of a shape lies in a convex part of the plane: pieces of a line, one ring, the point; empty where nothing does. */
export function within(shape: Shape, zone: readonly HalfPlane[]): Point[][] {
  if (shape.type === "Point") return shape.points.every((point) => isIn(point, zone)) ? [[...shape.points]] : [];
  let pieces: Point[][] = [[...shape.points]];
  for (const half of zone) {
    pieces = pieces.flatMap((piece) => (shape.type === "Polygon" ? [clipRing(piece, half)] : clipLine(piece, half)));
  }
  return pieces.filter((piece) => piece.length > 1);
}

export function isIn(point: Point, zone: readonly HalfPlane[]): boolean {
  return zone.every((half) => beyond(point, half) <= 0);
}

function beyond([x, y]: Point, { a, b, c }: HalfPlane): number {
  return a * x + b * y - c;
}

function crossing(from: Point, to: Point, half: HalfPlane): Point {
  const [before, after] = [beyond(from, half), beyond(to, half)];
  const share = before / (before - after);
  return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
}

function clipRing(ring: readonly Point[], half: HalfPlane): Point[] {
  const kept: Point[] = [];
  for (const [from, to] of sides(ring)) {
    const [isFrom, isTo] = [beyond(from, half) <= 0, beyond(to, half) <= 0];
    if (isFrom) kept.push(from);
    if (isFrom !== isTo) kept.push(crossing(from, to, half));
  }
  return [...closed(kept)];
}

function clipLine(line: readonly Point[], half: HalfPlane): Point[][] {
  const pieces: Point[][] = [];
  let piece: Point[] = [];
  for (const [from, to] of sides(line)) {
    const [isFrom, isTo] = [beyond(from, half) <= 0, beyond(to, half) <= 0];
    if (isFrom && piece.length === 0) piece.push(from);
    if (isFrom !== isTo) piece.push(crossing(from, to, half));
    if (isTo) piece.push(to);
    else if (piece.length > 0) {
      pieces.push(piece);
      piece = [];
    }
  }
  return piece.length > 0 ? [...pieces, piece] : pieces;
}

/** Of a patch, the longer side of the smallest rectangle around it. */
export function longerSide(ring: readonly Point[]): number {
  const around = hull(ring);
  let [least, longer] = [Number.POSITIVE_INFINITY, 0];
  for (const [from, to] of sides(closed(around))) {
    const size = distance(from, to);
    if (size === 0) continue;
    const [ux, uy] = [(to[0] - from[0]) / size, (to[1] - from[1]) / size];
    const width = extent(around.map(([x, y]) => x * ux + y * uy));
    const height = extent(around.map(([x, y]) => y * ux - x * uy));
    if (width * height < least) [least, longer] = [width * height, Math.max(width, height)];
  }
  return longer;
}

function extent(values: readonly number[]): number {
  return Math.max(...values) - Math.min(...values);
}

function hull(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const half = (given: readonly Point[]): Point[] => {
    const kept: Point[] = [];
    for (const point of given) {
      while (kept.length > 1 && turn(kept.at(-2) as Point, kept.at(-1) as Point, point) <= 0) kept.pop();
      kept.push(point);
    }
    return kept.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.toReversed())];
}

function turn(p: Point, q: Point, r: Point): number {
  return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
}

export function toSegment(point: Point, [from, to]: readonly [Point, Point]): number {
  return distance(point, nearestOn(from, to, point));
}

/** How far two lines are apart; nothing where they cross. A single point is a line too. */
export function linesApart(one: readonly Point[], other: readonly Point[]): number {
  let least = Number.POSITIVE_INFINITY;
  const [mine, theirs] = [asSides(one), asSides(other)];
  for (const a of mine) {
    for (const b of theirs) {
      if (crosses(a, b)) return 0;
      least = Math.min(least, toSegment(a[0], b), toSegment(a[1], b), toSegment(b[0], a), toSegment(b[1], a));
    }
  }
  return least;
}

function asSides(points: readonly Point[]): [Point, Point][] {
  return points.length === 1 ? [[points[0] as Point, points[0] as Point]] : sides(points);
}

function crosses([p, q]: [Point, Point], [r, s]: [Point, Point]): boolean {
  return turn(p, q, r) * turn(p, q, s) < 0 && turn(r, s, p) * turn(r, s, q) < 0;
}

/** Whether a shape touches what a ring encloses. */
export function touches(shape: Shape, ring: readonly Point[]): boolean {
  const first = shape.points[0];
  if (first !== undefined && contains(ring, first)) return true;
  if (shape.type === "Polygon" && ring[0] !== undefined && contains(shape.points, ring[0])) return true;
  return linesApart(shape.points, closed(ring)) <= 0;
}
