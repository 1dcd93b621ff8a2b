/** From a call to a range: a rough site in the walk, sent to the office, which reckons. */
import { type Call, courtsOf, tallyOf } from "../../model/call";
import { sportOf, usualOutline, usualSize } from "../../model/new_site";
import { currentWalk } from "../../state/current.svelte";
import type { UnitSystem } from "../../state/settings.svelte";
import type { Language } from "../../strings/words";
import { ask } from "../../sync/answers";
import { beginPad } from "../walk/begin_site";

/** Put what was said into the walk, unless it has a pad already; ask for verdict and price. Returns the walk's id. */
export async function reckon(
  job: string,
  call: Call,
  settings: { language: Language; units: UnitSystem },
): Promise<string> {
  const walk = await currentWalk(job);
  const sport = sportOf(call.sport);
  if (sport !== undefined && walk.list("pads").length === 0) {
    const courts = courtsOf(call);
    const size = usualSize(sport, courts);
    const pad = beginPad(walk, { outline: usualOutline(size), size, sport, courts, units: settings.units, call });
    const tally = tallyOf(call, pad);
    if (tally !== null) walk.open.add("tallies", { ...tally, order: walk.nextOrder("tallies") });
  }
  await walk.open.settled();
  await ask(walk.id, "verdict", settings.language);
  await ask(walk.id, "price", settings.language);
  return walk.id;
}
