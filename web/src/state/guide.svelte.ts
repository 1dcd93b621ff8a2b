/** The guide of the first run: which job it leads through, and since when. */
import { good, office, send } from "../api/office";
import type { Stage } from "../model/stages";
import { jobs } from "./jobs.svelte";

/** The stages that the guide leads through. */
export const GUIDED = ["walk", "verdict", "remedies", "price", "offer"] as const satisfies readonly Stage[];

interface Kept {
  job: string;
  begunAt: number;
  endedAt: number | null;
}

const NAME = "courtwright guide";

class Guide {
  #kept = $state.raw<Kept | null>(JSON.parse(localStorage.getItem(NAME) ?? "null") as Kept | null);

  /** The job that it leads through now. */
  get job(): string | null {
    return this.#kept !== null && this.#kept.endedAt === null ? this.#kept.job : null;
  }

  /** How long it took, once it is over. [min] */
  get minutes(): number | null {
    if (this.#kept?.endedAt === null || this.#kept === null) return null;
    return Math.max(1, Math.round((this.#kept.endedAt - this.#kept.begunAt) / 60_000));
  }

  /** Open a job with the demo site in it; returns its key. */
  async begin(name: string): Promise<string> {
    const body = { name, stage: "walk" as const, customer: "club" as const };
    const job = good(await office.POST("/api/jobs", { body }));
    const site = await (await send("/api/demo/site.zip")).blob();
    const headers = { "Content-Type": "application/octet-stream" };
    const begunAt = Date.now();
    await send(`/api/jobs/${job.id}/walks/file`, { method: "POST", headers, body: site });
    await jobs.fetch();
    this.#keep({ job: job.id, begunAt, endedAt: null });
    return job.id;
  }

  end(): void {
    if (this.#kept !== null) this.#keep({ ...this.#kept, endedAt: Date.now() });
  }

  leave(): void {
    this.#keep(null);
  }

  #keep(kept: Kept | null): void {
    this.#kept = kept;
    if (kept === null) localStorage.removeItem(NAME);
    else localStorage.setItem(NAME, JSON.stringify(kept));
  }
}

export const guide = new Guide();
