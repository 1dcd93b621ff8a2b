/**
 * A new surface over one pad as somebody tries it: what is asked of it is kept on this device, and the surface follows.
 *
 *     const regrading = new Regrading(walk, "upper", maps);        // in a component, while it is made
 *     regrading.choices · regrading.change({least_mm: 50}) · regrading.found · regrading.shown
 */
import type { PointM } from "../model/frame";
import { type Binding, bindingOf } from "../model/regrade/binding";
import { stripsOf } from "../model/regrade/folds";
import {
  type Ground,
  groundOf,
  type Held,
  heightAt,
  heldOf,
  type MapsPad,
  type MapsSays,
} from "../model/regrade/ground";
import { type Asked, type Regraded, regraded, thicknessFor } from "../model/regrade/surface";
import { keepWord, keptWord } from "./kept_word";

export interface RegradeChoices extends Asked {
  readonly stone_mm: number;
  readonly grading: "fine" | "coarse";
  readonly points_m: readonly PointM[];
}

/** A point to be met, with the height of the ground there. */
export interface MetPoint {
  readonly at_m: PointM;
  readonly height_m: number;
}

function firstChoices(rules: MapsSays["rules"]): RegradeChoices {
  return {
    slope_min_pct: rules.slope_min_pct,
    slope_max_pct: rules.slope_max_pct,
    least_mm: thicknessFor(rules.stone_mm, "fine", rules),
    stone_mm: rules.stone_mm,
    grading: "fine",
    layout: "one",
    points_m: [],
  };
}

const nameOf = (walk: string, pad: string): string => `new surface ${walk}/${pad}`;

/** What was last asked of a pad's new surface on this device; null where nobody tried one. */
export async function keptChoices(walk: string, pad: string): Promise<RegradeChoices | null> {
  return (await keptWord<RegradeChoices>(nameOf(walk, pad))) ?? null;
}

/** A surface, reckoned from what is asked. */
export function surfaceFor(ground: Ground, pad: MapsPad, rules: MapsSays["rules"], choices: RegradeChoices) {
  const points = metPoints(ground, choices.points_m);
  const held = heldOf(ground, pad.held, points);
  return { held, points, found: regraded(ground, stripsOf(ground, pad.strips), choices, held, rules.density_t_m3) };
}

function metPoints(ground: Ground, points: readonly PointM[]): MetPoint[] {
  return points.flatMap((at_m) => {
    const height_m = heightAt(ground, at_m);
    return height_m === null ? [] : [{ at_m, height_m }];
  });
}

export class Regrading {
  readonly #walk: string;
  readonly #pad: MapsPad;
  readonly rules: MapsSays["rules"];
  readonly ground: Ground | null;
  choices = $state.raw() as RegradeChoices;
  /** What the surface was reckoned for: the choices, a moment later, so that a slider never waits for it. */
  #asked = $state.raw() as RegradeChoices;
  readonly #reckoned = $derived.by(() =>
    this.ground === null ? null : surfaceFor(this.ground, this.#pad, this.rules, this.#asked),
  );

  constructor(walk: string, pad: MapsPad, rules: MapsSays["rules"]) {
    this.#walk = walk;
    this.#pad = pad;
    this.rules = rules;
    this.ground = groundOf(pad);
    this.choices = firstChoices(rules);
    this.#asked = this.choices;
    void keptChoices(walk, pad.id).then((kept) => {
      if (kept !== null) this.choices = kept;
    });
    $effect(() => {
      const now = this.choices;
      const soon = setTimeout(() => {
        this.#asked = now;
      });
      return () => clearTimeout(soon);
    });
  }

  get hasStrips(): boolean {
    return this.#pad.strips !== null;
  }

  get asked(): RegradeChoices {
    return this.#asked;
  }

  get found(): Regraded | null {
    return this.#reckoned?.found ?? null;
  }

  get points(): readonly MetPoint[] {
    return this.#reckoned?.points ?? [];
  }

  get binding(): Binding | null {
    const { ground, found } = this;
    const held: readonly Held[] = this.#reckoned?.held ?? [];
    return ground === null || found === null || found.surface === null
      ? null
      : bindingOf(ground, found.surface, this.#asked, held);
  }

  /** The least thickness that stone and cooling allow [mm]. */
  get rule_mm(): number {
    return thicknessFor(this.choices.stone_mm, this.choices.grading, this.rules);
  }

  /** Change what is asked: slopes push each other, and a mix has its least thickness. */
  change(changed: Partial<RegradeChoices>): void {
    const next = { ...this.choices, ...changed };
    if (next.slope_min_pct > next.slope_max_pct) {
      if (changed.slope_min_pct === undefined) next.slope_min_pct = next.slope_max_pct;
      else next.slope_max_pct = next.slope_min_pct;
    }
    if (changed.stone_mm !== undefined || changed.grading !== undefined)
      next.least_mm = thicknessFor(next.stone_mm, next.grading, this.rules);
    this.choices = next;
    void keepWord(nameOf(this.#walk, this.#pad.id), $state.snapshot(next));
  }

  /** Meet one more point; false where the pad has no height. */
  meet(at_m: PointM): boolean {
    if (this.ground === null || heightAt(this.ground, at_m) === null) return false;
    this.change({ points_m: [...this.choices.points_m, at_m] });
    return true;
  }

  free(number: number): void {
    this.change({ points_m: this.choices.points_m.filter((_, i) => i !== number) });
  }
}
