/** What the office concluded of a walk, as the answers of `verdict` and `price` hold it. */

interface Because {
  readonly rule: string;
  readonly says: string;
  readonly source: string;
  readonly effect?: string;
}
export interface Needed {
  readonly fact: string;
  readonly is: number | boolean | string | null;
  /** An operator and a value in SI, or a word. */
  readonly needs: string;
}
export type State = "open" | "ruled out" | "open if";

export interface Option {
  readonly id: string;
  readonly title: string;
  readonly remedies: readonly string[];
  readonly state: State;
  readonly because: readonly Because[];
  readonly opens_if: readonly (readonly Needed[])[];
  readonly settled_by: readonly string[];
  readonly does_not_mend?: readonly string[];
  /** Whether the pad is built again and not mended; missing in an answer that was kept from before it was told. */
  readonly begins_anew?: boolean;
}
/** A thing of the pad that a finding speaks of. */
export interface SpokenOf {
  readonly kind: "mark" | "piece" | "low-spot" | "court" | "repair";
  readonly id: string;
}
interface Finding {
  readonly id: string;
  readonly says: string;
  readonly facts: readonly string[];
  /** None for the whole pad. Missing in an answer that was kept from before places were told. */
  readonly at?: readonly SpokenOf[];
}
export interface PadVerdict {
  readonly id: string;
  readonly findings: readonly Finding[];
  readonly condition_index: {
    readonly value: number;
    readonly rating: string;
    /** The rating in the reader's language; missing in an answer that was kept from before it was told. */
    readonly rating_says?: string;
    readonly standard: string;
  } | null;
  readonly causes: readonly {
    readonly cause: string;
    readonly title: string;
    readonly strength: number;
    readonly for: readonly string[];
    readonly against: readonly string[];
  }[];
  readonly options: readonly Option[];
  readonly not_considered: readonly { readonly remedy: string; readonly says: string }[];
  readonly recommended: string | null;
  readonly advice: readonly string[];
  readonly measure_next: readonly {
    readonly fact: string;
    readonly how: string;
    readonly settles: readonly string[];
  }[];
}
export interface Complaint {
  readonly file: string;
  readonly at: string;
  readonly code: string;
  readonly weight: string;
  readonly says: string;
  readonly do: string;
}
export interface VerdictSays {
  readonly pads: readonly PadVerdict[];
  readonly complaints: readonly Complaint[];
}

export interface Percentiles {
  readonly p10: number;
  readonly p50: number;
  readonly p80: number;
  readonly p90: number;
}
export interface OptionPrice {
  readonly id: string;
  readonly quantities: readonly {
    readonly item: string;
    readonly title: string;
    readonly quantity: number;
    readonly sd: number;
    readonly unit: string;
    readonly formula: string;
  }[];
  readonly price: Percentiles;
  readonly firm_price: number;
  readonly unit_rate_price: number;
  readonly build_up_price: number;
  readonly build_up: readonly { readonly says: string; readonly amount: number }[];
  readonly includes: readonly string[];
  readonly allowances: readonly {
    readonly item: string;
    readonly title: string;
    readonly unit: string;
    readonly rate: number;
    readonly p50: number;
    readonly p80: number;
    readonly expected: number;
  }[];
  readonly per_court_year: Percentiles;
  readonly life_years: Percentiles;
  readonly drivers: readonly { readonly driver: string; readonly says: string; readonly share: number }[];
  readonly crew_days: number;
  readonly waits_days: number;
  readonly colour_every_years: number | null;
  readonly expires_in_days: number;
  readonly notes: readonly string[];
}
export interface PriceSays {
  readonly currency: string;
  readonly pads: readonly { readonly id: string; readonly options: readonly OptionPrice[] }[];
}

/** The options of a pad in the order of a reader: the advised one, those that stand, those open if, those ruled out. */
export function inOrder(pad: PadVerdict): Option[] {
  const rank = (option: Option) =>
    option.id === pad.recommended ? 0 : { open: 1, "open if": 2, "ruled out": 3 }[option.state];
  return [...pad.options].sort((one, other) => rank(one) - rank(other));
}

export function priceOf(price: PriceSays | null, pad: string, option: string): OptionPrice | undefined {
  return price?.pads.find(({ id }) => id === pad)?.options.find(({ id }) => id === option);
}

/** What becomes of a pad: it can be saved, it has to be rebuilt, or too little is known. */
export type Fate = "saved" | "rebuilt" | "kept" | "unknown";

/** Options that mend nothing. */
const KEPT = ["hold", "retire"];

/** Null where an answer that was kept from before does not tell it. */
export function fateOf(pad: PadVerdict): Fate | null {
  const advised = pad.options.find(({ id }) => id === pad.recommended);
  if (advised === undefined) return "unknown";
  if (KEPT.includes(advised.id)) return "kept";
  if (advised.begins_anew === undefined) return null;
  return advised.begins_anew ? "rebuilt" : "saved";
}
