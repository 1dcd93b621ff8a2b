/** What is typed into a draft of an offer, kept in this window until the papers are written with it. */
import { type ByHand, begun, type Choices, type SetByHand } from "../model/by_hand";
import { type Offer, paper } from "./offers.svelte";

const CHOICES = "choices.json";

export class Draft {
  readonly choices: Choices;
  hand: ByHand;
  readonly #key: string;

  constructor(offer: Offer, choices: Choices) {
    this.choices = choices;
    this.#key = `courtwright offer ${offer.id}`;
    const fresh = begun(choices, setOf(offer));
    this.hand = $state({ ...fresh, ...this.#kept(fresh) });
  }

  keep(): void {
    sessionStorage.setItem(this.#key, JSON.stringify(this.hand));
  }

  done(): void {
    sessionStorage.removeItem(this.#key);
  }

  /** What was typed here before, as far as it can still be chosen. */
  #kept(fresh: ByHand): Partial<ByHand> {
    const text = sessionStorage.getItem(this.#key);
    if (text === null) return {};
    const before = JSON.parse(text) as ByHand;
    const options = Object.entries(fresh.options).map(([pad, of]) => [
      pad,
      Object.fromEntries(Object.entries(of).map(([id, one]) => [id, before.options[pad]?.[id] ?? one])),
    ]);
    return { ...before, options: Object.fromEntries(options) };
  }
}

function setOf({ options, reasons, prices, texts }: Offer): SetByHand {
  return { options, reasons, prices, texts: (texts ?? null) as Required<SetByHand>["texts"] };
}

/** Read what can be chosen in an offer whose papers are made. */
export async function draftOf(offer: Offer): Promise<Draft> {
  const bytes = await paper(offer.id, CHOICES);
  return new Draft(offer, JSON.parse(new TextDecoder().decode(bytes)) as Choices);
}
