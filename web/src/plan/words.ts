/** Places words on a sheet so that none lies on another, on leaders where they must stand aside. Pixels. */
import { type Box, distance, meets, type XY } from "../model/geometry";
import type { Ink } from "./ink";
import type { Pen } from "./pen";

export interface Word {
  readonly text: string;
  readonly at: XY;
  /** The higher, the earlier it is placed; what finds no room is left out. */
  readonly weight: number;
  /** Whether it may stand on its place itself. */
  readonly isInside?: boolean;
  readonly isBold?: boolean;
  /** Whether it breaks the line that it stands on. */
  readonly isClear?: boolean;
  /** Other places that are as good as its own: it stands on one of them, without a leader, or nowhere. */
  readonly orAt?: readonly XY[];
  /** How large the thing is that it stands at [px]: small things on a small drawing have no words. */
  readonly room?: number;
  /** On which side it should stand: a direction [rad], clockwise from the right. */
  readonly side?: number;
}

export interface Placed {
  readonly word: Word;
  readonly left: number;
  readonly middle: number;
  readonly leader: readonly [XY, XY] | null;
}

/** How far words may stand from their place, nearest first [mm]. */
const DISTANCES = [0, 1.6, 3, 5.5, 9, 13];
const LEADER_FROM = 2.6;
const TURNS = 12;
/** More words than this are not read. */
const MOST = 80;
/** A thing has words when it is at least so large beside them. */
const ROOM = 0.6;
/** Between two words [px]. */
const GAP = [5, 1] as const;
/** A millimetre of ink under a word is as bad as standing so much farther away [mm]; more than this it does not hide [mm]. */
const COVERED_COSTS = 1.5;
const MOST_COVERED = 8;
/** Words of such weight stand whatever they cover: sizes, letters of notes and photos, the next shot. */
const ALWAYS = 80;
const PIECE_PX = 4;

/** What words keep clear of. */
export interface Around {
  /** What no word lies on. */
  readonly taken?: readonly Box[];
  /** What words lie on as little as they can. */
  readonly ink?: Ink | null;
  /** The middle part that is in sight; all of the sheet where nothing is said. */
  readonly seen?: Box;
}

/** Choose a place for each word, the weightiest first; painting may go on in the next frame after each. */
export function* placed(
  words: readonly Word[],
  sheet: Box,
  width: (word: Word) => number,
  high: number,
  mm: number,
  { taken = [], ink = null, seen = sheet }: Around = {},
): Generator<void, Placed[]> {
  const bodies: Box[] = [...taken];
  const leaders: Box[] = [];
  const found: Placed[] = [];
  const inOrder = words
    .filter(
      (word) =>
        (isIn(word.at, sheet) || word.orAt !== undefined) &&
        (word.room === undefined || word.room >= width(word) * ROOM),
    )
    .sort((a, b) => b.weight - a.weight)
    .slice(0, MOST);
  for (const word of inOrder) {
    const wide = width(word);
    // What belongs to something in sight stands in sight, too, and nothing else does: it would be cut off.
    const isSeen = isIn(word.at, seen) || word.orAt?.some((at) => isIn(at, seen));
    const within = isSeen ? seen : sheet;
    let best: { readonly score: number; readonly box: Box; readonly leader: Placed["leader"] } | null = null;
    for (const [centre, away] of candidates(word, wide, high, mm)) {
      if (best !== null && away / mm >= best.score) break;
      const box = boxAt(centre, wide, high);
      const isOff = box[0] < within[0] || box[1] < within[1] || box[2] > within[2] || box[3] > within[3];
      if (isOff || (!isSeen && meets(box, seen)) || hits(spaced(box), bodies) || hits(box, leaders)) continue;
      const covered = ink === null || (word.isClear && away === 0) ? 0 : ink.under(box) / mm;
      // A word that hides what it speaks of waits until one comes nearer; what must be read stands all the same.
      if (covered > MOST_COVERED && word.weight < ALWAYS) continue;
      const leader = away > LEADER_FROM * mm ? ([word.at, nearestIn(box, word.at)] as const) : null;
      if (leader !== null && pieces(leader).some((piece) => hits(piece, bodies))) continue;
      const score = away / mm + COVERED_COSTS * covered;
      if (best === null || score < best.score) best = { score, box, leader };
    }
    yield;
    if (best === null) continue;
    const { box, leader } = best;
    bodies.push(box);
    if (leader !== null) leaders.push(...pieces(leader));
    found.push({ word, left: (box[0] + box[2] - wide) / 2, middle: (box[1] + box[3]) / 2, leader });
  }
  return found;
}

