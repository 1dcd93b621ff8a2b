/** The jobs as screens see them: those on this phone at once, those of the office when it is reached. */
import { SvelteMap } from "svelte/reactivity";
import { NotReached, Problem } from "../api/problem";
import { listen } from "../sync/bell";
import { exchange } from "../sync/exchange";
import { beginWalk, changeJob, fetchJobs, fetchWalks, type JobFields, keptJob, keptJobs, openJob } from "../sync/jobs";
import type { JobKept } from "../sync/phone";

class Jobs {
  readonly #jobs = new SvelteMap<string, JobKept>();

  constructor() {
    // Changed by a round to the office, or in another tab.
    listen((told) => {
      if (told.kind === "job") void this.readOne(told.key);
    });
  }

  /** Newest change first. */
  get all(): JobKept[] {
    return [...this.#jobs.values()].sort((one, other) => other.changedAt - one.changedAt);
  }

  get(key: string): JobKept | undefined {
    return this.#jobs.get(key);
  }

  /** Read what is on this phone. */
  async read(): Promise<void> {
    for (const job of await keptJobs()) this.#jobs.set(job.key, job);
  }

  async readOne(key: string): Promise<JobKept | undefined> {
    const job = await keptJob(key);
    if (job !== undefined) this.#jobs.set(key, job);
    return job;
  }

  /** Ask the office; returns where the next page begins. */
  async fetch(text = "", after?: string): Promise<string | null> {
    const page = await fetchJobs(text, after);
    for (const job of page.jobs) this.#jobs.set(job.key, job);
    return page.next;
  }

  async open(fields: Partial<JobFields> = {}): Promise<JobKept> {
    const job = await openJob(fields);
    this.#jobs.set(job.key, job);
    return job;
  }

  async change(key: string, fields: Partial<JobFields>): Promise<void> {
    const job = await changeJob(key, fields);
    if (job !== undefined) this.#jobs.set(key, job);
  }

  /** The walks of a job, the newest first; the office is asked where this device has none of its walks. */
  async walksOf(key: string): Promise<string[]> {
    const job = this.#jobs.get(key);
    if (job === undefined || job.officeId === null || job.walks.length > 0) return job?.walks ?? [];
    try {
      const [newest] = (await fetchWalks(key))?.walks ?? [];
      if (newest !== undefined) await exchange(newest);
    } catch (error) {
      // Without signal the work goes on; what the office has besides comes later.
      if (!(error instanceof NotReached || error instanceof Problem)) throw error;
    }
    return (await this.readOne(key))?.walks ?? [];
  }

  async beginWalk(key: string): Promise<string> {
    const id = await beginWalk(key);
    await this.readOne(key);
    return id;
  }
}

export const jobs = new Jobs();
