/**
 * Low spots while the shots are being taken: a preview, and no reading of the ground. Every shot counts as exact and every
 * edge as open; the office smooths, knows dams and drains, and says how likely each is. The steps stand in
 * spec/README.md; the office's own copy (src/courtwright/ground/preview.py) is held to the same cases.
 */
import { contour } from "./contours";
import type { PointM } from "./frame";
import { closed, contains } from "./geometry";
import { around, filled, nodeAt, onPad, type Raster, rasterOver } from "./raster";
import { sides, toSegment } from "./shapes";
import { type Height, surfaceThrough } from "./surface";

export interface LowSpot {
  /** The deepest node. */
  readonly at_m: PointM;
  readonly depth_m: number;
  readonly area_m2: number;
  readonly volume_m3: number;
  readonly outline_m: readonly PointM[];
  readonly contours: readonly { readonly depth_m: number; readonly lines_m: readonly (readonly PointM[])[] }[];
}

/** Water left an hour after flooding that a coin of five cents stands in (trade/tolerances.toml). */
export const WATER_TEST_M = 0.00195;
/** Shots farther off the pad are of the ground beside it (trade/tolerances.toml). */
export const SHOT_REACH_M = 0.3048;
export const MOST_SHOTS = 600;
const SAME_PLACE = 0.01;
const ON_A_LINE = 0.01;
const WET = 1e-4;
/** Steps of depth between contours: 3 mm, about 1/8 in. */
const CONTOUR = 0.003175;

/** The low spots that some shots show, deepest first; null while they tell no surface. */
export function lowSpots(given: readonly Height[], outline_m: readonly PointM[]): LowSpot[] | null {
  const ring = closed(outline_m);
  const shots = together(given.filter((shot) => counts(shot, ring)));
  if (shots.length < 3 || shots.length > MOST_SHOTS || isOnALine(shots)) return null;
  const raster = rasterOver(ring);
  if (raster.columns < 3 || raster.rows < 3) return [];
  const surface = surfaceThrough(shots);
  const height = Float64Array.from(onPad(raster, ring), (isOn, node) =>
    isOn ? surface(...nodeAt(raster, node)) : Number.NaN,
  );
  const level = filled(raster, height);
  const depth = Float64Array.from(height, (z, node) => {
    const water = (level[node] as number) - z;
    return water > WET ? water : 0;
  });
  return ponds(raster, depth)
    .map((nodes) => spotOf(raster, nodes, height, depth, level))
    .filter((spot) => spot.depth_m > WATER_TEST_M)
    .sort((one, other) => other.depth_m - one.depth_m);
}

function counts({ x_m, y_m, z_m }: Height, ring: readonly PointM[]): boolean {
  if (![x_m, y_m, z_m].every(Number.isFinite)) return false;
  const place: PointM = [x_m, y_m];
  return contains(ring, place) || sides(ring).some((side) => toSegment(place, side) <= SHOT_REACH_M);
}

/** Shots at one place as one: where the first of them stood, at their mean height. */
function together(shots: readonly Height[]): Height[] {
  const groups: [Height, ...Height[]][] = [];
  for (const shot of shots) {
    const own = groups.find(([first]) => Math.hypot(first.x_m - shot.x_m, first.y_m - shot.y_m) < SAME_PLACE);
    if (own === undefined) groups.push([shot]);
    else own.push(shot);
  }
  return groups.map((group) => ({ ...group[0], z_m: group.reduce((sum, shot) => sum + shot.z_m, 0) / group.length }));
}

/** Whether all shots lie near the line from the first to the one farthest from it. */
function isOnALine(shots: readonly Height[]): boolean {
  const [first] = shots;
  if (first === undefined) return true;
  const off = shots.map((shot) => [shot.x_m - first.x_m, shot.y_m - first.y_m] as const);
  const away = off.map(([x, y]) => Math.hypot(x, y));
  const farthest = Math.max(...away);
  const far = off[away.indexOf(farthest)] ?? [0, 0];
  return off.every(([x, y]) => Math.abs(x * far[1] - y * far[0]) < ON_A_LINE * farthest);
}

/** Wet nodes that are neighbours, together. */
function ponds(raster: Raster, depth: Float64Array): number[][] {
  const isSeen = new Uint8Array(depth.length);
  const next = new Int32Array(8);
  const found: number[][] = [];
  for (let start = 0; start < depth.length; start++) {
    if (depth[start] === 0 || isSeen[start]) continue;
    const pond = [start];
    isSeen[start] = 1;
    for (let i = 0; i < pond.length; i++) {
      for (const node of around(raster, pond[i] as number, next)) {
        if (node < 0 || isSeen[node] || !((depth[node] as number) > 0)) continue;
        isSeen[node] = 1;
        pond.push(node);
      }
    }
    found.push(pond);
  }
  return found;
}

function spotOf(
  raster: Raster,
  nodes: readonly number[],
  height: Float64Array,
  depth: Float64Array,
  level: Float64Array,
): LowSpot {
  const deepest = nodes.reduce((one, other) => ((depth[other] as number) > (depth[one] as number) ? other : one));
  const cell = raster.cell_m ** 2;
  const depth_m = depth[deepest] as number;
  const water = level[deepest] as number;
  // Beside the water the ground goes on rising, but for its way out: there the shore is half a step from the last wet node.
  const field = new Map<number, number>(nodes.map((node) => [node, depth[node] as number]));
  const next = new Int32Array(8);
  for (const node of nodes) {
    for (const other of around(raster, node, next)) {
      if (other < 0 || field.has(other)) continue;
      const below = water - (height[other] as number);
      field.set(other, below < 0 ? below : -(depth[node] as number));
    }
  }
  const lines = (depth: number) => contour(raster, field, depth);
  const steps = Math.floor(depth_m / CONTOUR - 1e-6);
  return {
    at_m: nodeAt(raster, deepest),
    depth_m,
    area_m2: nodes.length * cell,
    volume_m3: nodes.reduce((sum, node) => sum + (depth[node] as number), 0) * cell,
    outline_m: longest(lines(0)),
    contours: Array.from({ length: steps }, (_, i) => ({
      depth_m: (i + 1) * CONTOUR,
      lines_m: lines((i + 1) * CONTOUR),
    })),
  };
}

function longest(lines: readonly (readonly PointM[])[]): readonly PointM[] {
  return lines.reduce((one, other) => (other.length > one.length ? other : one), []);
}
