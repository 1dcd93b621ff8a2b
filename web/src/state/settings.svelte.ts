/** What a person set on this device: language, units, colours. Kept where it is there before the first picture. */
import { setLanguage } from "../api/office";
import { device } from "../strings/device";
import { inLanguage, type Language, type Shown, type Text } from "../strings/words";

type Colours = "day" | "dark" | "sun";
export type UnitSystem = "us" | "metric";

interface Kept {
  language: Language;
  units: UnitSystem;
  colours: Colours;
}

const NAME = "courtwright settings";

function kept(): Kept {
  const spanish = navigator.language.toLowerCase().startsWith("es");
  const first: Kept = { language: spanish ? "es" : "en", units: "us", colours: "day" };
  try {
    return { ...first, ...(JSON.parse(localStorage.getItem(NAME) ?? "{}") as Partial<Kept>) };
  } catch {
    return first;
  }
}

class Settings {
  #now = $state<Kept>(kept());

  constructor() {
    this.#show();
  }

  get language(): Language {
    return this.#now.language;
  }

  get units(): UnitSystem {
    return this.#now.units;
  }

  get colours(): Colours {
    return this.#now.colours;
  }

  change(values: Partial<Kept>): void {
    this.#now = { ...this.#now, ...values };
    localStorage.setItem(NAME, JSON.stringify(this.#now));
    this.#show();
  }

  #show(): void {
    document.documentElement.lang = this.#now.language;
    document.documentElement.dataset.colours = this.#now.colours;
    setLanguage(this.#now.language);
  }
}

export const settings = new Settings();

/** The side below which a screen is one of a phone, whatever it is pointed at with. [px] */
const PHONE = 600;
const isPhone = matchMedia("(pointer: coarse)").matches || Math.min(screen.width, screen.height) < PHONE;

/** A text in the language that is set. `{device}` is what one holds, or sits at. */
export function say(text: Text, shown: Shown = {}): string {
  const { language } = settings;
  return inLanguage(text, language, {
    device: inLanguage(isPhone ? device.phone : device.computer, language),
    ...shown,
  });
}

/** A count with its word: "1 crack", "3 cracks". `{n}` stands for the number. */
export function count(n: number, one: Text, many: Text): string {
  return say(n === 1 ? one : many, { n });
}
