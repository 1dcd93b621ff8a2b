/** Several planes that meet in folds between courts, as `ground/regrade/folds.py` has them (spec/README.md). */
import type { Ground, Held, MapsPad } from "./ground";
import { canBeTouched } from "./highest";
import { type Limit, leastUnder } from "./lp";
import type { Plane } from "./plane";

/** Strips of a pad side by side, a fold between each two. */
export interface Strips {
  /** Unit vector from strip to strip. */
  readonly across: readonly [x: number, y: number];
  /** Where the folds lie along it, from home [m]. */
  readonly folds: readonly number[];
  readonly courts: readonly (readonly string[])[];
}

/** No layout is looked for that saves less mean thickness [m], nor are arcs halved any further [rad]. */
const [GAIN, LEAST_PIECE] = [1e-6, 1e-6];
const [MOST_ROUNDS, MOST_PIECES] = [300, 4_000];
const MISS = 1e-8;
/** What is fixed may be missed by so much [m]. */
const ROOM = 1e-7;
const PARTS = 8;
const CAPS = 16;
const FAR = 1e4;

/** Places that mattered on a ground for any choice: they are looked at first for the next. */
const mattered = new WeakMap<Ground, Set<number>>();

interface Answer {
  readonly mean: number;
  readonly unknowns: readonly number[];
}

const stripsKnown = new WeakMap<Ground, Strips>();

/** The strips of a ground, counted from its home; the same object each time. */
export function stripsOf(ground: Ground, told: MapsPad["strips"]): Strips | null {
  const [x, y] = told?.across ?? [];
  if (told === null || x === undefined || y === undefined) return null;
  const from = x * ground.home[0] + y * ground.home[1];
  const made = stripsKnown.get(ground) ?? {
    across: [x, y] as const,
    folds: told.folds_m.map((fold) => fold - from),
    courts: told.courts,
  };
  stripsKnown.set(ground, made);
  return made;
}

/** Where the places of a ground lie on its strips: the same for every choice. */
interface Laid {
  readonly ground: Ground;
  /** From strip to strip, and along the folds [m]. */
  readonly u: Float64Array;
  readonly v: Float64Array;
  readonly strip: Uint8Array;
  /** Means of the terms by area. */
  readonly mean: readonly number[];
  readonly touchable: Int32Array;
}

const laidOut = new WeakMap<Strips, Laid>();

function laid(ground: Ground, strips: Strips): Laid {
  const known = laidOut.get(strips);
  if (known?.ground === ground) return known;
  const { x, y, area } = ground;
  const [ax, ay] = strips.across;
  const u = x.map((one, i) => one * ax + (y[i] as number) * ay);
  const v = x.map((one, i) => (y[i] as number) * ax - one * ay);
  const strip = new Uint8Array(x.length);
  for (const [i, across] of u.entries()) strip[i] = strips.folds.filter((fold) => across > fold).length;
  const mean = new Array<number>(strips.courts.length + 2).fill(0);
  for (let i = 0; i < ground.nodes; i++)
    for (const [j, term] of termsAt(strips, u[i] as number, v[i] as number).entries())
      mean[j] = (mean[j] as number) + (term * (area[i] as number)) / ground.wholeArea;
  const made = { ground, u, v, strip, mean, touchable: canBeTouched(ground, strip) };
  laidOut.set(strips, made);
  return made;
}

/** What the unknowns add to the height at a place: level, rise along the folds, rise across each strip. */
function termsAt({ folds, courts }: Strips, u: number, v: number): number[] {
  const across = courts.map((_, strip) => {
    const [from, to] = [folds[strip - 1] ?? -Infinity, folds[strip] ?? Infinity];
    return Math.min(Math.max(u, from), to) - (strip === 0 ? to : from);
  });
  return [1, v, ...across];
}

/** The planes of the strips that together need the least asphalt; null where nothing fits. The lowest of them counts. */
export function leastFolded(
  ground: Ground,
  strips: Strips,
  least: number,
  low: number,
  high: number,
  held: readonly Held[],
): Plane[] | null {
  const task = new Folding(ground, strips, least, high, held);
  const { count } = task;
  let best: Answer | null = null;
  for (const sign of [-1, 1]) {
    const a = new Array<number>(count + 2).fill(0);
    a[1] = -sign;
    best = better(best, task.solved([{ a, b: -low }]));
  }
  best = overArcs(task, low, best);
  return best && planesOf(strips, best.unknowns);
}

