/** What the estimator decides by hand in an offer: which options it shows and why, at which price, in which words. */

/** What can be chosen on a pad, as the choices.json of an offer holds it. */
export interface Choice {
  readonly id: string;
  readonly title: string;
  readonly state: "open" | "open if" | "ruled out";
  /** By itself. */
  readonly is_shown: boolean;
  /** As reckoned; whole. [money] */
  readonly firm_price: number | null;
  readonly because: readonly string[];
}
export interface Choices {
  readonly currency: string;
  readonly pads: readonly PadChoices[];
}
export interface PadChoices {
  readonly id: string;
  /** What we advise; null where we advise nothing. */
  readonly recommended: string | null;
  readonly options: readonly Choice[];
}

type ByOption<T> = Record<string, Record<string, T>>;

/** The part of an offer's request that is set by hand. */
export interface SetByHand {
  options?: Record<string, string[]> | null;
  reasons?: ByOption<string> | null;
  prices?: ByOption<{ firm_price: number; because: string }> | null;
  texts?: { greeting: string; note: string; closing: string; options?: ByOption<string> } | null;
}

/** One option as it is typed. */
export interface OptionByHand {
  isShown: boolean;
  /** Why it is shown or held back against what a paper would do by itself. */
  reason: string;
  price: string;
  because: string;
  note: string;
}
export interface ByHand {
  options: ByOption<OptionByHand>;
  greeting: string;
  note: string;
  closing: string;
}

/** What still lacks before it can be written. */
export type Lack =
  | { readonly what: "reason" | "price" | "because"; readonly pad: string; readonly title: string }
  | { readonly what: "none"; readonly pad: string };

/** Whether an option can be offered: an answer to a fact opens one that is ruled out, a wish does not. */
export function canBeOffered(choice: Choice): boolean {
  return choice.state !== "ruled out" && choice.firm_price !== null;
}

/** The sheet to type on, as the offer stands. */
export function begun(choices: Choices, set: SetByHand): ByHand {
  const of = (pad: string, choice: Choice): OptionByHand => {
    const price = set.prices?.[pad]?.[choice.id];
    return {
      isShown: set.options?.[pad]?.includes(choice.id) ?? choice.is_shown,
      reason: set.reasons?.[pad]?.[choice.id] ?? "",
      price: price === undefined ? "" : String(price.firm_price),
      because: price?.because ?? "",
      note: set.texts?.options?.[pad]?.[choice.id] ?? "",
    };
  };
  return {
    options: Object.fromEntries(
      choices.pads.map((pad) => [
        pad.id,
        Object.fromEntries(pad.options.filter(canBeOffered).map((choice) => [choice.id, of(pad.id, choice)])),
      ]),
    ),
    greeting: set.texts?.greeting ?? "",
    note: set.texts?.note ?? "",
    closing: set.texts?.closing ?? "",
  };
}

/** Every option that can be offered, with what is typed about it. */
function typed(choices: Choices, hand: ByHand): { pad: string; choice: Choice; of: OptionByHand }[] {
  return choices.pads.flatMap((pad) =>
    pad.options.flatMap((choice) => {
      const of = hand.options[pad.id]?.[choice.id];
      return of === undefined ? [] : [{ pad: pad.id, choice, of }];
    }),
  );
}

const isOther = ({ choice, of }: { choice: Choice; of: OptionByHand }) => of.isShown !== choice.is_shown;
const isPriced = ({ of }: { of: OptionByHand }) => of.isShown && of.price.trim() !== "";

export function lacks(choices: Choices, hand: ByHand): Lack[] {
  const all = typed(choices, hand);
  const none = choices.pads
    .filter(({ id }) => all.some(({ pad }) => pad === id) && !all.some(({ pad, of }) => pad === id && of.isShown))
    .map(({ id }) => ({ what: "none" as const, pad: id }));
  const rest = all.flatMap((one): Lack[] => {
    const at = { pad: one.pad, title: one.choice.title };
    const found: Lack[] = [];
    if (isOther(one) && one.of.reason.trim() === "") found.push({ what: "reason", ...at });
    if (isPriced(one) && wholeMoney(one.of.price) === null) found.push({ what: "price", ...at });
    if (isPriced(one) && one.of.because.trim() === "") found.push({ what: "because", ...at });
    return found;
  });
  return [...none, ...rest];
}

/** Whether the advised option of a pad can be offered and is not the only one that is. */
export function canStandAlone(pad: PadChoices, hand: ByHand): boolean {
  const own = hand.options[pad.id] ?? {};
  const isOtherShown = Object.entries(own).some(([id, { isShown }]) => isShown && id !== pad.recommended);
  return pad.recommended !== null && own[pad.recommended] !== undefined && isOtherShown;
}

/** Offer what we advise on a pad and nothing else; a reason that was typed stays. */
export function onlyAdvised(pad: PadChoices, hand: ByHand, reason: string): void {
  for (const [id, one] of Object.entries(hand.options[pad.id] ?? {})) {
    const isHeld = one.isShown && id !== pad.recommended;
    one.isShown = id === pad.recommended;
    if (isHeld && one.reason.trim() === "") one.reason = reason;
  }
}

/** What to ask the office for; what is as usual is left to it. */
export function asked(choices: Choices, hand: ByHand): Required<SetByHand> {
  const all = typed(choices, hand);
  const others = all.filter(isOther);
  const pads = new Set(others.map(({ pad }) => pad));
  const options = Object.fromEntries(
    [...pads].map((pad) => [
      pad,
      all.filter((one) => one.pad === pad && one.of.isShown).map(({ choice }) => choice.id),
    ]),
  );
  const reasons = table(others, ({ of }) => of.reason.trim());
  const prices = table(all.filter(isPriced), ({ of }) => ({
    firm_price: wholeMoney(of.price) ?? 0,
    because: of.because.trim(),
  }));
  const notes = table(
    all.filter(({ of }) => of.isShown && of.note.trim() !== ""),
    ({ of }) => of.note.trim(),
  );
  const [greeting, note, closing] = [hand.greeting.trim(), hand.note.trim(), hand.closing.trim()];
  const isSilent = greeting + note + closing === "" && notes === null;
  return {
    options: pads.size === 0 ? null : options,
    reasons,
    prices,
    texts: isSilent ? null : { greeting, note, closing, options: notes ?? {} },
  };
}

function table<One extends { pad: string; choice: Choice }, T>(
  all: readonly One[],
  value: (one: One) => T,
): ByOption<T> | null {
  const found: ByOption<T> = {};
  for (const one of all) found[one.pad] = { ...found[one.pad], [one.choice.id]: value(one) };
  return all.length === 0 ? null : found;
}

/** A whole amount as it is typed, with or without its sign and the marks between thousands; null for anything else. [money] */
export function wholeMoney(typed: string): number | null {
  const bare = typed.replace(/[\s\u00a0\u202f$€£]/gu, "");
  if (!/^\d{1,9}$|^\d{1,3}(,\d{3}){1,2}$/.test(bare)) return null;
  const amount = Number(bare.replaceAll(",", ""));
  return amount >= 1 && amount <= 100_000_000 ? amount : null;
}
