/** The names of pads and courts: their own, or their number in the order of the walk. */
import type { Said } from "../../model/blanks";
import type { Fields, Mark } from "../../model/document";
import { bareUnits, pointOf, pointsOf } from "../../model/frame";
import { shapeOf } from "../../model/shapes";
import { area } from "../../model/show";
import { areaOfPlace, courtOf, courtUnder, middleOf, type OnPad } from "../../model/totals";
import { say, settings } from "../../state/settings.svelte";
import type { Walk } from "../../state/walk.svelte";
import { texts } from "../../strings/walk";
import type { Hand, Standing } from "./hand.svelte";

export function padName(walk: Walk, pad: string): string {
  const pads = walk.list("pads");
  const own = walk.pads.get(pad)?.id;
  return say(texts.pad, { name: own || pads.findIndex(([id]) => id === pad) + 1 });
}

/** The pad that the office's answers name so: by its own name, or by its number where it has none. */
export function padOf(walk: Walk, told: string): string | undefined {
  return walk.list("pads").find(([, pad], i) => (pad.id || `pad-${i + 1}`) === told)?.[0];
}

/** A pad as the office's answers name it, in words. */
export function padToldAs(walk: Walk, told: string): string {
  const pad = padOf(walk, told);
  return pad === undefined ? say(texts.pad, { name: told }) : padName(walk, pad);
}

export function courtName(walk: Walk, court: string): string {
  const { id, pad } = walk.courts.get(court) ?? {};
  const number =
    walk
      .list("courts")
      .filter(([, one]) => one.pad === pad)
      .findIndex(([one]) => one === court) + 1;
  return say(texts.court, { name: id || number });
}

/** A place in words; the pad is told only where there are several. */
export function placeName(walk: Walk, place: Standing): string {
  if (place.court === null) return padName(walk, place.pad);
  const court = courtName(walk, place.court);
  return walk.list("pads").length > 1 ? `${padName(walk, place.pad)}, ${court}` : court;
}

/** All of a court or of a pad as an area that is said with one key. */
export interface Whole {
  readonly label: string;
  readonly value: string;
  /** The court it is of; null for the pad. */
  readonly court: string | null;
}

/** The court one stands on, and its pad where there are several courts: one court is its pad. */
export function wholes(walk: Walk, pad: string, court: string | null = null): Whole[] {
  const { units, courts } = onPad(walk, pad);
  const [only = null] = courts.length === 1 ? courts.map(([id]) => id) : [];
  const outline = pointsOf(walk.pads.get(pad)?.outline, units.walk);
  return (courts.length > 1 && court !== null ? [court, null] : [only]).flatMap((one) => {
    const size_m2 = areaOfPlace({ units, courts }, outline, one);
    if (size_m2 === 0) return [];
    const value = area(size_m2, settings.units);
    const label = say(texts.whole, { place: say(one === null ? texts.wholePad : texts.wholeCourt), area: value });
    return [{ label, value, court: one }];
  });
}

/** What was found on one pad, for its totals. */
export function onPad(walk: Walk, pad: string | null): OnPad {
  const of = <Item extends Fields>([, item]: readonly [string, Item]) => item.pad === pad;
  return {
    units: bareUnits(walk.walk),
    courts: walk.list("courts").filter(of),
    marks: walk.list("marks").filter(of),
    tallies: walk.list("tallies").filter(of),
  };
}

/** What a walk says of one pad, for what is still blank. */
export function saidOf(walk: Walk, pad: string): Said {
  const found = onPad(walk, pad);
  const shots = walk.list("shots").filter(([, shot]) => shot.pad === pad);
  const of = <Item>([, item]: readonly [string, Item]) => item;
  return {
    units: found.units,
    walk: Object.fromEntries(walk.walk),
    answers: Object.fromEntries(walk.answers),
    id: pad,
    pad: walk.pads.get(pad) ?? {},
    courts: found.courts,
    marks: found.marks.map(of),
    tallies: found.tallies.map(of),
    shots_m: shots
      .filter(([, shot]) => shot.elevation !== undefined && shot.elevation !== "")
      .map(([, shot]) => pointOf([shot.x ?? "", shot.y ?? ""], found.units.walk))
      .filter((point) => point !== null),
  };
}

/** The court of an item in words: of a tally its own; of a mark the one it lies nearest to. */
export function placeOf(hand: Pick<Hand, "walk" | "pad">, item: Fields): string {
  const { walk, pad } = hand;
  if (pad === null) return "";
  const found = onPad(walk, pad);
  const shape = shapeOf(item.geometry as Mark["geometry"], found.units.marks);
  const court = shape === null ? courtOf(found, item) : courtUnder(found, middleOf(shape));
  return court === null ? say(texts.wholePad) : courtName(walk, court);
}
