/** Why a price moved: what differs between two answers of the office. Never a jump without its reason. */

interface Quantity {
  readonly item: string;
  readonly quantity: number;
  /** How it was reckoned, in words of the answer's language. */
  readonly formula: string;
}
interface PricedOption {
  readonly id: string;
  readonly quantities: readonly Quantity[];
  readonly price: { readonly p10: number; readonly p50: number; readonly p90: number };
}
export interface Priced {
  readonly currency: string;
  readonly pads: readonly { readonly id: string; readonly options: readonly PricedOption[] }[];
}
export interface Advised {
  readonly pads: readonly {
    readonly id: string;
    readonly recommended: string | null;
    readonly options: readonly { readonly id: string; readonly title: string }[];
    readonly measure_next: readonly {
      readonly fact: string;
      readonly how: string;
      readonly settles: readonly string[];
    }[];
  }[];
}

/** The advice for one pad with its price. */
export interface Band {
  readonly pad: string;
  /** Null when too little is known for an advice, or the advised option has no price. */
  readonly option: (PricedOption & { readonly title: string }) | null;
}

export function bands(verdict: Advised, price: Priced): Band[] {
  return verdict.pads.map(({ id, recommended, options }) => {
    const priced = price.pads.find((pad) => pad.id === id)?.options.find((option) => option.id === recommended);
    const title = options.find((option) => option.id === recommended)?.title ?? recommended ?? "";
    return { pad: id, option: priced === undefined ? null : { ...priced, title } };
  });
}

export type Change =
  | { readonly what: "advice"; readonly pad: string; readonly before: string; readonly after: string }
  | { readonly what: "band"; readonly pad: string; readonly before: number; readonly after: number }
  | { readonly what: "quantity"; readonly pad: string; readonly before: string; readonly after: string };

/** What moved between two sets of bands: another advice, else the price with every quantity that changed. */
export function changes(before: readonly Band[], after: readonly Band[]): Change[] {
  return after.flatMap(({ pad, option }): Change[] => {
    const was = before.find((band) => band.pad === pad)?.option;
    if (was === undefined || was === null || option === null) return [];
    if (was.id !== option.id) return [{ what: "advice", pad, before: was.title, after: option.title }];
    if (was.price.p50 === option.price.p50) return [];
    return [{ what: "band", pad, before: was.price.p50, after: option.price.p50 }, ...moved(pad, was, option)];
  });
}

/** Quantities that differ, each told as it was reckoned; an empty text where one has it and the other has not. */
function moved(pad: string, was: PricedOption, is: PricedOption): Change[] {
  const items = [...new Set([...was.quantities, ...is.quantities].map(({ item }) => item))];
  return items.flatMap((item): Change[] => {
    const [one, other] = [was, is].map(({ quantities }) => quantities.find((quantity) => quantity.item === item));
    if (one !== undefined && other !== undefined && one.quantity === other.quantity) return [];
    return [{ what: "quantity", pad, before: one?.formula ?? "", after: other?.formula ?? "" }];
  });
}
