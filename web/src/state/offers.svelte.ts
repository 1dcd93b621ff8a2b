/** The offers of a job as the office keeps them: drafted, written, sent, answered. They need signal: nothing of them is kept here. */
import { good, office, send } from "../api/office";
import type { components } from "../api/schema";
import { finished } from "../sync/answers";
import { sendFirst } from "../sync/round";
import { jobs } from "./jobs.svelte";

type Schemas = components["schemas"];
export type Offer = Schemas["OfferOut"];
type OfferLink = Schemas["LinkOut"];
export type OfferQuestion = Schemas["QuestionOut"];
type Acceptance = Schemas["AcceptanceOut"];
type Seal = Schemas["SealOut"];
export type Wanted = Omit<Schemas["OfferGiven"], "walk_id">;

/** What is known about one offer besides itself. */
export interface About {
  readonly files: readonly string[];
  readonly links: readonly OfferLink[];
  readonly questions: readonly OfferQuestion[];
  readonly acceptance: Acceptance | null;
  readonly seal: Seal | null;
}

export class Offers {
  list = $state.raw<readonly Offer[]>([]);
  about = $state.raw<About | null>(null);
  /** The offer that is looked at. */
  id = $state("");
  isRead = $state(false);
  isBusy = $state(false);
  /** How far the papers are, 0 to 1; null while none are made. */
  progress = $state<number | null>(null);
  trouble = $state.raw<unknown>(null);
  /** The address of a link that was just made, told this once; which offer it opens. */
  link = $state.raw<{ offer: string; address: string } | null>(null);
  readonly #job: string;

  constructor(job: string) {
    this.#job = job;
  }

  get offer(): Offer | undefined {
    return this.list.find(({ id }) => id === this.id);
  }

  read(): Promise<boolean> {
    return this.act(async () => {
      await this.#read();
      if (this.id === "" && this.list[0] !== undefined) this.id = this.list[0].id;
      await this.#readAbout();
      this.isRead = true;
    });
  }

  look(id: string): Promise<boolean> {
    return this.act(async () => {
      this.id = id;
      this.about = null;
      await this.#readAbout();
    });
  }

