/** What the sheets of a job show of the office's reading, as chosen on this device. */
import { SvelteSet } from "svelte/reactivity";
import { keepWord, keptWord } from "./kept_word";

export const LAYERS = ["low-spots", "slopes", "straightedge", "heights", "surface"] as const;
export type Layer = (typeof LAYERS)[number];

/** What is shown until somebody chooses. */
const FIRST: readonly Layer[] = ["low-spots", "slopes", "straightedge"];

export class Shows {
  readonly #name: string;
  readonly #layers = new SvelteSet<Layer>(FIRST);

  constructor(job: string) {
    this.#name = `sheet shows ${job}`;
    void keptWord<Layer[]>(this.#name).then((kept) => {
      if (kept === undefined) return;
      this.#layers.clear();
      for (const layer of kept) this.#layers.add(layer);
    });
  }

  has(layer: Layer): boolean {
    return this.#layers.has(layer);
  }

  /** Whether the heights themselves are needed, and not only what the office read from them. */
  get needsHeights(): boolean {
    return this.has("heights") || this.has("surface");
  }

  toggle(layer: Layer): void {
    if (!this.#layers.delete(layer)) this.#layers.add(layer);
    void keepWord(this.#name, [...this.#layers]);
  }
}
