/** The new surface over a pad that needs the least asphalt, and what it takes: what `regrade` answers, on this device. */
import { leastFolded, type Strips } from "./folds";
import type { Ground, Held, MapsSays } from "./ground";
import { leastPlane, type Plane, planeAt } from "./plane";

/** What is asked of a new surface. Slopes in percent, thickness in millimetres. */
export interface Asked {
  readonly slope_min_pct: number;
  readonly slope_max_pct: number;
  readonly least_mm: number;
  readonly layout: "one" | "courts" | "least";
}

interface Part {
  readonly plane: Plane;
  /** None: all of the pad. */
  readonly courts: readonly string[];
}

/** What may be said of a layout: why the planes are not those that were asked for. */
type Said = "no-folds" | "folds-blocked";

export interface Surface {
  readonly parts: readonly Part[];
  /** How deep the ground is milled at the deepest place, and the volume of that [m], [m³]. */
  readonly milled: number;
  readonly cut: number;
  readonly volume: number;
  /** Without waste [t]. */
  readonly mass: number;
  readonly thinnest: number;
  readonly thickest: number;
  /** How far the surface lies over each place of the ground [m]. */
  readonly above: Float64Array;
}

export type Regraded =
  | { readonly surface: Surface; readonly said: Said | null }
  /** Nothing meets all that is fixed: the nearest plane misses by this [m]. */
  | { readonly surface: null; readonly miss: number; readonly said: Said | null };

/** Folds that save less of the mean thickness are not worth their name [m]. */
const WORTH = 1e-5;

export function regraded(
  ground: Ground,
  strips: Strips | null,
  asked: Asked,
  held: readonly Held[],
  density_t_m3: number,
): Regraded {
  const [low, high, least] = [asked.slope_min_pct / 100, asked.slope_max_pct / 100, asked.least_mm / 1000];
  let folded: Surface | null = null;
  let said: Said | null = null;
  if (asked.layout !== "one") {
    const planes = strips && leastFolded(ground, strips, least, low, high, held);
    if (strips === null) said = "no-folds";
    else if (planes === null) said = "folds-blocked";
    else {
      const parts = planes.map((plane, i) => ({ plane, courts: strips.courts[i] ?? [] }));
      folded = measured(ground, parts, 0, least, density_t_m3);
    }
  }
  if (folded !== null && asked.layout === "courts") return { surface: folded, said };
  const one = leastPlane(ground, least, low, high, held);
  if ("miss" in one) return folded === null ? { surface: null, miss: one.miss, said } : { surface: folded, said };
  const whole = measured(ground, [{ plane: one.plane, courts: [] }], one.milled, least, density_t_m3);
  if (folded !== null && folded.volume + folded.cut < whole.volume + whole.cut - WORTH * ground.wholeArea)
    return { surface: folded, said };
  return { surface: whole, said };
}

function measured(
  ground: Ground,
  parts: readonly Part[],
  milled: number,
  least: number,
  density_t_m3: number,
): Surface {
  const { x, y, z, area } = ground;
  const above = new Float64Array(z.length);
  let [volume, cut, thinnest, thickest] = [0, 0, Infinity, 0];
  for (let i = 0; i < z.length; i++) {
    let height = Infinity;
    for (const { plane } of parts) height = Math.min(height, planeAt(plane, x[i] as number, y[i] as number));
    above[i] = height - (z[i] as number);
    // Where the ground is milled the least thickness is laid; elsewhere rounding leaves a nanometre.
    const laid = Math.max(above[i] as number, least);
    volume += (area[i] as number) * laid;
    if (milled > 0) cut += (area[i] as number) * (laid - (above[i] as number));
    thinnest = Math.min(thinnest, laid);
    thickest = Math.max(thickest, laid);
  }
  return { parts, milled, cut, volume, mass: volume * density_t_m3, thinnest, thickest, above };
}

/** Fall along the steepest line [%], and its direction, clockwise from +y [°]. */
export function fallOf({ gradient: [x, y] }: Plane): { readonly slope_pct: number; readonly bearing_deg: number } {
  const bearing = (Math.atan2(-x, -y) * 180) / Math.PI;
  return { slope_pct: Math.hypot(x, y) * 100, bearing_deg: (bearing + 360) % 360 };
}

/** The least thickness over the largest stone of a mix [mm], by the rules of the trade. */
export function thicknessFor(stone_mm: number, grading: "fine" | "coarse", rules: MapsSays["rules"]): number {
  return Math.max((grading === "fine" ? rules.stones_fine : rules.stones_coarse) * stone_mm, rules.least_mm);
}