function hits(box: Box, others: readonly Box[]): boolean {
  return others.some((other) => meets(box, other));
}

function spaced([left, top, right, bottom]: Box): Box {
  return [left - GAP[0], top - GAP[1], right + GAP[0], bottom + GAP[1]];
}

function boxAt([x, y]: XY, wide: number, high: number): Box {
  return [x - wide / 2 - 2, y - high / 2, x + wide / 2 + 2, y + high / 2];
}

/** A leader as so many little boxes along it, without its ends: it begins at its thing, and ends at its word. */
function pieces([from, to]: readonly [XY, XY]): Box[] {
  const count = Math.ceil(distance(from, to) / PIECE_PX);
  return Array.from({ length: Math.max(count - 1, 0) }, (_, i): Box => {
    const share = (i + 1) / count;
    const [x, y] = [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share];
    return [x - 1, y - 1, x + 1, y + 1];
  });
}

function* candidates(word: Word, wide: number, high: number, mm: number): Generator<[XY, number]> {
  if (word.orAt !== undefined) {
    for (const at of [word.at, ...word.orAt]) yield [at, 0];
    return;
  }
  if (word.isInside) yield [word.at, 0];
  for (const away of DISTANCES.slice(1)) {
    for (let i = 0; i < TURNS; i++) {
      // To the right first, where a reader looks, or on the side that was asked for.
      const turn = (word.side ?? 0) + ((i % 2 === 0 ? i : -i - 1) / TURNS) * Math.PI;
      const [dx, dy] = [Math.cos(turn), Math.sin(turn)];
      const reach = away * mm + toEdge(wide / 2, high / 2, dx, dy);
      yield [[word.at[0] + reach * dx, word.at[1] + reach * dy], away * mm];
    }
  }
}

function isIn(at: XY, box: Box): boolean {
  return at[0] >= box[0] && at[0] <= box[2] && at[1] >= box[1] && at[1] <= box[3];
}

function toEdge(halfWide: number, halfHigh: number, dx: number, dy: number): number {
  return Math.min(
    Math.abs(dx) > 1e-9 ? halfWide / Math.abs(dx) : Infinity,
    Math.abs(dy) > 1e-9 ? halfHigh / Math.abs(dy) : Infinity,
  );
}

function nearestIn(box: Box, at: XY): XY {
  return [Math.min(Math.max(at[0], box[0]), box[2]), Math.min(Math.max(at[1], box[1]), box[3])];
}

/** Place words and write them. */
export function* write(pen: Pen, words: readonly Word[], sheet: Box, around: Around): Generator<void> {
  const high = pen.type_px * 1.2;
  const all = yield* placed(words, sheet, (word) => pen.textWidth(word.text, word.isBold), high, pen.mm, around);
  for (const { leader } of all) if (leader !== null && distance(...leader) > 2) pen.line(leader, { width: 0.18 });
  for (const { word, left, middle } of all) {
    if (word.isClear)
      pen.clear([left - 3, middle - high / 2, left + pen.textWidth(word.text, word.isBold) + 3, middle + high / 2]);
    pen.text(word.text, left, middle, { isBold: word.isBold ?? false });
  }
}