function better(one: Answer | null, other: Answer | null): Answer | null {
  if (one === null || other === null) return one ?? other;
  return other.mean < one.mean ? other : one;
}

interface Piece {
  readonly bound: number;
  readonly signs: readonly number[];
  readonly start: number;
  readonly end: number;
}

/** The least of all patterns whose rise along the folds is less than the least slope, or what is known. */
function overArcs(task: Folding, low: number, known: Answer | null): Answer | null {
  let best = known;
  const pieces: Piece[] = [];
  for (let rising = 0; rising <= task.count; rising++) {
    const signs = Array.from({ length: task.count }, (_, strip) => (strip < rising ? 1 : -1));
    pieces.push({ bound: -Infinity, signs, start: -Math.PI / 2, end: Math.PI / 2 });
  }
  for (let count = 0; pieces.length > 0 && count < MOST_PIECES; count++) {
    const at = pieces.reduce((first, { bound }, i) => (bound < (pieces[first] as Piece).bound ? i : first), 0);
    const [{ bound, signs, start, end }] = pieces.splice(at, 1) as [Piece];
    if (best !== null && bound > best.mean - GAIN) break;
    const relaxed = task.solved(beyondChord(signs, start, end, low));
    if (relaxed === null || (best !== null && relaxed.mean > best.mean - GAIN)) continue;
    const rise = relaxed.unknowns[1] as number;
    const turn = low > 0 ? Math.asin(Math.min(Math.max(rise / low, -1), 1)) : 0;
    best = better(best, task.solved(halfPlanes(signs, turn, low)));
    if (low === 0 || end - start <= LEAST_PIECE) continue;
    const middle = (start + end) / 2;
    pieces.push({ bound: relaxed.mean, signs, start, end: middle }, { bound: relaxed.mean, signs, start: middle, end });
  }
  return best;
}

/** Every strip's gradient lies beyond the chord of an arc, and its rise along the folds within it. */
function beyondChord(signs: readonly number[], start: number, end: number, low: number): Limit[] {
  const limits = halfPlanes(signs, (start + end) / 2, low * Math.cos((end - start) / 2));
  const within = signs.map(() => 0);
  return [
    ...limits,
    { a: [0, 1, ...within], b: low * Math.sin(end) },
    { a: [0, -1, ...within], b: -low * Math.sin(start) },
  ];
}

/** Every strip's slope counted in one direction is at least so much. */
function halfPlanes(signs: readonly number[], turn: number, low: number): Limit[] {
  return signs.map((sign, strip) => ({
    a: [0, -Math.sin(turn), ...signs.map((_, other) => (other === strip ? -sign * Math.cos(turn) : 0))],
    b: -low,
  }));
}

/** The plane of each strip, from home. */
function planesOf({ across, folds, courts }: Strips, unknowns: readonly number[]): Plane[] {
  const rise = unknowns[1] as number;
  // On the first fold the surface has its level; on each further one what the strip between has added.
  let level = unknowns[0] as number;
  return courts.map((_, strip) => {
    const slope = unknowns[2 + strip] as number;
    const from = folds[Math.max(strip - 1, 0)] as number;
    if (strip > 1) level += (unknowns[1 + strip] as number) * (from - (folds[strip - 2] as number));
    return {
      level: level - slope * from,
      gradient: [slope * across[0] - rise * across[1], slope * across[1] + rise * across[0]] as const,
    };
  });
}

/** The linear programmes of one ground; the places that mattered in one are known to the next. */
class Folding {
  readonly count: number;
  readonly #ground: Ground;
  readonly #strips: Strips;
  readonly #least: number;
  readonly #high: number;
  readonly #laid: Laid;
  readonly #mean: readonly number[];
  readonly #fixed: Limit[];
  readonly #known = new Map<number, Limit>();

