/** A drawing as it comes to be, and a mark whose points are moved. Metres; knows nothing of the sheet. */
import type { GeometryM, PointM } from "../model/frame";
import { closed, distance, lengthOf, nearestOnLine, type XY } from "../model/geometry";
import { kindOf } from "../model/kinds";
import type { CaughtBy, Drawing } from "./content";

export type Shape = GeometryM["type"];

const SHAPES: Readonly<Record<string, Shape>> = { point: "Point", line: "LineString", polygon: "Polygon" };
const LEAST: Readonly<Record<Shape, number>> = { Point: 1, LineString: 2, Polygon: 3 };

/** How a kind of mark is usually drawn. */
function shapeOf(kind: string): Shape {
  return SHAPES[kindOf(kind)?.geometry[0] ?? "line"] ?? "LineString";
}

export class Draft {
  readonly kind: string;
  readonly shape: Shape;
  points: readonly PointM[];
  /** Where the next point would stand, and what caught it. */
  aim: PointM | null = null;
  caught: CaughtBy | null = null;

  /** A drawing that begins, or goes on from points that were put before. */
  constructor(kind: string, shape: Shape = shapeOf(kind), points: readonly PointM[] = []) {
    this.kind = kind;
    this.shape = shape;
    this.points = points;
  }

  /** Put a point; true when the drawing is finished by it: a point is, an area is where it began. */
  add(at: PointM): boolean {
    const [first, last] = [this.points[0], this.points.at(-1)];
    if (this.shape === "Polygon" && this.canFinish && first && distance(first, at) === 0) return true;
    if (last === undefined || distance(last, at) > 0) this.points = [...this.points, at];
    return this.shape === "Point";
  }

  undo(): void {
    this.points = this.points.slice(0, -1);
  }

  get canFinish(): boolean {
    return this.points.length >= LEAST[this.shape];
  }

  get geometry(): GeometryM | null {
    return this.canFinish ? geometryFrom(this.shape, this.points) : null;
  }

  /** What is drawn so far with the point that is aimed at. */
  get shown(): readonly PointM[] {
    return this.aim === null ? this.points : [...this.points, this.aim];
  }

  get state(): Drawing {
    return {
      kind: this.kind,
      shape: this.shape,
      count: this.points.length,
      points_m: this.points,
      length_m: lengthOf(this.shown),
      canFinish: this.canFinish,
      caught: this.caught,
    };
  }
}

function geometryFrom(type: Shape, points: readonly PointM[]): GeometryM | null {
  const [first] = points;
  if (first === undefined) return null;
  if (type === "Point") return { type, coordinates: first };
  return type === "LineString" ? { type, coordinates: points } : { type, coordinates: [points] };
}

/** The points of a geometry that can be moved: of an area those of its outline, once each. */
export function handlesOf(geometry: GeometryM): readonly PointM[] {
  if (geometry.type === "Point") return [geometry.coordinates];
  if (geometry.type === "LineString") return geometry.coordinates;
  const ring = geometry.coordinates[0] ?? [];
  const [first, last] = [ring[0], ring.at(-1)];
  return first && last && ring.length > 3 && distance(first, last) === 0 ? ring.slice(0, -1) : ring;
}

/** A geometry with other points; the holes of an area stay. */
function withHandles(geometry: GeometryM, points: readonly PointM[]): GeometryM {
  if (geometry.type === "Polygon") return { type: "Polygon", coordinates: [points, ...geometry.coordinates.slice(1)] };
  return geometryFrom(geometry.type, points) ?? geometry;
}

/** What of a mark is held: one of its points, a new point on a piece of it, or all of it. */
export type Hold =
  | { readonly of: "point"; readonly index: number }
  | { readonly of: "new"; readonly index: number }
  | { readonly of: "all"; readonly from: XY };

/** What a hand takes hold of at a place; null beside the mark. */
export function holdAt(geometry: GeometryM, at: XY, reach_m: number): Hold | null {
  const handles = handlesOf(geometry);
  let [index, away] = [-1, reach_m];
  handles.forEach((handle, i) => {
    const off = distance(handle, at);
    if (off <= away) [index, away] = [i, off];
  });
  if (index >= 0) return { of: "point", index };
  if (handles.length < 2) return null;
  const line = geometry.type === "Polygon" ? closed(handles) : handles;
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1] as XY, line[i] as XY];
    if (distance([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], at) <= reach_m) return { of: "new", index: i };
  }
  return nearestOnLine(line, at).distance <= reach_m ? { of: "all", from: at } : null;
}

/** A geometry after what is held was pulled to a place. */
export function pulled(geometry: GeometryM, hold: Hold, to: XY): GeometryM {
  const handles = handlesOf(geometry);
  if (hold.of === "point") return withHandles(geometry, handles.with(hold.index, to));
  if (hold.of === "new") return withHandles(geometry, handles.toSpliced(hold.index, 0, to));
  const [dx, dy] = [to[0] - hold.from[0], to[1] - hold.from[1]];
  const move = (at: PointM): PointM => [at[0] + dx, at[1] + dy];
  if (geometry.type === "Polygon")
    return { type: "Polygon", coordinates: geometry.coordinates.map((ring) => ring.map(move)) };
  return withHandles(geometry, handles.map(move));
}

/** A geometry without one of its points; null where too few would be left. */
export function withoutPoint(geometry: GeometryM, index: number): GeometryM | null {
  const handles = handlesOf(geometry);
  return handles.length > LEAST[geometry.type] ? withHandles(geometry, handles.toSpliced(index, 1)) : null;
}
