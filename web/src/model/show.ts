/** Numbers as a reader of either system writes them: bare SI in, words out. */
export type UnitSystem = "us" | "metric";

const FOOT = 0.3048;
const INCH = 0.0254;
/** Of 2,000 lb [t]. */
const SHORT_TON = 0.90718474;

/** A length [m]: `12' 6-1/2"`, or metres. */
export function length(metres: number, units: UnitSystem): string {
  if (units === "metric") return `${metres.toFixed(2)} m`;
  const inches = Math.round((metres / INCH) * 2) / 2;
  const feet = Math.trunc(inches / 12);
  const rest = Math.abs(inches - feet * 12);
  const whole = Math.trunc(rest);
  return `${feet}' ${rest > whole ? (whole > 0 ? `${whole}-1/2` : "1/2") : whole}"`;
}

/** A run along the ground [m]: whole feet, or tenths of a metre. */
export function run(metres: number, units: UnitSystem): string {
  return units === "metric" ? `${metres.toFixed(1)} m` : `${Math.round(metres / FOOT)} ft`;
}

/** A small length [m]: inches by sixteenths, or millimetres. */
export function small(metres: number, units: UnitSystem): string {
  if (units === "metric") return `${Math.round(metres * 1000)} mm`;
  let sixteenths = Math.round((metres / INCH) * 16);
  const whole = Math.trunc(sixteenths / 16);
  sixteenths -= whole * 16;
  if (sixteenths === 0) return `${whole} in`;
  let below = 16;
  while (sixteenths % 2 === 0) {
    sixteenths /= 2;
    below /= 2;
  }
  return `${whole > 0 ? `${whole}-` : ""}${sixteenths}/${below} in`;
}

/** An area [m²]. */
export function area(squareMetres: number, units: UnitSystem): string {
  return units === "metric" ? `${squareMetres.toFixed(1)} m²` : `${Math.round(squareMetres / FOOT ** 2)} sf`;
}

/** A volume [m³]: cubic yards, or cubic metres. */
export function volume(cubicMetres: number, units: UnitSystem): string {
  return units === "metric" ? `${cubicMetres.toFixed(1)} m³` : `${(cubicMetres / (3 * FOOT) ** 3).toFixed(1)} cy`;
}

/** A mass of material [t]: short tons, or tonnes. */
export function mass(tonnes: number, units: UnitSystem): string {
  return units === "metric" ? `${tonnes.toFixed(1)} t` : `${(tonnes / SHORT_TON).toFixed(1)} tons`;
}

/** Money without cents, as offers are rounded. */
export function money(amount: number, currency: string, language: "en" | "es"): string {
  const locale = language === "es" ? "es-US" : "en-US";
  return new Intl.NumberFormat(locale, { style: "currency", currency, maximumFractionDigits: 0 }).format(amount);
}

/** A day and a time as they are said in a sentence. */
export function moment(at: string | number, language: "en" | "es"): string {
  return new Intl.DateTimeFormat(language === "es" ? "es-US" : "en-US", {
    dateStyle: "medium",
    timeStyle: "short",
  }).format(new Date(at));
}

/** A time of today, or a day and a time. */
export function time(at: number, language: "en" | "es"): string {
  if (new Date(at).toDateString() !== new Date().toDateString()) return moment(at, language);
  return new Intl.DateTimeFormat(language === "es" ? "es-US" : "en-US", { timeStyle: "short" }).format(new Date(at));
}
