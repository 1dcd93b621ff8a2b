/**
 * What a walk has found so far, court by court. Drawn and counted stand apart, and nothing is counted twice: a tally is
 * reduced by what is drawn of the same kind at the same place, as the office does it (site/tallies.py).
 */
import type { Court, Mark, Tally, Value } from "./document";
import { type BareUnits, pointOf } from "./frame";
import { areaOf, closed, distance, lengthOf } from "./geometry";
import { kindOf, kindsInOrder, propertiesFirst } from "./kinds";
import { metres } from "./length";
import { type HalfPlane, isIn, longerSide, type Point, type Shape, shapeOf, within } from "./shapes";
import type { UnitSystem } from "./show";

/** What was found on one pad. */
export interface OnPad {
  readonly units: BareUnits;
  readonly courts: readonly (readonly [id: string, court: Court])[];
  readonly marks: readonly (readonly [id: string, mark: Mark])[];
  readonly tallies: readonly (readonly [id: string, tally: Tally])[];
}

export interface Amount {
  readonly count: number;
  readonly length_m: number;
  readonly area_m2: number;
}

/** Drawn, and counted beyond that. */
interface Sides {
  readonly drawn: Amount;
  readonly counted: Amount;
}

export interface KindTotal extends Sides {
  readonly mark: string;
  /** The same by the fact that is asked first, as typed; "" where none was. */
  readonly by: ReadonlyMap<string, Sides>;
}

const NOTHING: Amount = { count: 0, length_m: 0, area_m2: 0 };
const NONE: Sides = { drawn: NOTHING, counted: NOTHING };
const LEAST = 1e-6;
/** Upper ends of fine and bridgeable cracks [m]: cracks of one class are repaired alike. */
const WIDTH_CLASSES_M = [0.0254 / 8, 1.5 * 0.0254];

/** The totals of a court, or of the whole pad (`null`), in the order of the kinds. */
export function totals(pad: OnPad, court: string | null): KindTotal[] {
  const zone = zoneOf(pad, court);
  const found = new Map<string, Sides & { by: Map<string, Sides> }>();
  const put = (mark: string, side: keyof Sides, amount: Amount, first: string) => {
    const total = found.get(mark) ?? { ...NONE, by: new Map<string, Sides>() };
    total.by.set(first, withMore(total.by.get(first) ?? NONE, side, amount));
    found.set(mark, { ...withMore(total, side, amount), by: total.by });
  };
  for (const [, mark] of pad.marks) {
    if (mark.mark === undefined) continue;
    const amount = drawn(mark, shapeOf(mark.geometry, pad.units.marks), zone, pad.units.walk);
    if (amount !== null) put(mark.mark, "drawn", amount, firstOf(mark));
  }
  for (const { tally, left } of beyondMarks(pad)) {
    if (tally.mark === undefined || (court !== null && courtOf(pad, tally) !== court)) continue;
    put(tally.mark, "counted", amountOf(tally, left), firstOf(tally));
  }
  return kindsInOrder.flatMap(({ id }) => {
    const total = found.get(id);
    return total === undefined ? [] : [{ mark: id, ...total }];
  });
}

function withMore(sides: Sides, side: keyof Sides, amount: Amount): Sides {
  return { drawn: sides.drawn, counted: sides.counted, [side]: sum(sides[side], amount) };
}

/** The fact that is asked first, as typed. */
function firstOf(item: Mark | Tally): string {
  const kind = kindOf(item.mark);
  const property = kind && propertiesFirst(kind)[0];
  const said = property && item[property.id];
  return typeof said === "string" || typeof said === "number" ? String(said) : "";
}

function sum(one: Amount, other: Amount): Amount {
  return {
    count: one.count + other.count,
    length_m: one.length_m + other.length_m,
    area_m2: one.area_m2 + other.area_m2,
  };
}

function drawn(mark: Mark, shape: Shape | null, zone: readonly HalfPlane[], units: UnitSystem): Amount | null {
  if (shape === null) return null;
  const pieces = within(shape, zone);
  if (pieces.length === 0) return null;
  return {
    count: isIn(middleOf(shape), zone) ? howMany(mark) : 0,
    length_m: markLength(shape, pieces),
    area_m2: markArea(mark, shape, pieces, units),
  };
}

function howMany(mark: Mark): number {
  const said = Number(mark.count);
  return Number.isFinite(said) && said > 0 ? said : 1;
}