  /** Draft an offer from a walk and write its papers: everything that stands between a price and what is sent. */
  make(walk: string, wanted: Wanted): Promise<boolean> {
    return this.act(async () => {
      await sendFirst(walk);
      const job = (await jobs.readOne(this.#job))?.officeId ?? "";
      const header = { "Idempotency-Key": crypto.randomUUID() };
      const body = { ...wanted, walk_id: walk } as Schemas["OfferGiven"];
      const made = good(await office.POST("/api/jobs/{id}/offers", { params: { path: { id: job }, header }, body }));
      await this.#taken(made);
      await this.#papers(made);
    });
  }

  /** Change how a draft is written, and write it again. */
  write(offer: Offer, wanted: Partial<Wanted>): Promise<boolean> {
    return this.act(async () => {
      await sendFirst(offer.walk_id);
      const isChanged = Object.keys(wanted).length > 0;
      const params = { path: { id: offer.id }, header: seen(offer.version) };
      const now = isChanged ? good(await office.PATCH("/api/offers/{id}", { params, body: wanted })) : offer;
      await this.#papers(now);
    });
  }

  /** Send an offer and make the link to it. */
  send(offer: Offer): Promise<boolean> {
    return this.act(async () => {
      const params = { path: { id: offer.id }, header: seen(offer.version) };
      await office.POST("/api/offers/{id}/send", { params });
      await this.#newLink(offer.id, "accept");
      await this.#taken(offer);
    });
  }

  /** Send an offer as a file: from now on it stays as it is; no link is made. */
  sendAsFile(offer: Offer): Promise<boolean> {
    return this.#step(offer, "send");
  }

  newLink(offer: Offer, scope: "read" | "accept"): Promise<boolean> {
    return this.act(async () => {
      await this.#newLink(offer.id, scope);
      await this.#readAbout();
    });
  }

  endLink(offer: Offer, link: string): Promise<boolean> {
    return this.act(async () => {
      await office.DELETE("/api/offers/{id}/links/{link_id}", { params: { path: { id: offer.id, link_id: link } } });
      // It may be the one that is still shown to be copied.
      this.link = null;
      await this.#readAbout();
    });
  }

  revise(offer: Offer): Promise<boolean> {
    return this.act(async () => {
      const header = { "Idempotency-Key": crypto.randomUUID() };
      const params = { path: { id: offer.id }, header };
      const made = good(await office.POST("/api/offers/{id}/revise", { params }));
      await this.#taken(made);
      await this.#papers(made);
    });
  }

  takeBack(offer: Offer): Promise<boolean> {
    return this.#step(offer, "withdraw");
  }

  bringBack(offer: Offer): Promise<boolean> {
    return this.#step(offer, "bring-back");
  }

  reopen(offer: Offer): Promise<boolean> {
    return this.#step(offer, "reopen");
  }

  decline(offer: Offer, because: string): Promise<boolean> {
    return this.act(async () => {
      const params = { path: { id: offer.id }, header: seen(offer.version) };
      await office.POST("/api/offers/{id}/decline", { params, body: { because } });
      await this.#taken(offer);
    });
  }

  acceptOnPaper(offer: Offer, given: Schemas["AcceptanceGiven"]): Promise<boolean> {
    return this.act(async () => {
      await office.PUT("/api/offers/{id}/acceptance", { params: { path: { id: offer.id } }, body: given });
      await this.#taken(offer);
    });
  }

  answer(question: OfferQuestion, text: string): Promise<boolean> {
    return this.act(async () => {
      const path = { id: question.offer_id, question_id: question.id };
      const params = { path, header: seen(question.version) };
      await office.PUT("/api/offers/{id}/questions/{question_id}/answer", { params, body: { answer: text } });
      await this.#readAbout();
    });
  }

  /** One thing at a time; what went wrong is kept to be shown. */
  async act(deed: () => Promise<void>): Promise<boolean> {
    this.isBusy = true;
    this.trouble = null;
    try {
      await deed();
      return true;
    } catch (error) {
      this.trouble = error;
      return false;
    } finally {
      this.isBusy = false;
      this.progress = null;
    }
  }

  #step(offer: Offer, step: "send" | "withdraw" | "bring-back" | "reopen"): Promise<boolean> {
    return this.act(async () => {
      const params = { path: { id: offer.id }, header: seen(offer.version) };
      await office.POST(`/api/offers/{id}/${step}`, { params });
      await this.#taken(offer);
    });
  }

  async #papers(offer: Offer): Promise<void> {
    this.progress = 0;
    const params = { path: { id: offer.id }, header: seen(offer.version) };
    const task = good(await office.POST("/api/offers/{id}/papers", { params }));
    await finished(task, (share) => {
      this.progress = share;
    });
    await this.#taken(offer);
  }

  /** Read again, and look at this one. */
  async #taken(offer: Offer): Promise<void> {
    await this.#read();
    this.id = offer.id;
    await this.#readAbout();
  }

  async #read(): Promise<void> {
    const job = jobs.get(this.#job)?.officeId ?? null;
    if (job === null) return;
    const page = good(await office.GET("/api/jobs/{id}/offers", { params: { path: { id: job } } }));
    this.list = page.items;
  }

  async #readAbout(): Promise<void> {
    const { offer } = this;
    if (offer === undefined) return;
    const params = { path: { id: offer.id } };
    const isAccepted = offer.standing === "accepted";
    const [files, links, questions, acceptance, seal] = await Promise.all([
      office.GET("/api/offers/{id}/files", { params }).then(good),
      office.GET("/api/offers/{id}/links", { params }).then(good),
      office.GET("/api/offers/{id}/questions", { params }).then(good),
      isAccepted ? office.GET("/api/offers/{id}/acceptance", { params }).then(good) : null,
      isAccepted ? office.GET("/api/offers/{id}/seal", { params }).then(good) : null,
    ]);
    this.about = { files: files.map(({ name }) => name), links, questions, acceptance, seal };
  }

  async #newLink(offer: string, scope: "read" | "accept"): Promise<void> {
    const made = good(
      await office.POST("/api/offers/{id}/links", { params: { path: { id: offer } }, body: { scope } }),
    );
    this.link = { offer, address: new URL(made.path, location.origin).href };
  }
}

function seen(version: number): { "if-match": string } {
  return { "if-match": `"${version}"` };
}

/** Where a file of an offer is. */
export function paperAt(offer: string, name: string): string {
  return `/api/offers/${offer}/file?name=${encodeURIComponent(name)}`;
}

/** The bytes of a file of an offer. */
export async function paper(offer: string, name: string): Promise<Uint8Array> {
  return new Uint8Array(await (await send(paperAt(offer, name))).arrayBuffer());
}
