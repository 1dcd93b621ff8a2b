/** What somebody else has changed, as a reader is told it. */
import type { Together } from "../../model/meanwhile";

export interface Theirs {
  readonly id: string;
  readonly title: string;
  readonly was: string;
  readonly now: string;
  /** What was typed here where both changed it; null where only they did. */
  readonly yours: string | null;
}

/** Each changed field in words; `said` gives a field of what was kept before, is kept now, or stands in the fields. */
export function theirsOf(
  { changed, both }: Together<unknown>,
  titleOf: (id: string) => string,
  said: (id: string, of: "before" | "now" | "typed") => string,
): Theirs[] {
  return changed.map((id) => ({
    id,
    title: titleOf(id),
    was: said(id, "before"),
    now: said(id, "now"),
    yours: both.includes(id) ? said(id, "typed") : null,
  }));
}
