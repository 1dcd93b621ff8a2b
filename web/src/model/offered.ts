/** What an offer says, as its offer.json holds it, and what is drawn and reckoned of it for a reader. */
import type { UnitSystem } from "./show";

interface Years {
  readonly from: number;
  readonly to: number;
}
export interface Allowance {
  readonly item: string;
  readonly title: string;
  readonly unit: string;
  readonly rate: number;
}
export interface OptionSays {
  readonly id: string;
  readonly letter: string;
  readonly title: string;
  readonly note?: string;
  readonly stands_if: readonly string[];
  /** Missing in a budget letter. */
  readonly firm_price?: number;
  /** In a budget letter. */
  readonly range?: Years;
  readonly allowances?: readonly Allowance[];
  readonly includes: readonly string[];
  readonly lasts_years: Years;
  readonly crew_days: number;
  readonly waits_days: number;
  readonly colour_every_years: number | null;
  readonly leaves: string;
  /** What the season asks of its coats; offers written before it was told have none. */
  readonly season?: string;
}
export interface PadSays {
  readonly id: string;
  readonly area_m2: number;
  readonly findings: readonly string[];
  readonly recommended: string | null;
  readonly advice: readonly string[];
  readonly options: readonly OptionSays[];
  readonly not_offered: readonly { readonly id: string; readonly title: string; readonly state: string }[];
  readonly measure_next: readonly string[];
}
/** A block of the terms: the contractor's own paragraphs, each by its lines, or the usual sentences. */
interface TermsSays {
  readonly heading: string;
  /** Missing in offers of earlier releases. */
  readonly typed?: readonly (readonly string[])[];
  readonly note: string;
  readonly says: readonly string[];
}
export interface OfferSays {
  readonly kind: "offer" | "budget letter";
  readonly issued_on: string;
  readonly expires_on: string | null;
  readonly starts_on: string | null;
  readonly language: "en" | "es";
  readonly currency: string;
  readonly units: UnitSystem;
  readonly contractor: {
    readonly name: string;
    readonly licence: string;
    readonly address: string;
    readonly phone: string;
  };
  readonly job: { readonly name: string; readonly address: string };
  readonly greeting?: string;
  readonly note?: string;
  readonly closing?: string;
  readonly pads: readonly PadSays[];
  readonly photos: readonly { readonly file: string; readonly caption: string }[];
  /** What shows only later, or was not measured; missing in an offer that was written before it was told. */
  readonly not_known?: readonly string[];
  readonly terms: readonly TermsSays[];
  readonly notice?: string;
}

/** An offer without papers says nothing yet. */
export function saysOf(says: Readonly<Record<string, unknown>>): OfferSays | null {
  return Array.isArray(says.pads) ? (says as unknown as OfferSays) : null;
}

// --- the strip ---------------------------------------------------------------

export const RULE_YEARS = 40;
/** Work of a week could not be seen along forty years. [year] */
const LEAST_SEEN = 0.4;
const DAYS_OF_YEAR = 365.25;

/** An option along the rule of forty years; every number is a year, none beyond the rule. */
export interface Strip {
  readonly work: number;
  /** Where the waits after the work end. */
  readonly cured: number;
  readonly sure: number;
  readonly most: number;
  readonly colours: readonly number[];
  readonly runsOn: boolean;
}

export function stripOf(
  option: Pick<OptionSays, "crew_days" | "waits_days" | "lasts_years" | "colour_every_years">,
): Strip {
  const work = seen(option.crew_days);
  const cured = work + seen(option.waits_days);
  const { from, to } = option.lasts_years;
  const sure = Math.max(Math.min(from, RULE_YEARS), cured);
  const most = Math.max(Math.min(to, RULE_YEARS), sure);
  return { work, cured, sure, most, colours: colours(option.colour_every_years, most), runsOn: to > RULE_YEARS };
}

function seen(days: number): number {
  return days > 0 ? Math.max(days / DAYS_OF_YEAR, LEAST_SEEN) : 0;
}

/** Days of a crew as they are told everywhere: to the half, and never none. [day] */
export function halfDays(days: number): number {
  return Math.max(Math.round(2 * days) / 2, 0.5);
}

function colours(every: number | null, until: number): number[] {
  if (every === null || every <= 0) return [];
  return Array.from({ length: Math.ceil(until / every) - 1 }, (_, place) => (place + 1) * every);
}

// --- choosing ----------------------------------------------------------------