function markLength(shape: Shape, pieces: readonly Point[][]): number {
  if (shape.type === "Point") return 0;
  return pieces.reduce((all, one) => all + (shape.type === "Polygon" ? longerSide(one) : lengthOf(one)), 0);
}

function markArea(mark: Mark, shape: Shape, pieces: readonly Point[][], units: UnitSystem): number {
  if (shape.type === "Polygon") return pieces.reduce((all, ring) => all + areaOf(ring), 0);
  if (shape.type === "Point") return Math.PI * (sizeOf(mark.radius, units) ?? 0) ** 2;
  return markLength(shape, pieces) * (sizeOf(mark.strip_width, units) ?? sizeOf(mark.width, units) ?? 0);
}

/** Where a mark is when it is to be in one place only: its middle corner. */
export function middleOf(shape: Shape): Point {
  if (shape.type !== "Polygon") return shape.points[Math.floor((shape.points.length - 1) / 2)] as Point;
  const corners = shape.points.slice(0, -1);
  const [x, y] = corners.reduce(([a, b], [c, d]) => [a + c, b + d], [0, 0] as Point);
  return [x / corners.length, y / corners.length];
}

/** Few sizes are typed again and again. */
const sizes = new Map<string, number | null>();
const MOST_SIZES = 1000;

function sizeOf(typed: unknown, units: UnitSystem): number | null {
  if (typeof typed !== "string" && typeof typed !== "number") return null;
  const key = `${units} ${typed}`;
  const known = sizes.get(key);
  if (known !== undefined) return known;
  const size_m = metres(typed, units);
  if (sizes.size >= MOST_SIZES) sizes.clear();
  sizes.set(key, size_m);
  return size_m;
}

// --- tallies ---------------------------------------------------------------------------------------

interface Left {
  readonly tally: Tally;
  readonly left: number;
}

/** The tallies of a pad with what is left of each, less what is drawn of the same kind at the same place. */
export function beyondMarks(pad: OnPad): Left[] {
  const tallies = pad.tallies.map(([, tally]) => ({ tally, left: talliedAmount(tally, pad.units.walk) }));
  const shapes = pad.marks.map(([, mark]) => shapeOf(mark.geometry, pad.units.marks));
  const classes = pad.marks.map(([, mark]) => classOf(mark, pad.units.walk));
  const spentOn = pad.marks.map(() => new Map<string | null, number>());
  // Tallies of one court go first, then those that tell a width.
  const order = tallies
    .map((_, i) => i)
    .sort((i, j) => rank(pad, tallies[i]?.tally) - rank(pad, tallies[j]?.tally) || i - j);
  // Every mark is cut at a court's end once, however many tallies the court has.
  const cut = new Map<string | null, (Amount | null)[]>();
  for (const i of order) {
    const entry = tallies[i] as { tally: Tally; left: number };
    const court = courtOf(pad, entry.tally);
    const parts = cut.get(court) ?? partsOn(pad, court, shapes);
    cut.set(court, parts);
    const words = wordsOf(entry.tally);
    const ownClass = classOf(entry.tally, pad.units.walk);
    pad.marks.forEach(([, mark], number) => {
      const part = parts[number] ?? null;
      if (entry.left <= 0 || part === null || mark.mark !== entry.tally.mark || !mayBe(ownClass, classes[number]))
        return;
      if (words.some(([name, word]) => isWord(mark[name]) && mark[name] !== word)) return;
      const spent = spentOn[number] as Map<string | null, number>;
      const gone = [...spent].reduce((all, [place, part]) => all + (overlaps(place, court) ? part : 0), 0);
      const here = drawnAs(entry.tally, part) - gone;
      const taken = Math.min(entry.left, Math.max(here, 0));
      spent.set(court, (spent.get(court) ?? 0) + taken);
      entry.left -= taken;
    });
  }
  return tallies.filter((entry) => entry.left > LEAST);
}

function partsOn(pad: OnPad, court: string | null, shapes: readonly (Shape | null)[]): (Amount | null)[] {
  const zone = zoneOf(pad, court);
  return pad.marks.map(([, mark], number) => drawn(mark, shapes[number] ?? null, zone, pad.units.walk));
}

function rank(pad: OnPad, tally: Tally | undefined): number {
  if (tally === undefined) return 0;
  return (courtOf(pad, tally) === null ? 2 : 0) + (tally.width === undefined ? 1 : 0);
}

function overlaps(one: string | null, other: string | null): boolean {
  return one === other || one === null || other === null;
}

