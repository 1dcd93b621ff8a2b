/** A run of shots on one pad: which point is next, what a reading becomes, what the water would do. */
import { type Corner, padCorners } from "../../../model/corners";
import type { Fields } from "../../../model/document";
import { UNKNOWN } from "../../../model/document";
import { bareUnits, type PointM, placeIn } from "../../../model/frame";
import { distance } from "../../../model/geometry";
import { shotGrid } from "../../../model/grid";
import { metres } from "../../../model/length";
import { doubted, elevationText, isReading, shotOf } from "../../../model/levelling";
import { type LowSpot, lowSpots } from "../../../model/low_spots";
import {
  choicesOf,
  instrumentOf,
  knownHeights,
  lastOf,
  nextPoint,
  type PadShot,
  pointsWithShots,
  type RunChoices,
  type RunPoint,
  rodText,
} from "../../../model/shot_run";
import type { PlanContent } from "../../../plan/content";
import { contentOf } from "../../../plan/from_walk";
import { settings } from "../../../state/settings.svelte";
import type { Walk } from "../../../state/walk.svelte";

/** No rod is longer. */
const LONGEST_ROD_M = 9.2;

/** How many steps around the next point are in sight. */
const NEAR = 1.6;

export interface Doubt {
  readonly point: number;
  readonly shot: string;
  readonly read: string;
  readonly expected_m: number;
}

/** A place that the office would shoot next, and why. */
export interface Proposed {
  readonly at_m: PointM;
  readonly says: string;
}

/** What a proposed place is called: the grid has numbers. */
export const letterOf = (number: number): string => String.fromCodePoint(65 + number);

export interface Instrument {
  readonly height_m: number;
  readonly setUp: number;
}

export class ShotRun {
  readonly walk: Walk;
  readonly pad: string;
  /** Chosen before the first reading; afterwards the shots say it. */
  #chosen = $state.raw<RunChoices | null>(null);
  #instrument = $state.raw<Instrument | null>(null);
  /** A point that is read out of its turn. */
  #at = $state<number | null>(null);
  doubt = $state.raw<Doubt | null>(null);
  /** A grid that is looked at before it is begun. */
  proposed = $state.raw<RunChoices | null>(null);
  /** Whether the grid is chosen again; what was read stays. */
  isChoosing = $state(false);

  readonly #proposed: () => readonly Proposed[];

  /** A run on a pad; the office may propose places beside the grid. */
  constructor(walk: Walk, pad: string, proposed: () => readonly Proposed[] = () => []) {
    this.walk = walk;
    this.pad = pad;
    this.#proposed = proposed;
  }

  // --- what the walk says ---------------------------------------------------------------------------

  readonly content: PlanContent = $derived.by(() => contentOf(this.walk, this.pad));
  readonly shots: readonly PadShot[] = $derived.by(() =>
    this.walk.list("shots").filter(([, shot]) => shot.pad === this.pad),
  );
  readonly #units = $derived.by(() => bareUnits(this.walk.walk).walk);
  readonly outline: readonly PointM[] = $derived(this.content.pad?.outline_m ?? []);
  readonly corners: readonly Corner[] = $derived(padCorners(this.outline));
  readonly #last = $derived(lastOf(this.shots));

