/** The call: what is said in three minutes, as typed; and how a first rough site follows from it. */
import { type Fields, UNKNOWN, type Value } from "./document";

/** What may come next after a call. */
export const NEXT = ["visit", "budget-letter", "no", "another-trade"] as const;
export type Next = (typeof NEXT)[number];

/** The worst thing on the court, as callers name it, and the mark that it is counted as. */
export const WORST = ["cracks", "wide-cracks", "heave", "water", "peeling", "lifted-repairs", "faded"] as const;
export type Worst = (typeof WORST)[number];

/** What is kept of a call in the job's record; everything may be missing. */
export interface Call {
  decides?: string;
  phone?: string;
  sport?: string;
  courts?: string;
  surface?: string;
  built?: string;
  coated?: string;
  worst?: Worst;
  amount?: string;
  trees?: string;
  gate?: string;
  irrigation?: string;
  pickleball?: string;
  neighbours?: string;
  deadline?: string;
  bids?: string;
  /** Whether prevailing wage applies. */
  wage?: "true" | "false" | typeof UNKNOWN;
  said?: string;
  next?: Next;
  next_on?: string;
  next_because?: string;
}

const COUNTED: Readonly<Record<Worst, { by: "length" | "count" | "area"; fields: Fields }>> = {
  cracks: { by: "length", fields: { mark: "crack" } },
  // A hand fits in: wider than a membrane bridges.
  "wide-cracks": { by: "length", fields: { mark: "crack", width: "2 in" } },
  heave: { by: "count", fields: { mark: "heave" } },
  water: { by: "count", fields: { mark: "low-spot" } },
  peeling: { by: "area", fields: { mark: "worn", wear: "peeling" } },
  "lifted-repairs": { by: "length", fields: { mark: "old-repair", repair: "membrane", state: "lifted" } },
  faded: { by: "area", fields: { mark: "worn", wear: "faded" } },
};

/** How the worst thing is counted: so many feet, so many, or so much area. */
export function countedBy(worst: Worst): "length" | "count" | "area" {
  return COUNTED[worst].by;
}

/** The tally that a call gives of the worst thing; none while nobody said how much. */
export function tallyOf(call: Call, pad: string): Fields | null {
  const amount = call.amount?.trim();
  if (call.worst === undefined || amount === undefined || amount === "") return null;
  const { by, fields } = COUNTED[call.worst];
  return { pad, ...fields, [by]: amount };
}

/** Keys of a pad that a call gives. */
export function padOf(call: Call): Fields {
  const given: Record<string, string> = {};
  if (call.surface) given.surface = call.surface;
  for (const [key, said] of [
    ["built", call.built],
    ["last_resurfaced", call.coated],
  ] as const) {
    // "about 1985" on the phone is the year 1985 in the record; the words stay in the call.
    const year = said?.match(/\b(19|20)\d{2}\b/)?.[0];
    if (year !== undefined) given[key] = year;
  }
  return given;
}

/** Answers to facts that a call gives. */
export function answersOf(call: Call): Record<string, string> {
  const answers: Record<string, string> = {};
  if (call.gate) answers.machine_access_width = call.gate;
  if (call.irrigation) answers.irrigation_beside = call.irrigation;
  return answers;
}

/** What the walk is told of prevailing wage; undefined where nobody was asked, so that a walk keeps what it came with. */
export function wageOf({ wage }: Pick<Call, "wage">): Value | undefined {
  return wage === undefined || wage === UNKNOWN ? wage : wage === "true";
}

/** How many courts were said, at least one. */
export function courtsOf(call: Call): number {
  const said = Number.parseInt(call.courts ?? "", 10);
  return Number.isFinite(said) ? Math.min(Math.max(said, 1), 24) : 1;
}
