/** From a walk to what its sheet shows: one pad at a time, since every pad has a frame of its own. */
import type { Court, Items, Mark, Photo, Value } from "../model/document";
import { says } from "../model/document";
import { type BareUnits, bareUnits, geometryOf, type PointM, pointOf, pointsOf } from "../model/frame";
import { kindOf } from "../model/kinds";
import { metres } from "../model/length";
import type { UnitSystem } from "../model/show";
import type { PlanContent, PlanCourt, PlanMark, PlanPad, PlanShot, Station } from "./content";
import { EMPTY } from "./content";
import { middleOf } from "./marks";

/** What of a walk is drawn: `Walk` of the state has it, and so has any set of maps. */
export interface WalkItems {
  readonly walk: ReadonlyMap<string, Value>;
  readonly pads: ReadonlyMap<string, Items["pads"]>;
  readonly courts: ReadonlyMap<string, Court>;
  readonly marks: ReadonlyMap<string, Mark>;
  readonly shots: ReadonlyMap<string, Items["shots"]>;
  readonly photos: ReadonlyMap<string, Photo>;
}

type Ordered = { readonly withdrawn?: boolean; readonly order?: number };

/** Items that were not taken away, in their order. */
function standing<One extends Ordered>(items: ReadonlyMap<string, One>): [string, One][] {
  return [...items]
    .filter(([, item]) => item.withdrawn !== true)
    .sort(([a, one], [b, other]) => (one.order ?? 0) - (other.order ?? 0) || (a < b ? -1 : 1));
}

/** An item is converted once: a change makes another object of it. Units are those of the first time it was seen. */
function once<One extends object, Made>(convert: (id: string, item: One, units: UnitSystem) => Made) {
  const kept = new WeakMap<One, { units: UnitSystem; made: Made }>();
  return (id: string, item: One, units: UnitSystem): Made => {
    const before = kept.get(item);
    if (before?.units === units) return before.made;
    const made = convert(id, item, units);
    kept.set(item, { units, made });
    return made;
  };
}

const padOf = once<Items["pads"], PlanPad>((id, pad, units) => {
  const north = numberOf(pad.north_deg);
  return {
    id,
    label: typeof pad.id === "string" ? pad.id : "",
    outline_m: pointsOf(pad.outline, units),
    ...(north === null ? {} : { north_deg: north }),
  };
});

const courtOf = once<Court, PlanCourt | null>((id, court, units) => {
  const centre_m = pointOf(court.centre, units);
  if (centre_m === null || court.sport === undefined) return null;
  return { id, label: court.id ?? "", sport: court.sport, centre_m, turned_deg: numberOf(court.turned_deg) ?? 0 };
});

/** Marks are converted with two units: of their coordinates, and of everything else. */
const kept = new WeakMap<Mark, { units: string; made: PlanMark | null }>();

function markOf(id: string, mark: Mark, units: BareUnits): PlanMark | null {
  const key = units.marks + units.walk;
  const before = kept.get(mark);
  if (before?.units === key) return before.made;
  const geometry = geometryOf(mark.geometry, units.marks);
  const kind = mark.mark;
  const made =
    geometry === null || typeof kind !== "string"
      ? null
      : { id, kind, geometry, properties: mark, sizes_m: sizesOf(kind, mark, units.walk) };
  kept.set(mark, { units: key, made });
  return made;
}

const LENGTHS: ReadonlySet<string> = new Set(["length", "small", "claim_or_small"]);

/** The properties of a mark that are lengths, in metres, as far as they say anything. */
function sizesOf(kind: string, mark: Mark, units: UnitSystem): Record<string, number> {
  const sizes: Record<string, number> = {};
  for (const property of kindOf(kind)?.properties ?? []) {
    const typed = mark[property.id];
    if (!LENGTHS.has(property.kind) || (typeof typed !== "string" && typeof typed !== "number")) continue;
    const read = metres(typed, units);
    if (read !== null) sizes[property.id] = read;
  }
  return sizes;
}

function numberOf(typed: Value | undefined): number | null {
  if (!says(typed)) return null;
  const read = Number(typeof typed === "string" ? typed.replace(",", ".") : typed);
  return Number.isFinite(read) ? read : null;
}

/** The letter of a photo: A to Z, then AA. */
export function letterOf(index: number): string {
  const last = String.fromCharCode(65 + (index % 26));
  return index < 26 ? last : letterOf(Math.floor(index / 26) - 1) + last;
}

/** The letters of all photos of a walk, by their UUID, in their order. */
export function photoLetters(photos: ReadonlyMap<string, Photo>): Map<string, string> {
  return new Map(standing(photos).map(([id], index) => [id, letterOf(index)]));
}

/** What the sheet of a pad shows of a walk. Marks, courts and the pad keep their identity while they do not change. */
export function contentOf(walk: WalkItems, pad: string | undefined): PlanContent {
  const shown = pad === undefined ? undefined : walk.pads.get(pad);
  if (pad === undefined || shown === undefined) return EMPTY;
  const units = bareUnits(walk.walk);
  const marks = new Map<string, PlanMark>();
  for (const [id, mark] of standing(walk.marks)) {
    const made = mark.pad === pad ? markOf(id, mark, units) : null;
    if (made !== null) marks.set(id, made);
  }
  return {
    pad: padOf(pad, shown, units.walk),
    courts: standing(walk.courts)
      .filter(([, court]) => court.pad === pad)
      .map(([id, court]) => courtOf(id, court, units.walk))
      .filter((court) => court !== null),
    marks,
    stations: stationsOf(walk, marks, units.walk),
    shots: shotsOf(walk, pad, units.walk),
  };
}

/** Photos that were taken from a place and show a mark of this pad, or anything where there is only one pad. */
function stationsOf(walk: WalkItems, marks: ReadonlyMap<string, PlanMark>, units: UnitSystem): Station[] {
  const letters = photoLetters(walk.photos);
  const isOnly = standing(walk.pads).length === 1;
  const found: Station[] = [];
  for (const [id, photo] of standing(walk.photos)) {
    const at_m = pointOf(photo.from, units);
    const of = photo.of === undefined ? undefined : marks.get(photo.of);
    if (at_m === null || (of === undefined && !(isOnly && photo.of === undefined))) continue;
    const turn = of === undefined ? undefined : bearingTo(at_m, middleOf(of));
    found.push({ id, letter: letters.get(id) ?? "", at_m, ...(turn === undefined ? {} : { bearing_deg: turn }) });
  }
  return found;
}

function bearingTo(from: PointM, to: PointM): number | undefined {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  return dx === 0 && dy === 0 ? undefined : (Math.atan2(dx, dy) * 180) / Math.PI;
}

function shotsOf(walk: WalkItems, pad: string, units: UnitSystem): PlanShot[] {
  const found: PlanShot[] = [];
  for (const [id, shot] of standing(walk.shots)) {
    if (shot.pad !== pad) continue;
    const at_m = pointOf([shot.x ?? "", shot.y ?? ""], units);
    if (at_m !== null) found.push({ id, at_m, isTaken: says(shot.elevation) });
  }
  return found;
}
