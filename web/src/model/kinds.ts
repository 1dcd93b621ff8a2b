/** The kinds of mark with their properties, from the trade's data; and how a value is typed. */
import given from "../data/marks.json";
import type { UnitSystem } from "./show";

export interface Label {
  readonly en: string;
  readonly es: string;
}
type PropertyKind =
  | "length"
  | "small"
  | "word"
  | "claim"
  | "claim_or_small"
  | "count"
  | "hours"
  | "years"
  | "degrees"
  | "area"
  | "share"
  | "slope"
  | "text";
export type Drawing = "point" | "line" | "polygon";

export interface Property {
  readonly id: string;
  readonly label: Label;
  readonly kind: PropertyKind;
  readonly choices?: readonly { readonly id: string; readonly label: Label }[];
  readonly quick?: Readonly<Record<UnitSystem, readonly string[]>>;
}
export interface Kind {
  readonly id: string;
  readonly label: Label;
  readonly geometry: readonly Drawing[];
  readonly lies: "on" | "along" | "anywhere";
  readonly properties: readonly Property[];
}

const KINDS = given as unknown as readonly Kind[];

/** What is met on most courts comes first; every other kind follows by its name. */
const FIRST = ["crack", "low-spot", "heave", "old-repair", "sounding", "worn", "edge", "trees", "probe"];

export const kindsInOrder: readonly Kind[] = [
  ...FIRST.map((id) => KINDS.find((kind) => kind.id === id)).filter((kind) => kind !== undefined),
  ...KINDS.filter((kind) => !FIRST.includes(kind.id)),
];

export function kindOf(id: string | undefined): Kind | undefined {
  return KINDS.find((kind) => kind.id === id);
}

/** Of some kinds what is asked first on a court is not what the record has first: a repair is tapped before it is named. */
const ASKED_FIRST: Readonly<Record<string, string>> = { "old-repair": "state" };

/** The properties of a kind, what is asked first in front. */
export function propertiesFirst(kind: Kind): readonly Property[] {
  const first = kind.properties.find((property) => property.id === ASKED_FIRST[kind.id]);
  return first === undefined ? kind.properties : [first, ...kind.properties.filter((property) => property !== first)];
}

/** How a kind is counted without drawing, the usual way first: lines off the wheel, patches one by one or by area. */
export type CountedBy = "length" | "count" | "area";

export function countedBy(kind: Kind): readonly CountedBy[] {
  const ways: CountedBy[] = kind.geometry[0] === "line" ? ["length"] : ["count"];
  if (kind.geometry[0] !== "line" && kind.geometry.includes("line")) ways.push("length");
  if (kind.geometry.includes("polygon")) ways.push("area");
  if (kind.geometry.includes("point") && !ways.includes("count")) ways.push("count");
  return ways;
}

const UNIT: Readonly<Record<string, Readonly<Record<UnitSystem, string>>>> = {
  length: { us: "ft", metric: "m" },
  small: { us: "in", metric: "mm" },
  claim_or_small: { us: "in", metric: "mm" },
  area: { us: "sf", metric: "m²" },
  share: { us: "%", metric: "%" },
  slope: { us: "%", metric: "%" },
};

/** The unit that a bare number of a kind is meant in; none for counts, years, words. A share is typed in percent. */
export function unitOf(kind: string, units: UnitSystem): string {
  return UNIT[kind]?.[units] ?? "";
}

const BARE = /^\d+(?:[.,]\d+)?(?:[ -]\d+\/\d+)?$|^\d+\/\d+$/;

/** What was typed with its unit: a bare number means the unit that is shown beside it, and says so from then on. */
export function withItsUnit(typed: string, kind: string, units: UnitSystem): string {
  const unit = unitOf(kind, units);
  return unit !== "" && BARE.test(typed.trim()) ? `${typed.trim()} ${unit}` : typed;
}

/** What was typed without the unit that is shown beside it; what has another keeps it. */
export function withoutItsUnit(typed: string, kind: string, units: UnitSystem): string {
  const unit = unitOf(kind, units);
  const bare = unit !== "" && typed.endsWith(unit) ? typed.slice(0, -unit.length).trimEnd() : typed;
  return BARE.test(bare) ? bare : typed;
}
