/** What every layer of a plan draws with: the pen, what is shown, the reader's words and units. */

import type { Box, XY } from "../model/geometry";
import type { UnitSystem } from "../model/show";
import * as show from "../model/show";
import { plan as texts } from "../strings/plan";
import { inLanguage, type Language, type Shown } from "../strings/words";
import type { PlanContent, PlanMark } from "./content";
import { boxOfMark } from "./marks";
import type { Pen } from "./pen";
import type { Word } from "./words";

export type TextName = keyof typeof texts;

export interface Reader {
  readonly language: Language;
  readonly units: UnitSystem;
}

export class Scene {
  readonly pen: Pen;
  readonly content: PlanContent;
  readonly reader: Reader;
  readonly words: Word[] = [];
  /** What no word should cover. */
  readonly taken: Box[] = [];
  /** Whose cracks tell how many times as wide they are drawn. */
  readonly factorFrom: ReadonlyMap<string, PlanMark>;
  /** By kind, what can be seen of the marks, in their order. */
  readonly #byKind = new Map<string, PlanMark[]>();

  constructor(
    pen: Pen,
    content: PlanContent,
    reader: Reader,
    without: ReadonlySet<string> = new Set(),
    factorFrom = content.marks,
  ) {
    this.factorFrom = factorFrom;
    this.pen = pen;
    this.content = content;
    this.reader = reader;
    for (const mark of content.marks.values()) {
      if (without.has(mark.id) || !pen.sees(boxOfMark(mark))) continue;
      const of = this.#byKind.get(mark.kind);
      if (of === undefined) this.#byKind.set(mark.kind, [mark]);
      else of.push(mark);
    }
  }

  of(...kinds: string[]): PlanMark[] {
    return kinds.flatMap((kind) => this.#byKind.get(kind) ?? []);
  }

  /** Kinds that are drawn by their name alone: what no layer knows. */
  get kinds(): Iterable<string> {
    return this.#byKind.keys();
  }

  say(name: TextName, shown: Shown = {}): string {
    return inLanguage(texts[name], this.reader.language, shown);
  }

  small(metres: number): string {
    return show.small(metres, this.reader.units);
  }

  length(metres: number): string {
    return show.length(metres, this.reader.units);
  }

  area(squareMetres: number): string {
    return show.area(squareMetres, this.reader.units);
  }

  /** Words keep clear of a line, taken as so many little boxes. */
  keepClear(a: XY, b: XY, half: number): void {
    for (let i = 0; i <= 6; i++) {
      const [x, y] = [a[0] + ((b[0] - a[0]) * i) / 6, a[1] + ((b[1] - a[1]) * i) / 6];
      this.taken.push([x - half, y - half, x + half, y + half]);
    }
  }

  word(text: string, at: XY, weight: number, more: Partial<Word> = {}): void {
    this.words.push({ text, at, weight, ...more });
  }
}
