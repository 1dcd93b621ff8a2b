/** Where everything is that was typed on this device: here, on its way, at the office. */
import { SvelteMap } from "svelte/reactivity";
import { listen, type Ring } from "../sync/bell";
import { unsentOf } from "../sync/exchange";
import { keptJobs } from "../sync/jobs";
import type { Kept } from "../sync/open_walk";
import { deviceId, phone } from "../sync/phone";
import { lackingPhotos, releasable, release } from "../sync/photos";
import { type Rounds, round } from "../sync/round";
import { isJobUnsent } from "../sync/send_job";
import { askToPersist, isNearlyFull, type Room, room } from "../sync/storage";

/** What the office lacks. */
interface Unsent {
  changes: number;
  photos: number;
}

/** Why the office would not have what was sent. */
interface Refused {
  /** What was typed into the walk of this id. */
  typed?: { walk: string; why: string };
  photo?: string;
}

const NOTHING: Unsent = { changes: 0, photos: 0 };
const COUNTED_AFTER_MS = 150;
const ROOM_LOOKED_AT_EVERY_MS = 60_000;

class Sync {
  /** By key of the job. */
  readonly #unsent = new SvelteMap<string, Unsent>();
  readonly #kept = new SvelteMap<string, Kept>();
  /** When each walk was exchanged last. */
  readonly #sentAt = new SvelteMap<string, number>();
  rounds = $state.raw<Rounds>({ isGoing: false, ended: "not yet", at: null, nextAt: null, trouble: null });
  /** Whether what is here has been counted since the start. */
  isCounted = $state(false);
  room = $state.raw<Room | null>(null);
  /** What could be let go, being at the office. */
  releasable = $state.raw({ count: 0, bytes: 0 });
  /** What the office did not take, in its words; by key of the job. */
  readonly #refused = new SvelteMap<string, Refused>();
  #counting: ReturnType<typeof setTimeout> | undefined;

  /** Begin to count, to look, and to go to the office. */
  start(): void {
    round.onChange = (rounds) => {
      this.rounds = rounds;
    };
    listen((told) => this.#hear(told));
    void this.#count();
    void this.lookAtRoom();
    // Chosen while there is room.
    void deviceId();
    setInterval(() => void this.lookAtRoom(), ROOM_LOOKED_AT_EVERY_MS);
    round.start();
  }

  /** Of a job, or of all. */
  unsent(job?: string): Unsent {
    if (job !== undefined) return this.#unsent.get(job) ?? NOTHING;
    return [...this.#unsent.values()].reduce(
      (sum, one) => ({ changes: sum.changes + one.changes, photos: sum.photos + one.photos }),
      NOTHING,
    );
  }

  /** Whether something that was typed is not on the disk. */
  get kept(): Kept {
    const all = [...this.#kept.values()];
    return all.includes("no room") ? "no room" : all.includes("keeping") ? "keeping" : "kept";
  }

  /** When the walks of a job, or all, were last the same here and at the office. */
  sentAt(walks?: readonly string[]): number | null {
    const times = (walks ?? [...this.#sentAt.keys()]).map((walk) => this.#sentAt.get(walk) ?? 0);
    return Math.max(0, ...times) || null;
  }

  /** Why the office did not take something of a job, or of any; null where it took all that came. */
  refused(job?: string): Refused | null {
    return (job === undefined ? [...this.#refused.values()][0] : this.#refused.get(job)) ?? null;
  }

  get isNearlyFull(): boolean {
    return this.room !== null && isNearlyFull(this.room);
  }

  /** Go to the office now. */
  goNow(): void {
    void round.go();
  }

  async lookAtRoom(): Promise<void> {
    this.room = await room();
    this.releasable = await releasable();
  }

  /** Let go of photos that are at the office. */
  async makeRoom(): Promise<void> {
    await release();
    await this.lookAtRoom();
  }

  #hear(told: Ring): void {
    if (told.kind === "kept") {
      this.#kept.set(told.walk, told.kept);
      if (told.kept === "no room") void this.lookAtRoom();
    }
    if (told.kind === "new") void askToPersist();
    if (told.kind === "photos") void this.lookAtRoom();
    // Many rings share one count.
    this.#counting ??= setTimeout(() => {
      this.#counting = undefined;
      void this.#count();
    }, COUNTED_AFTER_MS);
  }

  async #count(): Promise<void> {
    const jobs = await keptJobs();
    const photos = await lackingPhotos();
    const database = await phone();
    for (const job of jobs) {
      const count = { changes: isJobUnsent(job) ? Math.max(1, job.unsent.length) : 0, photos: 0 };
      const refused: Refused = {};
      for (const walk of job.walks) {
        const unsent = await unsentOf(walk);
        count.changes += unsent;
        const knows = await database.get("office", walk);
        if (knows?.at) this.#sentAt.set(walk, knows.at);
        if (unsent > 0 && knows?.refused !== undefined) refused.typed ??= { walk, why: knows.refused };
      }
      const lacking = photos.filter((photo) => job.walks.includes(photo.walk));
      count.photos = lacking.length;
      const why = lacking.find((photo) => photo.refused !== undefined)?.refused;
      if (why !== undefined) refused.photo = why;
      if (Object.keys(refused).length === 0) this.#refused.delete(job.key);
      else this.#refused.set(job.key, refused);
      this.#unsent.set(job.key, count);
    }
    this.isCounted = true;
  }
}

export const sync = new Sync();