/** The UUID of a tally's court, by its UUID or its label; null for the whole pad. */
export function courtOf(pad: OnPad, tally: Tally): string | null {
  if (tally.court === undefined || tally.court === null || tally.court === "") return null;
  const named = pad.courts.find(([id, court]) => id === tally.court || court.id === tally.court);
  return named?.[0] ?? null;
}

function talliedAmount(tally: Tally, units: UnitSystem): number {
  if (tally.length !== undefined && tally.length !== null) return sizeOf(tally.length, units) ?? 0;
  if (tally.area !== undefined && tally.area !== null) return squareMetres(tally.area, units) ?? 0;
  return Number(tally.count ?? 0) || 0;
}

function amountOf(tally: Tally, left: number): Amount {
  if (tally.length !== undefined && tally.length !== null) return { ...NOTHING, length_m: left };
  if (tally.area !== undefined && tally.area !== null) return { ...NOTHING, area_m2: left };
  return { ...NOTHING, count: Math.round(left) };
}

function drawnAs(tally: Tally, amount: Amount): number {
  if (tally.length !== undefined && tally.length !== null) return amount.length_m;
  return tally.area !== undefined && tally.area !== null ? amount.area_m2 : amount.count;
}

/** An area as typed: `200`, `200 sf`, `18.5 m2`. */
export function squareMetres(typed: string | number, units: UnitSystem): number | null {
  const found = String(typed)
    .trim()
    .match(/^(\d+(?:[.,]\d+)?)\s*(sf|sq\.? ?ft|ft2|ft²|m2|m²)?$/i);
  if (found === null) return null;
  const number = Number(found[1]?.replace(",", "."));
  const isMetric = found[2] === undefined ? units === "metric" : /^m/i.test(found[2]);
  return isMetric ? number : number * 0.3048 ** 2;
}

/** What of a pad belongs to one of its courts, or all of it (`null`) [m²]: the courts of a pad are the pad. */
export function areaOfPlace(
  pad: Pick<OnPad, "courts" | "units">,
  outline: readonly Point[],
  court: string | null,
): number {
  const ring: Shape = { type: "Polygon", points: closed(outline) };
  return within(ring, zoneOf(pad, court)).reduce((all, piece) => all + areaOf(piece), 0);
}

/** The words that a tally tells: no mark of its kind that tells another is the same. */
function wordsOf(tally: Tally): [name: string, word: Value][] {
  const words = (kindOf(tally.mark)?.properties ?? []).filter((property) => property.kind === "word");
  return words.map(({ id }) => [id, tally[id] ?? null] as [string, Value]).filter(([, word]) => isWord(word));
}

/** One width class where both tell a width. */
function mayBe(one: number | null, other: number | null | undefined): boolean {
  return one === null || typeof other !== "number" || one === other;
}

function isWord(said: unknown): boolean {
  return typeof said === "string" && said !== "" && said !== "unknown";
}

/** The width class of what tells a width. */
function classOf(item: Mark | Tally, units: UnitSystem): number | null {
  const width_m = sizeOf(item.width, units);
  return width_m === null ? null : WIDTH_CLASSES_M.filter((end) => width_m > end + 1e-9).length;
}

/** The court that a place is nearest to; null where the pad has none. */
export function courtUnder(pad: OnPad, place: Point): string | null {
  const far = (court: Court) => {
    const centre = pointOf(court.centre, pad.units.walk);
    return centre === null ? Number.POSITIVE_INFINITY : distance(centre, place);
  };
  const [first, ...others] = pad.courts;
  if (first === undefined) return null;
  return others.reduce((one, other) => (far(other[1]) < far(one[1]) ? other : one), first)[0];
}

// --- where a court ends ----------------------------------------------------------------------------

/** What is nearer to a court than to the others of its sport; all of the plane where there is no other. */
function zoneOf(pad: Pick<OnPad, "courts" | "units">, court: string | null): HalfPlane[] {
  const own = pad.courts.find(([id]) => id === court)?.[1];
  const centre = pointOf(own?.centre, pad.units.walk);
  if (own === undefined || centre === null) return [];
  return pad.courts.flatMap(([, other]) => {
    const theirs = other.sport === own.sport ? pointOf(other.centre, pad.units.walk) : null;
    if (theirs === null || (theirs[0] === centre[0] && theirs[1] === centre[1])) return [];
    const [a, b] = [theirs[0] - centre[0], theirs[1] - centre[1]];
    const c = (a * (theirs[0] + centre[0]) + b * (theirs[1] + centre[1])) / 2;
    return [{ a, b, c }];
  });
}
