/**
 * The office's last answer about a walk, and the one before it, so that what moved can be told with its reason.
 *
 *     const verdict = new LastAnswer<VerdictSays>(walk, "verdict");   // in a component, while it is made
 *     verdict.kept · verdict.at · verdict.isOld · verdict.isAsking · verdict.progress · verdict.trouble · verdict.ask()
 */
import { encodeStateVector } from "yjs";
import { ask, keptAnswer, type What } from "../sync/answers";
import { type AnswerKept, phone } from "../sync/phone";
import { round } from "../sync/round";
import { settings } from "./settings.svelte";
import type { Walk } from "./walk.svelte";

interface Asked {
  readonly seq: number;
  readonly come: Uint8Array;
}

export class LastAnswer<Answer> {
  readonly #walk: Walk;
  readonly #what: What;
  #now = $state.raw<AnswerKept | null>(null);
  #before = $state.raw<AnswerKept | null>(null);
  isAsking = $state(false);
  /** How far the office is with the answer, 0 to 1. */
  progress = $state(0);
  trouble = $state.raw<unknown>(null);
  /** Whether the walk on this device is another than the one that was asked about. */
  #hasChanged = $state(false);
  /** The answer that was asked for here, and how far the walk had come then. */
  #asked: Asked | null = null;

  /** Resolves when what this device keeps has been read. */
  readonly hasRead: Promise<void>;

  constructor(walk: Walk, what: What) {
    this.#walk = walk;
    this.#what = what;
    this.hasRead = this.#read();
    $effect(() =>
      walk.open.listen(() => {
        this.#look();
      }),
    );
  }

  get kept(): Answer | null {
    return (this.#now?.answer as Answer | undefined) ?? null;
  }

  get before(): Answer | null {
    return (this.#before?.answer as Answer | undefined) ?? null;
  }

  get at(): string | null {
    return this.#now?.at ?? null;
  }

  get beforeAt(): string | null {
    return this.#before?.at ?? null;
  }

  get isOld(): boolean {
    return this.#hasChanged || this.#now?.isCurrent === false;
  }

  async ask(): Promise<void> {
    this.isAsking = true;
    this.progress = 0;
    this.trouble = null;
    try {
      // What was typed is sent first; without signal the question itself says so.
      await round.go();
      const come = encodeStateVector(this.#walk.open.doc);
      const told = await ask(this.#walk.id, this.#what, settings.language, (share) => {
        this.progress = share;
      });
      if (this.#now !== null && told.seq !== this.#now.seq) await this.#remember(this.#now);
      this.#now = told;
      this.#asked = { seq: told.seq, come };
      await (await phone()).put("words", this.#asked, `asked ${this.#name}`);
      this.#look();
    } catch (error) {
      this.trouble = error;
    } finally {
      this.isAsking = false;
    }
  }

  get #name(): string {
    return `${this.#walk.id}/${this.#what}/${settings.language}`;
  }

  async #remember(answer: AnswerKept): Promise<void> {
    this.#before = answer;
    await (await phone()).put("words", answer, `before ${this.#name}`);
  }

  async #read(): Promise<void> {
    this.#now = (await keptAnswer(this.#walk.id, this.#what, settings.language)) ?? null;
    this.#before = ((await (await phone()).get("words", `before ${this.#name}`)) as AnswerKept | undefined) ?? null;
    this.#asked = ((await (await phone()).get("words", `asked ${this.#name}`)) as Asked | undefined) ?? null;
    this.#look();
  }

  /** An answer that was asked for elsewhere is old only when the office says so. */
  #look(): void {
    if (this.#asked === null || this.#asked.seq !== this.#now?.seq) return;
    const come = encodeStateVector(this.#walk.open.doc);
    this.#hasChanged = come.length !== this.#asked.come.length || come.some((byte, i) => byte !== this.#asked?.come[i]);
  }
}