  constructor(ground: Ground, strips: Strips, least: number, high: number, held: readonly Held[]) {
    this.count = strips.courts.length;
    [this.#ground, this.#strips, this.#least, this.#high] = [ground, strips, least, high];
    this.#laid = laid(ground, strips);
    this.#mean = this.#laid.mean;
    this.#fixed = [...this.#ridges(), ...this.#heldLimits(held)];
    for (let turn = 0; turn < CAPS; turn++) {
      const angle = (turn * 2 * Math.PI) / CAPS;
      for (let strip = 0; strip < this.count; strip++)
        this.#fixed.push(this.#cap(strip, Math.cos(angle), Math.sin(angle)));
    }
    for (const place of mattered.get(ground) ?? []) this.#know(place);
    for (const rise of [-high, 0, high])
      for (const lean of [-high, 0, high]) this.#learn([0, lean, ...new Array<number>(this.count).fill(rise)]);
  }

  /** The least mean height and the unknowns that give it; null where nothing fits. */
  solved(limits: readonly Limit[]): Answer | null {
    for (let round = 0; round < MOST_ROUNDS; round++) {
      const unknowns = leastUnder(this.#mean, [...limits, ...this.#fixed, ...this.#known.values()], FAR);
      if (unknowns === null) return null;
      const isShort = this.#isShortOfCaps(unknowns);
      if (!this.#learn(unknowns) && !isShort)
        return { mean: unknowns.reduce((sum, one, i) => sum + one * (this.#mean[i] as number), 0), unknowns };
    }
    return null;
  }

  /** A fold is a ridge or nothing. */
  #ridges(): Limit[] {
    return Array.from({ length: this.count - 1 }, (_, strip) => {
      const a = new Array<number>(this.count + 2).fill(0);
      [a[2 + strip], a[3 + strip]] = [-1, 1];
      return { a, b: 0 };
    });
  }

  #heldLimits(held: readonly Held[]): Limit[] {
    const [ax, ay] = this.#strips.across;
    return held.flatMap(({ x, y, low, high }): Limit[] => {
      const terms = termsAt(this.#strips, x * ax + y * ay, y * ax - x * ay);
      const above = high < Infinity ? [{ a: terms, b: high + ROOM }] : [];
      return low > -Infinity ? [...above, { a: terms.map((one) => -one), b: ROOM - low }] : above;
    });
  }

  #cap(strip: number, across: number, along: number): Limit {
    const a = new Array<number>(this.count + 2).fill(0);
    [a[1], a[2 + strip]] = [along, across];
    return { a, b: this.#high };
  }

  #isShortOfCaps(unknowns: readonly number[]): boolean {
    let isShort = false;
    const along = unknowns[1] as number;
    for (let strip = 0; strip < this.count; strip++) {
      const across = unknowns[2 + strip] as number;
      const slope = Math.hypot(across, along);
      if (slope <= this.#high + MISS) continue;
      this.#fixed.push(this.#cap(strip, across / slope, along / slope));
      isShort = true;
    }
    return isShort;
  }

  /** Take in the places that a surface leaves uncovered most, one of each part; whether there was one. */
  #learn(unknowns: readonly number[]): boolean {
    const { z } = this.#ground;
    const [level, along] = unknowns as [number, number];
    const { folds } = this.#strips;
    // Height of the surface where each strip begins to count, and its rise across.
    const begins: number[] = [];
    let height = level;
    for (let strip = 0; strip < this.count; strip++) {
      if (strip > 1)
        height += (unknowns[1 + strip] as number) * ((folds[strip - 1] as number) - (folds[strip - 2] as number));
      begins.push(height - (unknowns[2 + strip] as number) * (folds[Math.max(strip - 1, 0)] as number));
    }
    const { u, v, strip: strips, touchable: all } = this.#laid;
    const size = Math.max(1, Math.ceil(all.length / PARTS));
    let isNew = false;
    for (let start = 0; start < all.length; start += size) {
      let [best, most] = [-1, MISS];
      for (let k = start; k < Math.min(start + size, all.length); k++) {
        const i = all[k] as number;
        const strip = strips[i] as number;
        const surface =
          (begins[strip] as number) + (unknowns[2 + strip] as number) * (u[i] as number) + along * (v[i] as number);
        const short = (z[i] as number) + this.#least - surface;
        if (short > most) [best, most] = [i, short];
      }
      if (best < 0 || this.#known.has(best)) continue;
      this.#know(best);
      isNew = true;
    }
    return isNew;
  }

  #know(place: number): void {
    const terms = termsAt(this.#strips, this.#laid.u[place] as number, this.#laid.v[place] as number);
    this.#known.set(place, { a: terms.map((one) => -one), b: -((this.#ground.z[place] as number) + this.#least) });
    const all = mattered.get(this.#ground) ?? new Set();
    mattered.set(this.#ground, all.add(place));
  }
}
