/** Facts as a reader is told them: values in the reader's units, and what would have to be different. */
import { FACTS, type Fact } from "./blanks";
import { area, run, small, type UnitSystem } from "./show";

export function factOf(id: string): Fact | undefined {
  return FACTS.find((fact) => fact.id === id);
}

export interface Words {
  readonly language: "en" | "es";
  readonly units: UnitSystem;
  readonly yes: string;
  readonly no: string;
  readonly unknown: string;
}

/** The value of a fact [SI] in words; null stands for not known. */
export function valueSaid(fact: Fact | undefined, value: unknown, words: Words): string {
  if (value === null || value === undefined || value === "") return words.unknown;
  if (typeof value === "boolean") return value ? words.yes : words.no;
  if (Array.isArray(value)) return value.map((one) => valueSaid(fact, one, words)).join(" – ");
  if (typeof value === "number") return numberSaid(fact, value, words.units);
  return fact?.choices?.find(({ id }) => id === value)?.label[words.language] ?? String(value);
}

function numberSaid(fact: Fact | undefined, value: number, units: UnitSystem): string {
  switch (fact?.kind) {
    case "length":
      return run(value, units);
    case "small":
      return small(value, units);
    case "area":
      return area(value, units);
    case "share":
      return `${Math.round(value * 100)} %`;
    case "slope":
      return `${(value * 100).toFixed(2)} %`;
    default:
      return String(Math.round(value * 10) / 10);
  }
}

/** How a value has to stand to what is needed. */
type Bound = "at-most" | "below" | "at-least" | "above" | "is";

export interface Need {
  readonly bound: Bound;
  readonly value: number | boolean | string;
}

const BOUNDS: Readonly<Record<string, Bound>> = { "<=": "at-most", "<": "below", ">=": "at-least", ">": "above" };

/** What is needed, from its text: an operator with a number, a claim, or a word. */
export function needOf(text: string): Need {
  const [, operator, number] = /^(<=|>=|<|>|=|==)?\s*(-?[\d.]+(?:e-?\d+)?)$/.exec(text.trim()) ?? [];
  if (number !== undefined) return { bound: BOUNDS[operator ?? ""] ?? "is", value: Number(number) };
  if (text === "true" || text === "false") return { bound: "is", value: text === "true" };
  return { bound: "is", value: text.replace(/^=+\s*/, "") };
}
