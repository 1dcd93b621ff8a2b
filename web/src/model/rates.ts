/** The company's own rates: what is typed beside what is kept, and what a file would change. */
import type { components } from "../api/schema";

export type Rate = components["schemas"]["RateOut"];
export type Row = components["schemas"]["RowOut"];
export type Group = Rate["group"];
type Given = components["schemas"]["RatesGiven"]["rates"];

/** An own rate as typed; without a value there is none. */
export interface Typed {
  readonly value: string;
  readonly date: string;
  readonly note: string;
}
export type AllTyped = Readonly<Record<string, Typed>>;

export const NONE: Typed = { value: "", date: "", note: "" };
const GROUPS: readonly Group[] = ["lines", "mobilisation", "minimum", "costs", "single"];

/** What is kept, as it would have been typed. */
export function asKept(rates: readonly Rate[]): AllTyped {
  const own = rates.flatMap(({ id, own }) => (own === null ? [] : [{ id, own }]));
  return Object.fromEntries(
    own.map(({ id, own }) => [id, { value: String(own.value), date: own.date, note: own.note }]),
  );
}

export function typedOf(typed: AllTyped, id: string): Typed {
  return typed[id] ?? NONE;
}

/** With another value, which counts from today unless a date stands there already. */
export function withValue(typed: AllTyped, id: string, value: string, today: string): AllTyped {
  const before = typedOf(typed, id);
  return { ...typed, [id]: { ...before, value, date: before.date || today } };
}

export function withDate(typed: AllTyped, id: string, date: string): AllTyped {
  return { ...typed, [id]: { ...typedOf(typed, id), date } };
}

/** How many rates are typed otherwise than they are kept. */
export function changed(rates: readonly Rate[], typed: AllTyped): number {
  const kept = asKept(rates);
  return rates.filter(({ id }) => !isSame(typedOf(kept, id), typedOf(typed, id))).length;
}

export function isSame(one: Typed, other: Typed): boolean {
  const [a, b] = [one.value.trim(), other.value.trim()];
  return a === b && (a === "" || (one.date === other.date && one.note === other.note));
}

/** What the office is given: every own rate. */
export function given(typed: AllTyped): Given {
  const own = Object.entries(typed).filter(([, { value }]) => value.trim() !== "");
  return Object.fromEntries(
    own.map(([id, { value, date, note }]) => [id, { value: value.trim(), unit: "", date, note }]),
  );
}

/** The rates by group, of those whose title or id holds what is sought. */
export function grouped(rates: readonly Rate[], sought: string): { group: Group; rates: Rate[] }[] {
  const wanted = plain(sought);
  const found = rates.filter(({ id, title }) => plain(`${title} ${id}`).includes(wanted));
  return GROUPS.map((group) => ({ group, rates: found.filter((one) => one.group === group) })).filter(
    ({ rates }) => rates.length > 0,
  );
}

function plain(text: string): string {
  return text
    .normalize("NFD")
    .replace(/\p{Diacritic}/gu, "")
    .toLowerCase()
    .trim();
}

/** A figure as the reader writes it, with no more digits than it has. */
export function figure(value: number, language: "en" | "es"): string {
  const locale = language === "es" ? "es-US" : "en-US";
  return new Intl.NumberFormat(locale, { maximumFractionDigits: 4 }).format(value);
}

// --- a file ------------------------------------------------------------------

/** A row of a file that would change what counts. */
export interface Change extends Row {
  readonly value: number;
}

/** What the rows of a file would do. */
export interface Preview {
  readonly changes: readonly Change[];
  readonly wrong: readonly Row[];
  /** How many say what is kept already. */
  readonly same: number;
}

/** What a file would do; the usual value as a value of our own is a change, as is another day or note. */
export function preview(rows: readonly Row[], rates: readonly Rate[]): Preview {
  const kept = new Map(rates.map(({ id, own }) => [id, own]));
  const good = rows.filter((row): row is Change => row.value !== null);
  const changes = good.filter(({ id, value, date, note }) => {
    const own = kept.get(id) ?? null;
    return own === null || own.value !== value || (date ?? own.date) !== own.date || (note || own.note) !== own.note;
  });
  return { changes, wrong: rows.filter((row) => row.value === null), same: good.length - changes.length };
}

/** With the changes of a file. */
export function withChanges(typed: AllTyped, changes: readonly Change[], today: string): AllTyped {
  const own = changes.map(({ id, value, date, note }) => [
    id,
    { value: String(value), date: date ?? today, note: note || typedOf(typed, id).note },
  ]);
  return { ...typed, ...Object.fromEntries(own) };
}

type Heading = readonly [
  id: string,
  title: string,
  usual: string,
  unit: string,
  value: string,
  date: string,
  note: string,
];
const HEADINGS: Readonly<Record<"en" | "es", Heading>> = {
  en: ["id", "title", "usual", "unit", "value", "date", "note"],
  es: ["id", "título", "usual", "unidad", "valor", "fecha", "nota"],
};

/** The rates as they count now, as a CSV file that the office reads again; with the mark that spreadsheets look for. */
export function csvOf(rates: readonly Rate[], language: "en" | "es"): string {
  const rows = rates.map(({ id, title, usual, unit, own }) => [
    id,
    title,
    String(usual),
    unit,
    own === null ? "" : String(own.value),
    own?.date ?? "",
    own?.note ?? "",
  ]);
  return `\ufeff${[HEADINGS[language], ...rows].map((row) => row.map(cell).join(",")).join("\r\n")}\r\n`;
}

/** A cell; a text that a spreadsheet would run as a formula is marked as text. */
function cell(text: string): string {
  const safe = /^[=+\-@\t]/.test(text) ? `'${text}` : text;
  return /[",;\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