/** The option that is chosen, by pad; a pad that is left out is not ordered. */
export type Chosen = Readonly<Record<string, string>>;

/** A line of what is accepted. */
export interface ChosenLine {
  readonly pad: string;
  readonly option: OptionSays;
}

export function chosenLines(says: OfferSays, chosen: Chosen): ChosenLine[] {
  return says.pads.flatMap((pad) => {
    const option = pad.options.find(({ id }) => id === chosen[pad.id]);
    return option === undefined ? [] : [{ pad: pad.id, option }];
  });
}

export function sum(lines: readonly ChosenLine[]): number {
  return lines.reduce((total, { option }) => total + (option.firm_price ?? 0), 0);
}

// --- rates -------------------------------------------------------------------

/** Units of a rate as a reader in the US knows them, with their size in the record's unit. */
const US_UNITS: Readonly<Record<string, readonly [name: string, size: number]>> = {
  m: ["lf", 0.3048],
  m2: ["sf", 0.3048 ** 2],
  m3: ["cy", 0.9144 ** 3],
  t: ["ton", 0.90718474],
  l: ["gal", 3.785411784],
};

/** A rate and the unit that it is by; the unit of single things is "ea". */
export function rateBy(allowance: Pick<Allowance, "unit" | "rate">, units: UnitSystem): { rate: number; unit: string } {
  const known = units === "us" ? US_UNITS[allowance.unit] : undefined;
  if (known === undefined) return { rate: allowance.rate, unit: allowance.unit.replace("2", "²").replace("3", "³") };
  return { rate: allowance.rate * known[1], unit: known[0] };
}

/** An area as nobody knows it closer: to three figures. */
export function areaAbout(squareMetres: number, units: UnitSystem, language: "en" | "es"): string {
  const written = new Intl.NumberFormat(language === "es" ? "es-US" : "en-US", { maximumSignificantDigits: 3 });
  return units === "metric" ? `${written.format(squareMetres)} m²` : `${written.format(squareMetres / 0.3048 ** 2)} sf`;
}

// --- what changed from one revision to the next --------------------------------

export type OfferChange =
  | {
      readonly what: "price";
      readonly pad: string;
      readonly title: string;
      readonly before: number;
      readonly after: number;
    }
  | { readonly what: "added" | "gone" | "note"; readonly pad: string; readonly title: string }
  | { readonly what: "advice"; readonly pad: string; readonly before: string; readonly after: string }
  | { readonly what: "text"; readonly text: "greeting" | "note" | "closing" | "terms" | "language" }
  | { readonly what: "found"; readonly pad: string };

export function changesBetween(before: OfferSays, after: OfferSays): OfferChange[] {
  const texts = (["greeting", "note", "closing", "language"] as const).filter(
    (name) => (before[name] ?? "") !== (after[name] ?? ""),
  );
  const terms = JSON.stringify(before.terms) === JSON.stringify(after.terms) ? [] : (["terms"] as const);
  return [
    ...after.pads.flatMap((pad) => {
      const was = before.pads.find(({ id }) => id === pad.id);
      return was === undefined ? [] : padChanges(was, pad);
    }),
    ...[...texts, ...terms].map((text) => ({ what: "text" as const, text })),
  ];
}

function padChanges(was: PadSays, is: PadSays): OfferChange[] {
  const found: OfferChange[] = [];
  const title = (pad: PadSays) => pad.options.find(({ id }) => id === pad.recommended)?.title ?? "";
  if (was.recommended !== is.recommended)
    found.push({ what: "advice", pad: is.id, before: title(was), after: title(is) });
  if (JSON.stringify(was.findings) !== JSON.stringify(is.findings)) found.push({ what: "found", pad: is.id });
  for (const option of is.options) {
    const before = was.options.find(({ id }) => id === option.id);
    if (before === undefined) found.push({ what: "added", pad: is.id, title: option.title });
    else if (
      before.firm_price !== undefined &&
      option.firm_price !== undefined &&
      before.firm_price !== option.firm_price
    )
      found.push({
        what: "price",
        pad: is.id,
        title: option.title,
        before: before.firm_price,
        after: option.firm_price,
      });
    if (before !== undefined && (before.note ?? "") !== (option.note ?? ""))
      found.push({ what: "note", pad: is.id, title: option.title });
  }
  for (const option of was.options)
    if (!is.options.some(({ id }) => id === option.id)) found.push({ what: "gone", pad: is.id, title: option.title });
  return found;
}
