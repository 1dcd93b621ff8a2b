/** Where the office would shoot next, from its last answer about the ground. */
import { distance } from "../../../model/geometry";
import type { Walk } from "../../../state/walk.svelte";
import { padOf } from "../places";
import type { Proposed } from "./run.svelte";

/** As much of the answer as is read; what an older office did not tell is missing, and a pad without heights has none. */
export interface GroundSays {
  readonly pads: readonly { readonly id: string; readonly shoot_next?: ShootNext | null }[];
}
interface ShootNext {
  readonly places: readonly { readonly at: readonly number[]; readonly says: string }[];
  /** Why there is no place. */
  readonly says: string | null;
}

/** No more letters; and two places so near are one [m]. */
const [MOST, SAME_M] = [26, 0.01];

/** What the office tells of a pad; null where it tells nothing. */
export function shootNextOn(walk: Walk, pad: string, says: GroundSays | null): ShootNext | null {
  return says?.pads.find(({ id }) => padOf(walk, id) === pad)?.shoot_next ?? null;
}

export function proposedOf(told: ShootNext | null): Proposed[] {
  const found: Proposed[] = [];
  for (const { at, says } of told?.places ?? []) {
    const [x, y] = at;
    if (x === undefined || y === undefined || found.length === MOST) continue;
    if (found.every(({ at_m }) => distance(at_m, [x, y]) > SAME_M)) found.push({ at_m: [x, y], says });
  }
  return found;
}
