/** What nobody has answered yet and the record does not settle: all that a phone without signal can tell (data/README.md). */
import given from "../data/facts.json";
import {
  answerKey,
  type Court,
  type Fields,
  type Mark,
  type Pad,
  says,
  type Tally,
  UNKNOWN,
  type Value,
} from "./document";
import { type BareUnits, pointsOf } from "./frame";
import { closed, distance, lengthOf } from "./geometry";
import type { Label } from "./kinds";
import { linesApart, type Point, type Shape, shapeOf, toSegment, touches } from "./shapes";
import { beyondMarks } from "./totals";

type FactKind = "length" | "small" | "area" | "share" | "slope" | "count" | "years" | "hours" | "claim" | "word";

interface Way {
  readonly walked?: boolean;
  readonly shots?: boolean;
  readonly court?: boolean;
  readonly pad?: readonly string[];
  readonly walk?: readonly string[];
  readonly pad_is?: Readonly<Record<string, string>>;
  readonly pad_from?: Readonly<Record<string, number>>;
  readonly mark?: string;
  readonly has?: readonly string[];
  readonly mark_is?: Readonly<Record<string, string>>;
  readonly each?: boolean;
  readonly on_pad?: boolean;
  readonly near_edge_m?: number;
  readonly length_m?: number;
  readonly tally?: string;
  readonly tally_has?: string;
  readonly tally_beyond?: boolean;
  readonly no_mark?: string;
  readonly no_tally?: string;
  readonly facts?: readonly string[];
}

export interface Fact {
  readonly id: string;
  readonly subject: string;
  readonly kind: FactKind;
  readonly title: Label;
  readonly how: Label;
  readonly tool?: Label;
  readonly minutes: number;
  readonly leaves_hole: boolean;
  readonly choices?: readonly { readonly id: string; readonly label: Label }[];
  readonly settled_by: readonly Way[];
}

export const FACTS = given as unknown as readonly Fact[];

/** What a walk says of one pad. */
export interface Said {
  readonly units: BareUnits;
  readonly walk: Fields;
  readonly answers: Fields;
  readonly id: string;
  readonly pad: Pad;
  readonly courts: readonly (readonly [id: string, court: Court])[];
  readonly marks: readonly Mark[];
  readonly tallies: readonly Tally[];
  /** Where shots were taken on this pad. [m] */
  readonly shots_m: readonly Point[];
}

/** The facts of a pad that are blank: the quickest first, those that leave a hole last. */
export function blanks(said: Said): Fact[] {
  const settled = settledFacts(said);
  return FACTS.filter((fact) => answerTo(said, fact.id) === undefined && !settled.has(fact.id)).sort(
    (one, other) => Number(one.leaves_hole) - Number(other.leaves_hole) || one.minutes - other.minutes,
  );
}

/** The answer to a fact: the pad's own before the site's; undefined where nobody answered. */
function answerTo(said: Pick<Said, "answers" | "id">, fact: string): Value | undefined {
  const own = said.answers[answerKey(fact, said.id)];
  if (says(own)) return own;
  const site = said.answers[answerKey(fact)];
  return says(site) ? site : undefined;
}

function settledFacts(said: Said): Set<string> {
  const seen = look(said);
  const settled = new Set<string>();
  const isKnown = (id: string) => {
    const answer = answerTo(said, id);
    return answer === undefined ? settled.has(id) : isGiven(answer);
  };
  // What rests on other facts comes after them.
  for (const rests of [false, true]) {
    for (const fact of FACTS) {
      const ways = fact.settled_by.filter((way) => (way.facts !== undefined) === rests);
      if (ways.some((way) => holds(way, seen) && (way.facts ?? []).every(isKnown))) settled.add(fact.id);
    }
  }
  return settled;
}

/** A value that is there and is not "don't know". */
function isGiven(value: Value | undefined): boolean {
  return says(value) && value !== UNKNOWN;
}

interface Seen extends Said {
  readonly outline: readonly Point[];
  readonly isShot: boolean;
}

