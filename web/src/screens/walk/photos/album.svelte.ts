/** The photos of a walk: taken in one after the other, each with its small copy, of this device or of the office. */
import { SvelteMap } from "svelte/reactivity";
import { NotReached, Problem } from "../../../api/problem";
import { photoLetters } from "../../../plan/from_walk";
import type { Walk } from "../../../state/walk.svelte";
import { listen } from "../../../sync/bell";
import { photosAtOffice } from "../../../sync/office_photos";
import { photosOf, takeIn } from "../../../sync/photos";
import { NoRoom } from "../../../sync/storage";

export interface NotKept {
  readonly name: string;
  readonly why: "no room" | "unread";
}

/** Where a photo itself is, as far as is known here. */
type Whereabouts = "waits here" | "refused" | "at the office" | "elsewhere" | "not known";

export class Album {
  readonly walk: Walk;
  /** Addresses of small copies on this device, by the photo's hash. */
  readonly #own = new SvelteMap<string, string>();
  /** Whether the office has a photo that this device keeps, or would not have it; by its hash. */
  readonly #sent = new SvelteMap<string, "sent" | "unsent" | "refused">();
  /** Addresses of the office's small copies, by hash; null until the office has told. */
  #there = $state.raw<ReadonlyMap<string, string> | null>(null);
  /** Why the office has not told which photos it has. */
  trouble = $state.raw<"not reached" | "signed out" | Problem | null>(null);
  keeping = $state(0);
  notKept = $state.raw<readonly NotKept[]>([]);
  readonly letters = $derived.by(() => photoLetters(this.walk.photos));
  readonly #stop: () => void;
  #isClosed = false;

  constructor(walk: Walk) {
    this.walk = walk;
    this.#stop = listen((told) => {
      if (told.kind === "photos" && told.walk === walk.id) void this.#look();
      if (told.kind === "sent" && told.walk === walk.id) void this.askOffice();
    });
    void this.#look();
    void this.askOffice();
  }

  /** The address of a small copy of a photo; this device's own where it has one. */
  pictureOf(sha256 = ""): string | undefined {
    return this.#own.get(sha256) ?? this.#there?.get(sha256);
  }

  whereIs(sha256 = ""): Whereabouts {
    const here = this.#sent.get(sha256);
    if (here === "refused") return "refused";
    if (here === "unsent") return "waits here";
    if (here === "sent" || this.#there?.has(sha256)) return "at the office";
    return this.#there === null ? "not known" : "elsewhere";
  }

  /** Ask the office which photos it has; what it told before stays when it is not reached. */
  async askOffice(): Promise<void> {
    try {
      this.#there = await photosAtOffice(this.walk.id);
      this.trouble = null;
    } catch (error) {
      if (error instanceof NotReached) this.trouble = "not reached";
      else if (error instanceof Problem) this.trouble = error.status === 401 ? "signed out" : error;
      else throw error;
    }
  }

  close(): void {
    this.#isClosed = true;
    this.#stop();
    for (const address of this.#own.values()) URL.revokeObjectURL(address);
    this.#own.clear();
  }

  /** Keep files; returns the ids of the photos that were kept. One that fails leaves the others. */
  async take(files: readonly File[]): Promise<string[]> {
    const taken: string[] = [];
    this.notKept = [];
    this.keeping += files.length;
    for (const file of files) {
      try {
        taken.push(await this.#takeOne(file));
      } catch (error) {
        this.notKept = [...this.notKept, { name: file.name, why: error instanceof NoRoom ? "no room" : "unread" }];
      } finally {
        this.keeping -= 1;
      }
    }
    return taken;
  }

  async #takeOne(file: File): Promise<string> {
    const kept = await takeIn(this.walk.id, file);
    const fields = { sha256: kept.sha256, name: this.#ownName(kept.name), order: this.walk.nextOrder("photos") };
    return this.walk.open.add("photos", fields, kept.id);
  }

  /** Phones call every photo alike: the second one of a name gets a number, since a folder has one file of a name. */
  #ownName(name: string): string {
    const names = new Set([...this.walk.photos.values()].map((photo) => photo.name?.toLowerCase()));
    const [, stem = name, ending = ""] = /^(.*?)(\.[^.]*)?$/.exec(name) ?? [];
    let own = name;
    for (let i = 2; names.has(own.toLowerCase()); i++) own = `${stem}-${i}${ending}`;
    return own;
  }

  async #look(): Promise<void> {
    for (const { sha256, preview, isSent, refused } of await photosOf(this.walk.id)) {
      if (this.#isClosed) return;
      this.#sent.set(sha256, isSent ? "sent" : refused === undefined ? "unsent" : "refused");
      if (preview !== null && !this.#own.has(sha256)) this.#own.set(sha256, URL.createObjectURL(preview));
    }
  }
}