  /** What the run was begun with, or null before it was. */
  readonly choices: RunChoices | null = $derived(this.#chosen ?? (this.#last ? choicesOf(this.#last[1]) : null));
  readonly instrument: Instrument | null = $derived.by(() => this.#instrument ?? instrumentOf(this.shots, this.#units));
  readonly #grid: readonly RunPoint[] = $derived.by(() =>
    this.choices === null ? [] : pointsWithShots(this.gridOf(this.choices), this.shots, this.#units),
  );
  /** The points of the grid, then the places that the office proposes: numbers go on where no shot has them. */
  readonly points: readonly RunPoint[] = $derived.by(() => {
    if (this.choices === null) return [];
    const places = this.#proposed().map(({ at_m }) => at_m);
    const numbers = this.shots.map(([, { point }]) => Number(point)).filter((number) => Number.isInteger(number));
    const last = Math.max(this.#grid.length, ...numbers);
    return [
      ...this.#grid,
      ...pointsWithShots(places, this.shots, this.#units).map((point, i) => ({ ...point, number: last + i + 1 })),
    ];
  });
  readonly taken: number = $derived(this.#grid.filter(({ shots }) => shots.length > 0).length);
  readonly now: number | null = $derived(this.#at ?? nextPoint(this.#grid));
  /** How many points lie on the grid: those behind them were proposed. */
  readonly onGrid: number = $derived(this.#grid.length);
  /** The proposed place that is read now, counted from 0; null on the grid. */
  readonly proposal: number | null = $derived(
    this.now !== null && this.now >= this.#grid.length ? this.now - this.#grid.length : null,
  );
  readonly isAgain: boolean = $derived(this.#at !== null && (this.points[this.#at]?.shots.length ?? 0) > 0);
  readonly #heights = $derived(knownHeights(this.shots, this.#units));
  readonly low: readonly LowSpot[] | null = $derived(
    this.outline.length < 3 ? null : lowSpots(this.#heights, this.outline),
  );

  /** What a point is called: its number on the grid, or the letter of a proposed place. */
  nameOf(point: number): string {
    return point < this.onGrid ? String(point + 1) : letterOf(point - this.onGrid);
  }

  gridOf(choices: RunChoices): PointM[] {
    const start = this.corners[choices.start]?.at_m ?? this.outline[0];
    const spacing = metres(choices.spacing, settings.units);
    if (start === undefined || spacing === null) return [];
    return shotGrid(this.outline, this.content.courts, spacing, start);
  }

  /** The points to bring into sight: the next, those before and behind it, and their neighbours. */
  readonly near: readonly PointM[] = $derived.by(() => {
    const at = this.now === null ? undefined : this.points[this.now]?.at_m;
    const spacing = this.choices === null ? null : metres(this.choices.spacing, settings.units);
    if (at === undefined || spacing === null) return [];
    return this.points.map(({ at_m }) => at_m).filter((point) => distance(point, at) < NEAR * spacing);
  });

  /** The sheet: the grid with what was read, the point to go to and the way on, and the water so far. */
  readonly shown: PlanContent = $derived.by(() => {
    if (this.proposed !== null) return this.#proposal(this.proposed);
    const next = this.now;
    const way = next === null || next >= this.onGrid ? [] : this.#grid.slice(next, next + 4).map(({ at_m }) => at_m);
    return {
      ...this.content,
      shots: this.points.map((point, i) => ({
        id: String(i),
        at_m: point.at_m,
        isTaken: point.shots.length > 0,
        isNext: i === next,
        isProposed: i >= this.onGrid,
        ...(i >= this.onGrid ? { text: letterOf(i - this.onGrid) } : i === next ? { text: String(point.number) } : {}),
      })),
      lowSpots: (this.low ?? []).map((spot, i) => ({
        id: `preview-${i}`,
        outline_m: spot.outline_m,
        depth_mm: spot.depth_m * 1000,
        deepest_m: spot.at_m,
        contours: spot.contours.map(({ depth_m, lines_m }) => ({ depth_mm: depth_m * 1000, lines_m })),
      })),
      construction: way.length > 1 ? [{ type: "line" as const, points_m: way }] : [],
    };
  });

  #proposal(choices: RunChoices): PlanContent {
    const grid = this.gridOf(choices);
    return {
      ...this.content,
      shots: grid.map((at_m, i) => ({ id: String(i), at_m, isTaken: false, isNext: i === 0 })),
      construction: grid.length > 1 ? [{ type: "line", points_m: grid }] : [],
    };
  }

  // --- before the run -------------------------------------------------------------------------------

  begin(choices: RunChoices, instrument_m: number): void {
    this.#chosen = choices;
    this.proposed = null;
    this.#instrument = { height_m: instrument_m, setUp: (this.instrument?.setUp ?? 0) + 1 };
    this.#at = null;
  }

  // --- reading --------------------------------------------------------------------------------------

  /** A reading in metres; null while it is no reading of a rod. */
  read(typed: string): number | null {
    return this.problem(typed) === null ? this.#length(typed) : null;
  }

  /** Why something typed is no reading: nothing yet, no length, or more than any rod has. */
  problem(typed: string): "nothing" | "unread" | "too long" | null {
    if (typed.trim() === "") return "nothing";
    const rod_m = this.#length(typed);
    if (rod_m === null) return "unread";
    return rod_m > LONGEST_ROD_M ? "too long" : null;
  }

  #length(typed: string): number | null {
    return this.choices === null ? null : metres(rodText(typed, this.choices.rod_marks), settings.units);
  }

  /** Keep what the rod reads at the point, and go on; a doubt is told and never holds the reading up. */
  keep(typed: string): void {
    const [point, rod_m] = [this.now, this.read(typed)];
    if (point === null || rod_m === null || this.instrument === null) return;
    const before = this.#readingAt(point, this.instrument.setUp);
    const id = this.#put(point, typed, rod_m, this.instrument, before);
    this.#at = null;
    this.doubt = this.#doubtOf(point, id, typed);
  }

  /** The reading of this set-up at a point, which another reading takes the place of. */
  #readingAt(point: number, setUp: number): string | undefined {
    return this.points[point]?.shots.findLast(([, shot]) => !isReading(shot) || shot.set_up === setUp)?.[0];
  }

  #put(point: number, typed: string, rod_m: number, instrument: Instrument, before?: string): string {
    const place = this.points[point];
    const choices = this.choices;
    if (place === undefined || choices === null) return "";
    const [x, y] = this.#typedPlace(place);
    const taken = {
      pad: this.pad,
      point: place.number,
      x,
      y,
      rod: rodText(typed, choices.rod_marks),
      rod_m,
      instrument_m: instrument.height_m,
      setUp: instrument.setUp,
    };
    return this.#write({ ...shotOf(taken, settings.units), ...choices }, before);
  }

  /** The place as it stands on a shot there, else that of the grid: one point has one place. */
  #typedPlace({ at_m, shots }: RunPoint): [string, string] {
    const shot = shots[0]?.[1];
    const [x, y] = shot === undefined ? placeIn(at_m, settings.units) : [shot.x ?? "", shot.y ?? ""];
    return [String(x), String(y)];
  }

  #write(fields: Fields, before?: string): string {
    const { open } = this.walk;
    return open.act(() => {
      if (before === undefined) return open.add("shots", { ...fields, order: this.walk.nextOrder("shots") });
      for (const [name, value] of Object.entries(fields)) open.set("shots", before, name, value);
      return before;
    });
  }

  #doubtOf(point: number, shot: string, typed: string): Doubt | null {
    const own = this.#heights.find(({ id }) => id === shot);
    const instrument = this.instrument;
    if (own === undefined || instrument === null || this.choices === null) return null;
    const others = this.#heights.filter((one) => Math.hypot(one.x_m - own.x_m, one.y_m - own.y_m) > 0.05);
    const expected = doubted(own, others);
    if (expected === null) return null;
    return { point, shot, read: rodText(typed, this.choices.rod_marks), expected_m: instrument.height_m - expected };
  }

  /** The point cannot be reached: it is passed over, and the office knows that nothing was read there. */
  block(): void {
    const point = this.now === null ? undefined : this.points[this.now];
    if (point === undefined || this.choices === null) return;
    const [x, y] = this.#typedPlace(point);
    const fields = { pad: this.pad, point: String(point.number), x, y, elevation: UNKNOWN, description: "blocked" };
    const reset = { rod: "", instrument: elevationText(this.instrument?.height_m ?? 0, settings.units) };
    this.#write({ ...fields, ...reset, set_up: this.instrument?.setUp ?? 1, ...this.choices }, point.shots[0]?.[0]);
    this.#at = null;
    this.doubt = null;
  }

  goTo(point: number): void {
    this.#at = point;
    this.doubt = null;
  }

  /** To the point before this one in the walking order that has a shot. */
  get previous(): number | null {
    const from = this.now ?? this.points.length;
    const at = this.points.findLastIndex(({ shots }, i) => i < from && shots.length > 0);
    return at < 0 ? null : at;
  }

  /** Back to the point whose turn it is. */
  inTurn(): void {
    this.#at = null;
    this.doubt = null;
  }

  // --- moving the instrument ------------------------------------------------------------------------

  /** The points that were read, the last one last: to turn on, and to tie back to. */
  get readPoints(): readonly number[] {
    const read = this.points.flatMap((point, i) =>
      point.shots.filter(([, s]) => isReading(s)).map((s) => [i, s] as const),
    );
    const sorted = read.toSorted(([, [, one]], [, [, other]]) => (one.order ?? 0) - (other.order ?? 0));
    return [...new Set(sorted.map(([i]) => i).reverse())].reverse();
  }

  /** A good point to tie back to: read before, and far from the turning point. */
  tieTo(turning: number): number | null {
    const from = this.points[turning]?.at_m;
    const others = this.readPoints.filter((point) => point !== turning);
    if (from === undefined) return null;
    const away = (point: number) => distance(this.points[point]?.at_m ?? from, from);
    return others.toSorted((one, other) => away(other) - away(one))[0] ?? null;
  }

  #heightAt(point: number): number | null {
    const shot = this.points[point]?.shots.findLast(([, one]) => isReading(one));
    return this.#heights.find(({ id }) => id === shot?.[0])?.z_m ?? null;
  }

  /** The rod stayed where it was and the instrument moved: what it reads there now tells the new height. */
  turn(point: number, typed: string): void {
    const [height, rod_m] = [this.#heightAt(point), this.read(typed)];
    if (height === null || rod_m === null) return;
    const instrument = { height_m: height + rod_m, setUp: (this.instrument?.setUp ?? 1) + 1 };
    this.#put(point, typed, rod_m, instrument);
    this.#instrument = instrument;
  }

  /** A known point read from the new place: how far it is off. [m] */
  tieBack(point: number, typed: string): number | null {
    const [height, rod_m] = [this.#heightAt(point), this.read(typed)];
    if (height === null || rod_m === null || this.instrument === null) return null;
    this.#put(point, typed, rod_m, this.instrument);
    return this.instrument.height_m - rod_m - height;
  }
}
