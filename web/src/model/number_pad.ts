/** What a key of the number pad makes of what stands there. Text in, text out: what was typed is never made into a number. */
import { UNKNOWN } from "./document";

/** Which keys a pad has: feet with inches and fractions, inches with fractions, or digits with a decimal point. */
export type PadKeys = "feet" | "inches" | "decimal";

export const FRACTIONS = ["1/16", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"] as const;
const LONGEST = 24;

/** Whether what was typed names its unit, so that none has to stand beside it. */
export function hasUnit(text: string): boolean {
  return /['"a-z]/i.test(text);
}

/** The text after a key: a digit, ".", "-", "'", '"', a fraction, "back" or "clear". */
export function pressed(text: string, key: string): string {
  if (key === "clear") return "";
  const typed = text === UNKNOWN ? "" : text;
  // A mark of feet takes its blank with it.
  if (key === "back") return typed.trimEnd().slice(0, -1);
  const next = after(typed, key);
  return next.length > LONGEST ? typed : next;
}

function after(text: string, key: string): string {
  if (key === "-") return text.startsWith("-") ? text.slice(1) : `-${text}`;
  if (key === "'") return /\d$/.test(text) && !text.includes("'") ? `${text}' ` : text;
  if (key === '"') return /\d$/.test(text) && !text.includes('"') ? `${text}"` : text;
  if (text.endsWith('"')) return text;
  if (key === ".") return pointed(text);
  if (key.includes("/")) return withFraction(text, key);
  return `${text}${key}`;
}

function pointed(text: string): string {
  const last = /[\d./-]*$/.exec(text)?.[0] ?? "";
  return /[./]/.test(last) ? text : `${text}.`;
}

/** A second fraction takes the place of the first: a thumb that slipped. */
function withFraction(text: string, fraction: string): string {
  const [, before = "", whole = ""] = /^(.*?)(\d*)$/.exec(text.replace(/-?\d+\/\d+$/, "")) ?? [];
  if (before.endsWith(".")) return text;
  return whole === "" ? `${before}${fraction}` : `${before}${whole}-${fraction}`;
}
