/** What a pad's heights show on its sheet: lines of equal height, low spots with lines of equal depth, a new surface. */
import type { PointM } from "../model/frame";
import { boxOf, contains } from "../model/geometry";
import { isolines, ROUND, stepFor } from "../model/isolines";
import { nodeAt } from "../model/raster";
import { fieldOf, type Ground } from "../model/regrade/ground";
import { fallOf, type Surface } from "../model/regrade/surface";
import type { UnitSystem } from "../model/show";
import type { PlanContent, PlanLine, PlanLowSpot, PlanSlope, PlanSurface } from "./content";

/** So many lines at most, of each kind. */
const [MOST_HEIGHTS, MOST_DEPTHS, MOST_THICKNESSES] = [14, 4, 8];

/** Lines of equal height; their values are over the lowest node. */
export function heightsOf(ground: Ground, units: UnitSystem): PlanLine[] {
  const field = fieldOf(ground, ground.z);
  const [least, most] = span(ground, ground.z);
  return linesOver(field, ground, least, most - least, stepFor(most - least, MOST_HEIGHTS, ROUND[units]));
}

/** Lines of equal value, from one step over `base` on, told over it. */
function linesOver(field: Float64Array, ground: Ground, base: number, most: number, step: number): PlanLine[] {
  const found: PlanLine[] = [];
  for (let value = step; value < most; value += step) {
    const lines_m = isolines(ground.raster, field, base + value);
    if (lines_m.length > 0) found.push({ value_m: value, lines_m });
  }
  return found;
}

function span({ nodes }: Ground, values: Float64Array): [least: number, most: number] {
  let [least, most] = [Infinity, -Infinity];
  for (let node = 0; node < nodes; node++) {
    least = Math.min(least, values[node] as number);
    most = Math.max(most, values[node] as number);
  }
  return [least, most];
}

/** A sheet whose low spots tell where they are deepest, with lines of equal depth. */
export function withDepths(content: PlanContent, ground: Ground, units: UnitSystem): PlanContent {
  if (content.lowSpots === undefined) return content;
  return { ...content, lowSpots: content.lowSpots.map((spot) => deepened(spot, ground, units)) };
}

function deepened(spot: PlanLowSpot, ground: Ground, units: UnitSystem): PlanLowSpot {
  const { raster } = ground;
  const heights = fieldOf(ground, ground.z);
  const [left, bottom, right, top] = boxOf(spot.outline_m);
  const within = (from: number, to: number, first: number, count: number): [number, number] => [
    Math.max(Math.floor((from - first) / raster.cell_m), 0),
    Math.min(Math.ceil((to - first) / raster.cell_m), count - 1),
  ];
  const [fromColumn, toColumn] = within(left, right, raster.x0_m, raster.columns);
  const [fromRow, toRow] = within(bottom, top, raster.y0_m, raster.rows);
  const field = new Float64Array(heights.length).fill(Number.NaN);
  let [deepest, lowest] = [-1, Infinity];
  for (let row = fromRow; row <= toRow; row++)
    for (let column = fromColumn; column <= toColumn; column++) {
      const node = row * raster.columns + column;
      const height = heights[node] as number;
      if (Number.isNaN(height) || !contains(spot.outline_m, nodeAt(raster, node))) continue;
      field[node] = -height;
      if (height < lowest) [deepest, lowest] = [node, height];
    }
  if (deepest < 0 || spot.depth_mm === undefined) return spot;
  const level = lowest + spot.depth_mm / 1000;
  const most = level - lowest;
  const step = stepFor(most, MOST_DEPTHS, ROUND[units]);
  const contours = linesOver(field, ground, -level, most, step).map(({ value_m, lines_m }) => ({
    depth_mm: value_m * 1000,
    lines_m,
  }));
  return { ...spot, deepest_m: nodeAt(raster, deepest), contours };
}

/** A new surface as it is drawn: cut, fill, and the fall of its planes. */
export function surfaceOf(
  ground: Ground,
  surface: Surface,
  least_m: number,
  units: UnitSystem,
): { readonly surface: PlanSurface; readonly slopes: readonly PlanSlope[] } {
  const above = fieldOf(ground, surface.above);
  const [thinnest, thickest] = extremes(ground, surface.above);
  const isMilled = surface.milled > 0;
  const span = Math.max(surface.thickest - least_m, 0);
  const step = stepFor(span, MOST_THICKNESSES, ROUND[units]);
  const first = Math.ceil((least_m + 1e-9) / step) * step;
  const thickness: PlanLine[] = [];
  for (let value = first; value < surface.thickest; value += step) {
    const lines_m = isolines(ground.raster, above, value);
    if (lines_m.length > 0) thickness.push({ value_m: value, lines_m });
  }
  return {
    surface: {
      raster: ground.raster,
      over_m: above,
      zero_m: isolines(ground.raster, above, 0),
      milled_m: isMilled ? isolines(ground.raster, above, least_m) : [],
      thickness,
      thickest: { at_m: placeOf(ground, thickest), thickness_m: surface.thickest },
      ...(isMilled ? { deepest: { at_m: placeOf(ground, thinnest), depth_m: surface.milled } } : {}),
    },
    slopes: surface.parts.map(
      ({ plane }, i): PlanSlope => ({
        id: `surface-${i}`,
        at_m: middleOf(ground, surface, i),
        ...fallOf(plane),
      }),
    ),
  };
}

/** The places at which a surface lies least and most over the ground. */
function extremes({ z }: Ground, above: Float64Array): [least: number, most: number] {
  let [least, most] = [0, 0];
  for (let i = 1; i < z.length; i++) {
    if ((above[i] as number) < (above[least] as number)) least = i;
    if ((above[i] as number) > (above[most] as number)) most = i;
  }
  return [least, most];
}

function placeOf({ x, y, home }: Ground, place: number): PointM {
  return [(x[place] as number) + home[0], (y[place] as number) + home[1]];
}

/** The middle of what one plane of a surface covers. */
function middleOf(ground: Ground, { parts }: Surface, part: number): PointM {
  const { x, y, home } = ground;
  let [sumX, sumY, count] = [0, 0, 0];
  for (let node = 0; node < ground.nodes; node++) {
    const heights = parts.map(
      ({ plane: { level, gradient } }) => level + gradient[0] * (x[node] as number) + gradient[1] * (y[node] as number),
    );
    if ((heights[part] as number) > Math.min(...heights)) continue;
    [sumX, sumY, count] = [sumX + (x[node] as number), sumY + (y[node] as number), count + 1];
  }
  return count === 0
    ? [ground.middle[0] + home[0], ground.middle[1] + home[1]]
    : [sumX / count + home[0], sumY / count + home[1]];
}
