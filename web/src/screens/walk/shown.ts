/** How the trade's words and amounts are said in the language and units that are set. */
import { UNKNOWN } from "../../model/document";
import type { CountedBy, Kind, Label } from "../../model/kinds";
import { kindOf, propertiesFirst } from "../../model/kinds";
import { area, run } from "../../model/show";
import type { Amount, KindTotal } from "../../model/totals";
import { say, settings } from "../../state/settings.svelte";
import { shell } from "../../strings/shell";
import { texts } from "../../strings/walk";

export function named(label: Label): string {
  return label[settings.language];
}

/** The name of a kind, its first letter large where it begins a line or stands on a button. */
export function kindName(id: string): string {
  const kind = kindOf(id);
  return kind === undefined ? id : named(kind.label);
}

export function large(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Words of the office as a sentence: its first letter large, one full stop at its end. */
export function sentence(text: string): string {
  return large(text.endsWith(".") ? text : `${text}.`);
}

/** What a kind is told by: feet of what is usually drawn as a line, pieces with their area of what is not. */
export function amountOf(kind: Kind | undefined, amount: Amount): string {
  const { units } = settings;
  if (kind?.geometry[0] === "line" && amount.length_m > 0) {
    const more = amount.count > 0 && kind.id === "trees" ? ` (${amount.count})` : "";
    return `${run(amount.length_m, units)}${more}`;
  }
  const patch = amount.area_m2 > 0 ? area(amount.area_m2, units) : "";
  if (amount.count === 0) return patch || (amount.length_m > 0 ? run(amount.length_m, units) : "");
  return patch === "" ? String(amount.count) : `${amount.count} (${patch})`;
}

/** One side of the totals as a list in words: "crack 140 ft, heave 3". */
function listed(totals: readonly KindTotal[], side: "drawn" | "counted"): string {
  return totals
    .map((total) => [total.mark, amountOf(kindOf(total.mark), total[side])] as const)
    .filter(([, amount]) => amount !== "")
    .map(([mark, amount]) => say(texts.amount, { kind: kindName(mark), amount }))
    .join(", ");
}

/** The one line that is always in sight. */
export function totalsLine(place: string, totals: readonly KindTotal[]): string {
  const [drawn, counted] = [listed(totals, "drawn"), listed(totals, "counted")];
  if (drawn === "" && counted === "") return say(texts.nothingYet, { place });
  if (counted === "") return say(texts.totals, { place, drawn });
  return drawn === ""
    ? say(texts.onlyCounted, { place, counted })
    : say(texts.totalsCounted, { place, drawn, counted });
}

/** A tally's amount as it was typed. */
export function tallied(item: Readonly<Record<string, unknown>>): string {
  const by = (["length", "count", "area"] as const satisfies readonly CountedBy[]).find(
    (one) => item[one] !== undefined,
  );
  return by === undefined ? "" : String(item[by] ?? "");
}

/** A value as it was said of the fact that is asked first of a kind: a choice in its words, anything else as typed. */
export function wordOf(kind: Kind | undefined, said: string): string {
  if (said === "") return say(texts.notTold);
  if (said === UNKNOWN) return say(shell.dontKnow).toLowerCase();
  const choice = kind && propertiesFirst(kind)[0]?.choices?.find(({ id }) => id === said);
  return choice === undefined ? said : named(choice.label);
}
