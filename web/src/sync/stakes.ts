/** The stake-out of a new surface: made by the office, taken away as one file. */
import { good, office, send } from "../api/office";
import type { components } from "../api/schema";
import { finished } from "./answers";
import { sendFirst } from "./round";

type StakesIn = components["schemas"]["StakesIn"];

/** Ask for it once the office has all that was typed here, and wait until it is made. Throws `NotReached` without signal. */
export async function stakeOut(walk: string, asked: StakesIn): Promise<Blob> {
  await sendFirst(walk);
  const task = good(await office.POST("/api/walks/{id}/stakes", { params: { path: { id: walk } }, body: asked }));
  await finished(task);
  return (await send(`/api/walks/${walk}/stakes/${task.id}`)).blob();
}
