/** A shape that is half drawn on a walk, kept on this device at every point: a browser that is killed loses no line. */
import type { Fields } from "../model/document";
import type { GeometryM, PointM } from "../model/frame";
import { phone } from "./phone";

export interface HalfDrawn {
  readonly kind: string;
  readonly shape: GeometryM["type"];
  readonly points_m: readonly PointM[];
  /** Facts that were chosen before it was finished. */
  readonly facts: Fields;
  readonly pad: string;
  readonly court: string | null;
}

const nameOf = (walk: string) => `half drawn ${walk}`;

/** What is half drawn on a walk; null when nothing is. */
export async function halfDrawn(walk: string): Promise<HalfDrawn | null> {
  return ((await (await phone()).get("words", nameOf(walk))) as HalfDrawn | undefined) ?? null;
}

/** Keep what is half drawn now; null when it was finished or dropped. */
export async function keepHalfDrawn(walk: string, half: HalfDrawn | null): Promise<void> {
  try {
    const transaction = (await phone()).transaction("words", "readwrite", { durability: "strict" });
    const name = nameOf(walk);
    await Promise.all([
      half === null ? transaction.store.delete(name) : transaction.store.put(half, name),
      transaction.done,
    ]);
  } catch {
    // Without room it lives as long as the page; the head of the screen tells that nothing can be kept.
  }
}
