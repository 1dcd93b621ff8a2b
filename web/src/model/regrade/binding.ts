/** What holds a new surface where it is: a slope, the ground that it touches, a gate, a drain, a wall, a point. */
import type { PointM } from "../frame";
import type { Ground, Held } from "./ground";
import { planeAt } from "./plane";
import { type Asked, fallOf, type Surface } from "./surface";

interface Touch {
  readonly kind: Held["kind"] | "ground" | "edge";
  readonly at_m: PointM;
}

export interface Binding {
  readonly isLeastSlope: boolean;
  readonly isMostSlope: boolean;
  readonly touches: readonly Touch[];
}

/** What is met within this is touched: heights come in steps of 10 µm [m], slopes are exact [%]. */
const [TOUCHES, SAME_PCT] = [4e-6, 1e-5];
/** Places nearer than this are one [m]. */
const APART = 1.0;
const MOST = 6;

export function bindingOf(ground: Ground, surface: Surface, asked: Asked, held: readonly Held[]): Binding {
  const slopes = surface.parts.map(({ plane }) => fallOf(plane).slope_pct);
  const touched: Touch[] = [];
  const add = (kind: Touch["kind"], x: number, y: number): void => {
    touched.push({ kind, at_m: [x + ground.home[0], y + ground.home[1]] });
  };
  for (const { kind, x, y, low, high } of held) {
    const height = Math.min(...surface.parts.map(({ plane }) => planeAt(plane, x, y)));
    if (Math.abs(height - low) < TOUCHES || Math.abs(height - high) < TOUCHES) add(kind, x, y);
  }
  const need = asked.least_mm / 1000 - surface.milled;
  for (const [i, above] of surface.above.entries())
    if (above - need < TOUCHES) add(i < ground.nodes ? "ground" : "edge", ground.x[i] as number, ground.y[i] as number);
  return {
    isLeastSlope: slopes.some((slope) => slope < asked.slope_min_pct + SAME_PCT),
    isMostSlope: slopes.some((slope) => slope > asked.slope_max_pct - SAME_PCT),
    touches: farApart(touched),
  };
}

/** Of places that hold a surface those that say most: what is fixed first, then each time the one farthest from all others. */
function farApart(all: readonly Touch[]): Touch[] {
  const chosen: Touch[] = all.slice(0, 1);
  const away = all.map(() => Infinity);
  while (chosen.length < MOST) {
    const [last] = chosen.slice(-1);
    if (last === undefined) break;
    let farthest = 0;
    for (const [i, { at_m }] of all.entries()) {
      const here = Math.hypot(at_m[0] - last.at_m[0], at_m[1] - last.at_m[1]);
      away[i] = Math.min(away[i] as number, here);
      if ((away[i] as number) > (away[farthest] as number)) farthest = i;
    }
    const next = all[farthest];
    if (next === undefined || (away[farthest] as number) < APART) break;
    chosen.push(next);
  }
  return chosen;
}

/** How far a surface lies over the ground at each corner of an outline [m]: at the nearest place of the edge. */
export function atCorners(ground: Ground, surface: Surface, outline_m: readonly PointM[]): number[] {
  return outline_m.map(([x, y]) => {
    let [best, least] = [0, Infinity];
    for (let i = ground.nodes; i < ground.x.length; i++) {
      const away = Math.hypot(
        (ground.x[i] as number) + ground.home[0] - x,
        (ground.y[i] as number) + ground.home[1] - y,
      );
      if (away < least) [best, least] = [i, away];
    }
    return surface.above[best] as number;
  });
}
