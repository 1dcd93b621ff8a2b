/**
 * Reads a length as people type it, as the office does (src/courtwright/units/reading.py); both are held to
 * spec/cases/lengths.json. Units that nobody tapes in are left to the office.
 */
import type { UnitSystem } from "./show";

/** Longest text read as a length; anything longer is prose. */
const LONGEST = 60;
const FOOT = 0.3048;
const INCH = 0.0254;

const VULGAR = "¼ 1/4 ½ 1/2 ¾ 3/4 ⅛ 1/8 ⅜ 3/8 ⅝ 5/8 ⅞ 7/8 ⅓ 1/3 ⅔ 2/3 ⅕ 1/5 ⅖ 2/5 ⅗ 3/5 ⅘ 4/5 ⅙ 1/6 ⅚ 5/6".split(" ");
const LIKE = new Map<string, string>([
  ...[..."′’‘´`ʹ"].map((sign) => [sign, "'"] as const),
  ...[..."″“”ʺ"].map((sign) => [sign, '"'] as const),
  ...[..."–—−‐‑‒"].map((sign) => [sign, "-"] as const),
  ["⁄", "/"],
  ["²", "^2"],
  ["³", "^3"],
  ["×", "x"],
  ...VULGAR.flatMap((sign, i) => (i % 2 === 0 ? [[sign, ` ${VULGAR[i + 1]}`] as const] : [])),
]);

const DECIMAL = String.raw`(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?|\.\d+)(?:e[+-]?\d{1,2})?`;
const NUMBER = String.raw`(?:(?:\d+(?:\s*-\s*|\s+))?\d+/\d+|${DECIMAL})`;
const FEET = String.raw`(?:'|ft\.?|foot|feet|pies?)`;
const INCHES = String.raw`(?:"|''|in\.?|inch(?:es)?|pulg(?:adas?)?\.?)`;
const TRADE_LENGTH = new RegExp(
  String.raw`^(?:(?<feet>${NUMBER})\s*${FEET}(?:\s*[-,]?\s*(?<inches>${NUMBER})\s*${INCHES}?)?` +
    String.raw`|(?<only>${NUMBER})\s*${INCHES})$`,
);
const WITH_UNIT = new RegExp(String.raw`^(?<number>${NUMBER})\s*(?<unit>[a-zµ%°][a-zµ. ]*)?$`);

const METRES: Readonly<Record<string, number>> = {
  ...all("lf,lin ft,linear ft,linear feet,ft,foot,feet,pie,pies,pies lineales,pie lineal", FOOT),
  ...all("usft,us ft,us survey ft,us survey foot,us survey feet,sft", 1200 / 3937),
  ...all("in,inch,inches,pulg,pulgada,pulgadas", INCH),
  ...all("yd,yard,yards,yarda,yardas", 3 * FOOT),
  ...all("mil,mils", INCH / 1000),
  ...all("m,metre,metres,meter,meters,metro,metros", 1),
  cm: 0.01,
  mm: 0.001,
};

function all(names: string, metres: number): Record<string, number> {
  return Object.fromEntries(names.split(",").map((name) => [name, metres]));
}

/** A length in metres; a bare number is feet or metres by `units`. Null when nobody can read it or it is negative. */
export function metres(typed: string | number, units: UnitSystem): number | null {
  if (typeof typed !== "string" && typeof typed !== "number") return null;
  const text = plain(Object.is(typed, -0) ? "-0" : String(typed));
  if (text === "" || [...text].length > LONGEST) return null;
  const value = read(text, units);
  // 12 digits: 8 ft and 96 in are the same number, on either side of a limit.
  return value !== null && Number.isFinite(value) ? Number(value.toPrecision(12)) : null;
}

/** One spelling for primes, dashes, blanks and fractions. */
function plain(text: string): string {
  return [...text]
    .map((sign) => LIKE.get(sign) ?? sign)
    .join("")
    .replace(/\s+/g, " ")
    .trim()
    .toLowerCase();
}

function read(text: string, units: UnitSystem): number | null {
  const trade = TRADE_LENGTH.exec(text)?.groups;
  if (trade !== undefined) return (12 * number(trade.feet ?? "0") + number(trade.inches ?? trade.only ?? "0")) * INCH;
  const found = WITH_UNIT.exec(text)?.groups;
  if (found?.number === undefined) return null;
  const unit = (found.unit ?? "").replaceAll(".", "").trim();
  const each = unit === "" ? (units === "us" ? FOOT : 1) : Object.hasOwn(METRES, unit) ? METRES[unit] : undefined;
  return each === undefined ? null : number(found.number) * each;
}

/** A decimal or a mixed fraction. A comma parts thousands when three digits follow it; any other is a decimal mark. */
function number(text: string): number {
  if (text.includes("/")) {
    const [, whole = "0", above, below] = /^(?:(\d+)[ -]+)?(\d+)\/(\d+)$/.exec(text) ?? [];
    return Number(whole) + Number(above) / Number(below);
  }
  const isThousands = /^[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/.test(text);
  return Number(text.replaceAll(",", isThousands ? "" : "."));
}
