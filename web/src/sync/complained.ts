/** Which item of a walk each complaint of the office is about: asked for with signal, kept for when there is none. */
import { good, office } from "../api/office";
import { NotReached, Problem } from "../api/problem";
import { phone } from "./phone";

/** What tells one complaint from the others. */
interface Complained {
  readonly file: string;
  readonly at: string;
  readonly code: string;
}

export const nameOfComplaint = ({ file, at, code }: Complained): string => `${file}, ${at}: ${code}`;

/** The ids of items by the names of complaints. */
export async function complainedItems(walk: string): Promise<Readonly<Record<string, string>>> {
  const name = `complained ${walk}`;
  try {
    const { complaints } = good(await office.GET("/api/walks/{id}/record", { params: { path: { id: walk } } }));
    const items: Record<string, string> = {};
    for (const one of complaints) if (one.id !== null) items[nameOfComplaint(one)] = one.id;
    await (await phone()).put("words", items, name);
    return items;
  } catch (error) {
    if (!(error instanceof NotReached || error instanceof Problem)) throw error;
    return ((await (await phone()).get("words", name)) as Record<string, string> | undefined) ?? {};
  }
}
