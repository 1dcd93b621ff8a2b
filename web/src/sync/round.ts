/** Rounds to the office: everything that it lacks goes, what is open here comes. One at a time in this browser. */
import { NotReached, Problem } from "../api/problem";
import { listen } from "./bell";
import { openWalks } from "./borrow";
import { exchange, unsentOf } from "./exchange";
import { fetchJobs, fetchWalks, keptJobs } from "./jobs";
import type { JobKept } from "./phone";
import { unsentPhotos } from "./photos";
import { isJobUnsent, sendJob } from "./send_job";
import { sendPhoto } from "./send_photo";
import { whoIsIn } from "./session";

/** How the last round ended. */
type Ended = "not yet" | "done" | "not reached" | "signed out" | "refused";

export interface Rounds {
  isGoing: boolean;
  ended: Ended;
  /** When the last round ended, and when the next begins by itself: milliseconds since 1970. */
  at: number | null;
  nextAt: number | null;
  /** What the office would not have. */
  trouble: unknown;
}

const AFTER_TYPING_MS = 1_000;
const WHILE_UNSENT_MS = 30_000;
const WHILE_OPEN_MS = 10_000;
const MOST_WAIT_MS = 300_000;
const FIRST_WAIT_MS = 5_000;
/** The jobs that are fetched ahead, so that they open without signal, and how often. */
const AHEAD = 20;
const AHEAD_EVERY_MS = 600_000;

class Round {
  onChange: (rounds: Rounds) => void = () => undefined;
  #now: Rounds = { isGoing: false, ended: "not yet", at: null, nextAt: null, trouble: null };
  #going: Promise<void> | null = null;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #isWanted = false;
  #misses = 0;
  #aheadAt = 0;
  #stop: (() => void)[] = [];

  /** Begin, and go on by itself: after typing, with signal, when the page is shown, while something is unsent. */
  start(): void {
    const soon = () => this.soon(0);
    const shown = () => document.visibilityState === "visible" && this.soon(0);
    addEventListener("online", soon);
    document.addEventListener("visibilitychange", shown);
    this.#stop = [
      () => removeEventListener("online", soon),
      () => document.removeEventListener("visibilitychange", shown),
      listen((told) => {
        // While the office is away it is asked for at its times, not at every letter.
        if (told.kind === "new" && this.#now.ended !== "not reached" && this.#now.ended !== "signed out")
          this.soon(AFTER_TYPING_MS);
      }),
    ];
    this.soon(0);
  }

