/** Walks that are open in this tab, so that one that is looked at and one that is sent is the same. */
import { OpenWalk } from "./open_walk";

interface Lent {
  walk: Promise<OpenWalk>;
  users: number;
}

const lent = new Map<string, Lent>();

/** Open a walk, or share it where it is open in this tab. Give it back with `giveBack`. */
export async function borrow(id: string): Promise<OpenWalk> {
  let one = lent.get(id);
  if (one === undefined) {
    one = { walk: OpenWalk.open(id), users: 0 };
    lent.set(id, one);
  }
  one.users += 1;
  try {
    return await one.walk;
  } catch (error) {
    lent.delete(id);
    throw error;
  }
}

/** The last one who gives it back closes it, once all is kept. */
export async function giveBack(id: string): Promise<void> {
  const one = lent.get(id);
  if (one === undefined) return;
  one.users -= 1;
  if (one.users > 0) return;
  lent.delete(id);
  await (await one.walk).close();
}

/** Ids of the walks that are open in this tab. */
export function openWalks(): string[] {
  return [...lent.keys()];
}
