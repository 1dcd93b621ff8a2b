/** The offer of the link that was followed: opened, read, asked about, answered. Nothing of it is kept on the device. */
import { send, setLanguage, setWord } from "../../../api/office";
import { NotReached, Problem } from "../../../api/problem";
import type { components } from "../../../api/schema";
import { type Chosen, type OfferSays, saysOf } from "../../../model/offered";
import { inLanguage, type Language, type Shown, type Text } from "../../../strings/words";

export type OfferShown = components["schemas"]["OfferShownOut"];
type Stands = "opening" | "open" | "closed" | "away";

class Owner {
  stands = $state<Stands>("opening");
  shown = $state.raw<OfferShown | null>(null);
  language = $state<Language>(navigator.language.toLowerCase().startsWith("es") ? "es" : "en");
  isBusy = $state(false);
  trouble = $state.raw<unknown>(null);
  /** What the last act that went wrong was, so that it is told beside it. */
  troubledBy = $state("");

  get says(): OfferSays | null {
    return this.shown === null ? null : saysOf(this.shown.says);
  }

  say(text: Text, shown: Shown = {}): string {
    return inLanguage(text, this.language, shown);
  }

  speak(language: Language): void {
    this.language = language;
    document.documentElement.lang = language;
    setLanguage(language);
  }

  /** Come in by the token behind `#`, which then leaves the address; or by the cookie of the last time. */
  async open(): Promise<void> {
    this.stands = "opening";
    this.speak(this.language);
    const token = location.hash.slice(1);
    try {
      const entered =
        token === "" ? await send("/api/customer/session") : await send("/api/customer/session", posted({ token }));
      setWord((await entered.json()).csrf_token);
      if (token !== "") history.replaceState(null, "", location.pathname);
      await this.look();
      if (this.says !== null) this.speak(this.says.language);
      this.stands = "open";
    } catch (error) {
      if (error instanceof NotReached) this.stands = "away";
      else this.stands = "closed";
    }
  }

  /** Read the offer again: an answer, or a paper, may have come. */
  async look(): Promise<void> {
    this.shown = await (await send("/api/customer/offer")).json();
  }

  ask(text: string): Promise<boolean> {
    return this.#act("ask", async () => {
      await send("/api/customer/questions", posted({ text }));
      await this.look();
    });
  }

  accept(options: Chosen, name: string): Promise<boolean> {
    return this.#act("accept", async () => {
      const given = { options, name, consent: this.shown?.consent ?? "" };
      this.shown = await (await send("/api/customer/accept", posted(given))).json();
    });
  }

  decline(because: string): Promise<boolean> {
    return this.#act("decline", async () => {
      this.shown = await (await send("/api/customer/decline", posted({ because }))).json();
    });
  }

  async #act(name: string, act: () => Promise<void>): Promise<boolean> {
    this.isBusy = true;
    this.trouble = null;
    this.troubledBy = name;
    try {
      await act();
      return true;
    } catch (error) {
      if (error instanceof Problem && error.status === 401) this.stands = "closed";
      this.trouble = error;
      return false;
    } finally {
      this.isBusy = false;
    }
  }
}

function posted(body: object): RequestInit {
  return { method: "POST", body: JSON.stringify(body), headers: { "Content-Type": "application/json" } };
}

export const owner = new Owner();

/** Where a file of the offer is. */
export function fileAt(name: string): string {
  return `/api/customer/file?name=${encodeURIComponent(name)}`;
}
