/** What the heights of a pad add to its sheet, by what was chosen to be shown. Loaded when somebody chooses it. */
import { groundOf, type MapsPad, type MapsSays } from "../../model/regrade/ground";
import type { UnitSystem } from "../../model/show";
import type { PlanContent } from "../../plan/content";
import { heightsOf, surfaceOf, withDepths } from "../../plan/from_maps";
import { keptChoices, surfaceFor } from "../../state/regrading.svelte";
import type { Shows } from "../../state/shows.svelte";

export interface MapLayers {
  readonly onto: (content: PlanContent) => PlanContent;
  /** Whether a new surface was asked for, and there is none on this device. */
  readonly lacksSurface: boolean;
}

interface Told {
  readonly walk: string;
  readonly pad: MapsPad;
  readonly rules: MapsSays["rules"];
  readonly shows: Pick<Shows, "has">;
  readonly units: UnitSystem;
}

export async function mapLayers({ walk, pad, rules, shows, units }: Told): Promise<MapLayers> {
  const ground = groundOf(pad);
  // What is chosen is asked before anything is waited for, so that a change of it is seen.
  const [hasHeights, hasSurface, hasSlopes, hasSpots] = (["heights", "surface", "slopes", "low-spots"] as const).map(
    (layer) => shows.has(layer),
  );
  const choices = hasSurface ? await keptChoices(walk, pad.id) : null;
  const surface = ground && choices && surfaceFor(ground, pad, rules, choices).found.surface;
  const over = ground && surface ? surfaceOf(ground, surface, (choices?.least_mm ?? 0) / 1000, units) : null;
  const heights = ground && hasHeights ? heightsOf(ground, units) : null;
  return {
    lacksSurface: hasSurface === true && over === null,
    onto: (content) => ({
      ...(ground && hasSpots ? withDepths(content, ground, units) : content),
      ...(heights === null ? {} : { heights }),
      ...(over === null ? {} : { surface: over.surface }),
      // The arrows are those of the surface that is shown.
      ...(over !== null && hasSlopes ? { slopes: over.slopes } : {}),
    }),
  };
}