  stop(): void {
    for (const stop of this.#stop) stop();
    clearTimeout(this.#timer);
  }

  /** Go in so many milliseconds, or earlier where that was meant already. */
  soon(wait: number): void {
    if (this.#now.isGoing) {
      this.#isWanted = true;
      return;
    }
    const at = Date.now() + wait;
    if (this.#now.nextAt !== null && this.#now.nextAt <= at && this.#now.nextAt > Date.now()) return;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.go(), wait);
    this.#tell({ nextAt: at });
  }

  /** Go now, after the round that is on its way; resolves with how it ended. */
  async go(): Promise<Rounds> {
    while (this.#going !== null) await this.#going;
    this.#going = this.#go().finally(() => {
      this.#going = null;
    });
    await this.#going;
    return this.#now;
  }

  async #go(): Promise<void> {
    clearTimeout(this.#timer);
    this.#isWanted = false;
    this.#tell({ isGoing: true, nextAt: null });
    const { ended, trouble } = await alone(() => this.#ended());
    this.#misses = ended === "not reached" ? this.#misses + 1 : 0;
    this.#tell({ isGoing: false, ended, trouble, at: Date.now() });
    await this.#again();
  }

  async #ended(): Promise<{ ended: Ended; trouble: unknown }> {
    try {
      if ((await whoIsIn()) === null) return { ended: "signed out", trouble: null };
      const trouble = await sendAll();
      await this.#ahead();
      return { ended: trouble === null ? "done" : "refused", trouble };
    } catch (error) {
      if (error instanceof Problem && error.status === 401) return { ended: "signed out", trouble: null };
      if (error instanceof NotReached) return { ended: "not reached", trouble: null };
      return { ended: "refused", trouble: error };
    }
  }

  /** Fetch the newest jobs with their walks now and then. */
  async #ahead(): Promise<void> {
    if (Date.now() - this.#aheadAt < AHEAD_EVERY_MS) return;
    const { jobs } = await fetchJobs();
    for (const job of jobs.slice(0, AHEAD)) {
      const known = await fetchWalks(job.key);
      for (const walk of known?.walks ?? []) await exchange(walk);
    }
    this.#aheadAt = Date.now();
  }

  async #again(): Promise<void> {
    if (this.#isWanted) return this.soon(AFTER_TYPING_MS);
    if (this.#now.ended === "not reached")
      return this.soon(Math.min(MOST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(this.#misses - 1, 10)));
    if (this.#now.ended === "signed out") return;
    if (this.#now.ended === "refused") return this.soon(MOST_WAIT_MS);
    if (await isAnythingUnsent()) return this.soon(WHILE_UNSENT_MS);
    if (openWalks().length > 0 && document.visibilityState === "visible") this.soon(WHILE_OPEN_MS);
    else this.soon(MOST_WAIT_MS);
  }

  #tell(change: Partial<Rounds>): void {
    this.#now = { ...this.#now, ...change };
    this.onChange(this.#now);
  }
}

/** No two tabs go at once. */
async function alone<Result>(go: () => Promise<Result>): Promise<Result> {
  const locks = navigator.locks as LockManager | undefined;
  return locks === undefined ? go() : await locks.request("courtwright round", go);
}

async function isAnythingUnsent(): Promise<boolean> {
  for (const job of await keptJobs()) {
    if (isJobUnsent(job)) return true;
    for (const walk of job.walks) if ((await unsentOf(walk)) > 0) return true;
  }
  return (await unsentPhotos()).length > 0;
}

/** Send all; returns the first thing that the office would not have. What one thing lacks keeps no other back. */
async function sendAll(): Promise<unknown> {
  const troubles: unknown[] = [];
  const tried = async (act: () => Promise<void>): Promise<void> => {
    try {
      await act();
    } catch (error) {
      if (!(error instanceof Problem) || error.status === 401) throw error;
      troubles.push(error);
    }
  };
  const jobs = await keptJobs();
  for (const job of jobs) {
    if (isJobUnsent(job)) await tried(() => sendJob(job.key));
  }
  await sendWalks(tried, openWalks());
  for (const photo of await unsentPhotos()) {
    if (!(await walksAtOffice()).includes(photo.walk)) continue;
    await tried(() => sendPhoto(photo));
    // What was typed meanwhile does not wait for the photos.
    await sendWalks(tried, []);
  }
  return troubles[0] ?? null;
}

type Tried = (act: () => Promise<void>) => Promise<void>;

/** Exchange the walks of which the office lacks something, and some others. */
async function sendWalks(tried: Tried, others: readonly string[]): Promise<void> {
  for (const walk of await walksAtOffice()) {
    if (others.includes(walk) || (await unsentOf(walk)) > 0) await tried(() => exchange(walk));
  }
}

async function walksAtOffice(): Promise<string[]> {
  return (await keptJobs()).flatMap(walksOf);
}

/** The walks of a job that the office knows. */
function walksOf(job: JobKept): string[] {
  return job.officeId === null ? [] : job.walks.filter((walk) => !job.walksToSend.includes(walk));
}

/** The rounds of this tab. */
export const round = new Round();

/** Send what the office lacks before it is asked about it; throws what keeps it from going. */
export async function sendFirst(walk: string): Promise<void> {
  const job = (await keptJobs()).find((one) => one.walks.includes(walk));
  if (job !== undefined && !isJobUnsent(job) && (await unsentOf(walk)) === 0) return;
  const { ended, trouble } = await round.go();
  if (ended === "not reached") throw new NotReached();
  if (ended === "refused" && (await unsentOf(walk)) > 0) throw trouble;
}