function look(said: Said): Seen {
  const outline = pointsOf(said.pad.outline, said.units.walk);
  const isShot = isGiven(said.pad.shots) || areSpread(said.shots_m);
  return { ...said, outline, isShot };
}

/** Whether there are three places at least, not all on one line. */
function areSpread(points: readonly Point[]): boolean {
  const [first] = points;
  if (first === undefined) return false;
  const far = points.reduce((one, other) => (distance(first, other) > distance(first, one) ? other : one));
  const size = distance(first, far);
  return (
    size > 0 &&
    points.some(
      (p) => Math.abs((far[0] - first[0]) * (p[1] - first[1]) - (far[1] - first[1]) * (p[0] - first[0])) > 1e-3 * size,
    )
  );
}

function holds(way: Way, seen: Seen): boolean {
  const { pad, walk, marks, tallies, courts } = seen;
  return (
    (way.walked !== true || marks.length + tallies.length > 0) &&
    (way.shots === undefined || way.shots === seen.isShot) &&
    (way.court !== true || courts.length > 0) &&
    (way.pad ?? []).every((key) => isGiven(pad[key])) &&
    (way.walk ?? []).every((key) => isGiven(walk[key])) &&
    Object.entries(way.pad_is ?? {}).every(
      ([key, word]) => (says(pad[key]) ? pad[key] : answerTo(seen, key)) === word,
    ) &&
    Object.entries(way.pad_from ?? {}).every(([key, year]) => Number(pad[key] ?? 0) >= year) &&
    (way.mark === undefined || hasMark(way, seen)) &&
    (way.tally === undefined || hasTally(way, seen)) &&
    (way.no_mark === undefined || !marks.some((mark) => mark.mark === way.no_mark)) &&
    (way.no_tally === undefined || !tallies.some((tally) => tally.mark === way.no_tally))
  );
}

function hasTally(way: Way, seen: Seen): boolean {
  const { units, courts } = seen;
  const found = seen.tallies.filter(
    (tally) =>
      tally.mark === way.tally &&
      isGiven(tally.length) &&
      (way.tally_has === undefined || isGiven(tally[way.tally_has])),
  );
  if (way.tally_beyond !== true || found.length === 0) return found.length > 0;
  const numbered = <Item>(items: readonly Item[]) => items.map((item, number) => [String(number), item] as const);
  const left = beyondMarks({ units, courts, marks: numbered(seen.marks), tallies: numbered(seen.tallies) });
  return left.some(({ tally }) => found.includes(tally));
}

function hasMark(way: Way, seen: Seen): boolean {
  const placed = seen.marks
    .filter((mark) => mark.mark === way.mark)
    .map((mark) => [mark, shapeOf(mark.geometry, seen.units.marks)] as const)
    .filter(([, shape]) => way.on_pad !== true || (shape !== null && touches(shape, seen.outline)));
  const good = placed.filter(([mark, shape]) => isAsAsked(way, mark, shape, seen.outline));
  return way.each === true ? placed.length > 0 && good.length === placed.length : good.length > 0;
}

function isAsAsked(way: Way, mark: Mark, shape: Shape | null, outline: readonly Point[]): boolean {
  return (
    (way.has ?? []).every((name) => isGiven(mark[name])) &&
    Object.entries(way.mark_is ?? {}).every(([name, word]) => mark[name] === word) &&
    (way.near_edge_m === undefined || (shape !== null && toEdge(shape, outline) < way.near_edge_m)) &&
    (way.length_m === undefined || (shape !== null && lengthOf(shape.points) >= way.length_m))
  );
}

function toEdge(shape: Shape, outline: readonly Point[]): number {
  const edge = closed(outline);
  const [only] = shape.points;
  if (shape.type === "Point" && only !== undefined)
    return Math.min(...edge.slice(1).map((to, i) => toSegment(only, [edge[i] as Point, to])));
  return linesApart(shape.points, edge);
}
