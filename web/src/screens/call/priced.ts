/** What a call is told of a price: each option that may be had, with a range in round figures. For the estimator. */

export interface PricedOption {
  pad: string;
  id: string;
  title: string;
  state: string;
  low: number;
  high: number;
  currency: string;
}

interface Price {
  currency: string;
  pads: { id: string; options: { id: string; price: { p10: number; p90: number } }[] }[];
}

interface Verdict {
  pads: { id: string; recommended: string | null; options: { id: string; title: string; state: string }[] }[];
}

/** Nobody on the telephone needs more figures than this. */
const ROUND = 500;

/** The options of both answers, the advised one first, then those that stand, cheapest first. */
export function priced(price: unknown, verdict: unknown): PricedOption[] {
  const { currency, pads } = price as Price;
  return (verdict as Verdict).pads.flatMap((pad) => {
    const found = pads.find((one) => one.id === pad.id)?.options ?? [];
    const options = pad.options.flatMap((option) => {
      const cost = found.find((one) => one.id === option.id);
      if (cost === undefined || option.state === "ruled out" || cost.price.p90 <= 0) return [];
      const low = Math.floor(cost.price.p10 / ROUND) * ROUND;
      const high = Math.ceil(cost.price.p90 / ROUND) * ROUND;
      return [{ pad: pad.id, id: option.id, title: option.title, state: option.state, low, high, currency }];
    });
    const rank = (option: PricedOption) => (option.id === pad.recommended ? 0 : option.state === "open" ? 1 : 2);
    return options.sort((one, other) => rank(one) - rank(other) || one.low - other.low);
  });
}
