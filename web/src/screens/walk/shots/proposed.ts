/** Where the office would shoot next, from its last answer about the ground. */
import { distance } from "../../../model/geometry";
import type { Walk } from "../../../state/walk.svelte";
import { padOf } from "../places";
import type { Proposed } from "./run.svelte";

/** As much of the answer as is read; what an older office did not tell is missing. */
export interface GroundSays {
  readonly pads: readonly {
    readonly id: string;
    readonly shoot_next?: readonly { readonly at: readonly number[]; readonly says?: string }[] | null;
  }[];
}

/** No more letters; and two places so near are one [m]. */
const [MOST, SAME_M] = [26, 0.01];

export function proposedOn(walk: Walk, pad: string, says: GroundSays | null): Proposed[] {
  const told = says?.pads.find(({ id }) => padOf(walk, id) === pad)?.shoot_next ?? [];
  const found: Proposed[] = [];
  for (const { at, says: why } of told) {
    const [x, y] = at;
    if (x === undefined || y === undefined || found.length === MOST) continue;
    if (found.every(({ at_m }) => distance(at_m, [x, y]) > SAME_M)) found.push({ at_m: [x, y], says: why ?? "" });
  }
  return found;
}

/** Whether the office tells of places at all. */
export function tellsOfPlaces(says: GroundSays | null): boolean {
  return says?.pads.some(({ shoot_next }) => Array.isArray(shoot_next)) ?? false;
}
