/**
 * One survey file while a person looks at it: brought to the office, read there, told how to read, read again.
 *
 *     const reading = new SurveyReading(walk, pad);
 *     await reading.choose(file) · reading.look · reading.tell({ easting: 3 }) · reading.take()
 */
import type { Value } from "../../../model/document";
import { settings } from "../../../state/settings.svelte";
import type { Walk } from "../../../state/walk.svelte";
import {
  bring,
  type ColumnsTold,
  type LookAsked,
  lookAt,
  MOST_BYTES,
  type PlaceTold,
  type SurveyLook,
} from "../../../sync/surveys";

/** A person types on: the file is read again once they pause [ms]. */
const PAUSE_MS = 500;

export type Columns = Partial<Record<keyof ColumnsTold, ColumnsTold[keyof ColumnsTold]>>;
export type Placing = "own" | "corners" | "origin";

/** Whether a table tells three columns, each another. */
export function isWhole(columns: Columns): columns is ColumnsTold {
  const three = [columns.easting, columns.northing, columns.elevation];
  return three.every((one) => typeof one === "number") && new Set(three).size === three.length;
}

export class SurveyReading {
  readonly walk: Walk;
  readonly pad: string;
  name = $state("");
  sha256 = $state<string | null>(null);
  look = $state.raw<SurveyLook | null>(null);
  trouble = $state.raw<unknown>(null);
  isTooLarge = $state(false);
  /** How much of the file has come, 0 to 1; null while none is on its way. */
  sent = $state<number | null>(null);
  isReading = $state(false);
  /** What was told of the columns; null where the list speaks for itself. */
  columns = $state.raw<Columns | null>(null);
  placing = $state<Placing>("own");
  /** Null where it is not told whole. */
  place = $state.raw<PlaceTold | null>(null);
  #asked = 0;
  #soon: ReturnType<typeof setTimeout> | undefined;

  constructor(walk: Walk, pad: string) {
    this.walk = walk;
    this.pad = pad;
  }

  get hasFile(): boolean {
    return this.name !== "";
  }

  /** How the list is taken to be written: as told, else as the office guesses. */
  get told(): Columns {
    const { delimiter, decimal, heading_lines, easting, northing, elevation, point } = this.look?.listed ?? {};
    const guessed = { delimiter, decimal, heading_lines, easting, northing, elevation, point };
    const known = Object.entries({ ...guessed, ...this.columns }).filter(([, value]) => value != null);
    return Object.fromEntries(known) as Columns;
  }

  /** Whether what is told can be read. */
  get isTold(): boolean {
    const isPlaced = this.placing === "own" || this.place !== null;
    return isPlaced && (this.columns === null || isWhole(this.told));
  }

  get canTake(): boolean {
    return (this.look?.on_pad ?? 0) > 0 && !this.isReading && this.isTold && this.trouble === null;
  }

  async choose(file: File): Promise<void> {
    this.forget();
    this.name = file.name;
    this.isTooLarge = file.size > MOST_BYTES;
    if (this.isTooLarge) return;
    const mine = this.#asked;
    this.sent = 0;
    try {
      const sha256 = await bring(this.walk.id, file, (share) => {
        if (mine === this.#asked) this.sent = share;
      });
      if (mine !== this.#asked) return;
      [this.sha256, this.sent] = [sha256, null];
      await this.#read();
    } catch (error) {
      if (mine !== this.#asked) return;
      [this.sent, this.trouble] = [null, error];
    }
  }

  forget(): void {
    clearTimeout(this.#soon);
    this.#asked += 1;
    [this.name, this.sha256, this.look, this.trouble] = ["", null, null, null];
    [this.columns, this.place, this.placing, this.isTooLarge] = [null, null, "own", false];
    [this.sent, this.isReading] = [null, false];
  }

  /** Tell something of the columns. */
  tell(change: Columns): void {
    this.columns = { ...this.told, ...this.columns, ...change };
    this.#again();
  }

  /** Tell where the pad lies; null where it is not told whole yet. */
  put(placing: Placing, place: PlaceTold | null): void {
    [this.placing, this.place] = [placing, place];
    if (this.look?.listed != null) this.columns = { ...this.told, frame: placing === "own" ? "pad" : "survey" };
    this.#again();
  }

  /** Take the heights of the file into the walk, with what was told of it: one deed. */
  take(): void {
    const { walk, sha256 } = this;
    if (sha256 === null || !this.canTake) return;
    const { columns, place } = this.#asks();
    const fields = { name: this.#ownName(), sha256, order: walk.nextOrder("files") };
    walk.open.act(() => {
      const file = walk.open.add("files", {
        ...fields,
        ...(columns == null ? {} : { columns: columns as unknown as Value }),
        ...(place == null ? {} : { place: place as unknown as Value }),
      });
      walk.open.set("pads", this.pad, "shots", file);
    });
    this.forget();
  }

  #asks(): Pick<LookAsked, "columns" | "place"> {
    const { told, placing } = this;
    const isTold = this.columns !== null && isWhole(told);
    return { ...(isTold ? { columns: told } : {}), ...(placing === "own" ? {} : { place: this.place }) };
  }

  #again(): void {
    clearTimeout(this.#soon);
    if (this.isTold) this.#soon = setTimeout(() => void this.#read(), PAUSE_MS);
  }

  async #read(): Promise<void> {
    if (this.sha256 === null) return;
    const { language, units } = settings;
    this.#asked += 1;
    const mine = this.#asked;
    [this.isReading, this.trouble] = [true, null];
    try {
      const asked = { sha256: this.sha256, pad: this.pad, language, units, ...this.#asks() };
      const look = await lookAt(this.walk.id, asked);
      if (mine === this.#asked) this.look = look;
    } catch (error) {
      if (mine === this.#asked) this.trouble = error;
    } finally {
      if (mine === this.#asked) this.isReading = false;
    }
  }

  /** A folder has one file of a name: the second gets a number. */
  #ownName(): string {
    const names = new Set(this.walk.list("files").map(([, { name }]) => String(name ?? "").toLowerCase()));
    for (const name of ["site.toml", "marks.geojson"]) names.add(name);
    const [, stem = this.name, ending = ""] = /^(.*?)(\.[^.]*)?$/.exec(this.name) ?? [];
    let own = this.name;
    for (let i = 2; names.has(own.toLowerCase()); i++) own = `${stem}-${i}${ending}`;
    return own;
  }
}
