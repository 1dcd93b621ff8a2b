/** Puts a pad with its courts into a walk: off the tape, or of the usual size; from the site or from a call. */
import { answersOf, type Call, padOf } from "../../model/call";
import type { Place } from "../../model/document";
import { placeIn } from "../../model/frame";
import { battery, type Size, type Sport } from "../../model/new_site";
import type { UnitSystem } from "../../model/show";
import { today } from "../../model/today";
import type { Walk } from "../../state/walk.svelte";

export interface Begun {
  readonly outline: readonly Place[];
  readonly size: Size;
  readonly sport: Sport | undefined;
  readonly courts: number;
  readonly units: UnitSystem;
  /** What was said on the phone before, if anything: it belongs to the first pad. */
  readonly call: Call;
}

/** One deed; returns the pad's UUID. */
export function beginPad(walk: Walk, begun: Begun): string {
  const { outline, size, sport, courts, units, call } = begun;
  const isFirst = walk.list("pads").length === 0;
  return walk.open.act(() => {
    if (isFirst) startWalk(walk, units, call);
    const order = walk.nextOrder("pads");
    const pad = walk.open.add("pads", { id: String(order), ...(isFirst ? padOf(call) : {}), outline, order });
    if (sport === undefined) return pad;
    const first = walk.nextOrder("courts");
    for (const [number, court] of (courts > 0 ? battery(sport, courts, size).courts : []).entries()) {
      const centre = placeIn(court.centre_m, units);
      const order = first + number;
      walk.open.add("courts", {
        pad,
        id: String(number + 1),
        sport: sport.id,
        centre,
        turned_deg: court.turned_deg,
        order,
      });
    }
    return pad;
  });
}

function startWalk(walk: Walk, units: UnitSystem, call: Call): void {
  walk.open.say("walk", "units", units);
  if (!walk.walk.get("walked_on")) walk.open.say("walk", "walked_on", today());
  for (const [fact, answer] of Object.entries(answersOf(call))) walk.open.say("answers", fact, answer);
}
