/**
 * From coordinates as typed to metres of the pad frame, and back. The pad frame is the one in which its outline is
 * written: x and y wherever the walker put them.
 */
import type { Geometry, Place, Value } from "./document";
import { metres } from "./length";
import type { UnitSystem } from "./show";

/** A point of a pad frame [m]. */
export type PointM = readonly [x_m: number, y_m: number];

/** A geometry in metres of a pad frame. */
export type GeometryM =
  | { readonly type: "Point"; readonly coordinates: PointM }
  | { readonly type: "LineString"; readonly coordinates: readonly PointM[] }
  | { readonly type: "Polygon"; readonly coordinates: readonly (readonly PointM[])[] };

/** What a bare number means: of the walk, and of the coordinates of its marks. */
export interface BareUnits {
  readonly walk: UnitSystem;
  readonly marks: UnitSystem;
}

/** The units of a walk, from its flat map; US where nothing is said, as the office reads it. */
export function bareUnits(walk: { get(name: string): Value | undefined }): BareUnits {
  const system = walk.get("units") === "metric" ? "metric" : "us";
  const marks = walk.get("marks_units");
  return { walk: system, marks: marks === "metric" || marks === "us" ? marks : system };
}

/** A typed place in metres; null while one of its numbers says nothing. */
export function pointOf(place: Value | Place | undefined, units: UnitSystem): PointM | null {
  if (!Array.isArray(place) || place.length < 2) return null;
  const [x, y] = [coordinate(place[0], units), coordinate(place[1], units)];
  return x === null || y === null ? null : [x, y];
}

/** A coordinate in metres: it may lie below zero, as no length does. */
export function coordinate(typed: Value | undefined, units: UnitSystem): number | null {
  if (typeof typed !== "string" && typeof typed !== "number") return null;
  const text = String(typed).trim();
  const isBelow = /^[-\u2212\u2013]/.test(text);
  const read = metres(isBelow ? text.slice(1) : text, units);
  return isBelow && read !== null && read !== 0 ? -read : read;
}

/** Places in metres, without those that say nothing. */
export function pointsOf(places: Value | readonly Place[] | undefined, units: UnitSystem): PointM[] {
  if (!Array.isArray(places)) return [];
  return places.map((place) => pointOf(place as Place, units)).filter((point) => point !== null);
}

/** A typed geometry in metres; null where too little of it says anything to be drawn. */
export function geometryOf(geometry: Value | Geometry | undefined, units: UnitSystem): GeometryM | null {
  if (geometry === null || typeof geometry !== "object" || Array.isArray(geometry)) return null;
  const { type, coordinates } = geometry as { type?: unknown; coordinates?: Value };
  if (type === "Point") {
    const coordinates_m = pointOf(coordinates, units);
    return coordinates_m && { type, coordinates: coordinates_m };
  }
  if (type === "LineString") {
    const line = pointsOf(coordinates, units);
    return line.length < 2 ? null : { type, coordinates: line };
  }
  if (type === "Polygon" && Array.isArray(coordinates)) {
    const rings = coordinates.map((ring) => pointsOf(ring as Value, units)).filter((ring) => ring.length >= 3);
    return rings.length === 0 ? null : { type, coordinates: rings };
  }
  return null;
}

/** A number of metres as text in a unit: hundredths of a foot, or millimetres, as nobody draws finer. */
export function coordinateIn(value_m: number, units: UnitSystem): string {
  // Adding 0 takes the sign off -0.
  return units === "metric" ? `${+value_m.toFixed(3) + 0} m` : `${+(value_m / 0.3048).toFixed(2) + 0} ft`;
}

/** A point as the walk keeps it, its unit written out so that it stays true when the units are changed. */
export function placeIn(point: PointM, units: UnitSystem): Place {
  return [coordinateIn(point[0], units), coordinateIn(point[1], units)];
}

/** A drawn geometry as the walk keeps it. */
export function geometryIn(geometry: GeometryM, units: UnitSystem): Geometry {
  const places = (points: readonly PointM[]) => points.map((point) => placeIn(point, units));
  if (geometry.type === "Point") return { type: "Point", coordinates: placeIn(geometry.coordinates, units) };
  if (geometry.type === "LineString") return { type: "LineString", coordinates: places(geometry.coordinates) };
  return { type: "Polygon", coordinates: geometry.coordinates.map(places) };
}
