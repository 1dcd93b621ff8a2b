/** The walk that is open now. One at a time: the stages of a job share it, so that what is typed in one stands in all. */
import { type Call, wageOf } from "../model/call";
import { round } from "../sync/round";
import { jobs } from "./jobs.svelte";
import { Walk } from "./walk.svelte";

/** Walks that were chosen among those of a job; the newest where none was. */
const chosen = new Map<string, string>();
let open: { id: string; walk: Promise<Walk> } | null = null;

/** From now on every stage of a job shows this walk of it. */
export function chooseWalk(job: string, id: string): void {
  chosen.set(job, id);
}

/** Open the walk of a job that was chosen, or its newest; a job without one begins its first. */
export async function currentWalk(job: string): Promise<Walk> {
  const walks = await jobs.walksOf(job);
  const id = walks.find((one) => one === chosen.get(job)) ?? walks[0] ?? (await jobs.beginWalk(job));
  const walk = await openWalk(id);
  const told = jobs.get(job);
  // The papers are made of the walk: it says whose and where it is.
  if (told !== undefined) {
    const wage = wageOf(told.call as Call);
    const { name, address, customer } = told;
    walk.open.follow({ name, address, customer, ...(wage === undefined ? {} : { prevailing_wage: wage }) });
  }
  return walk;
}

/** Open a walk; the one that was open before is closed once it is kept. */
export async function openWalk(id: string): Promise<Walk> {
  if (open?.id === id) return open.walk;
  const before = open;
  open = { id, walk: Walk.open(id) };
  void before?.walk.then((walk) => walk.close());
  // What others have typed since is fetched at once, and from now on while it is open.
  round.soon(0);
  return open.walk;
}
