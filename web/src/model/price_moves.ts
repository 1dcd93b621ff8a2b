/** How the prices of all options moved between two answers, and whether their ends came together. */
import type { OptionPrice, PriceSays, VerdictSays } from "./judged";

interface Move {
  readonly pad: string;
  readonly option: string;
  /** Change of the likely price. [money] */
  readonly likely: number;
  /** Change of what lies between the ends. [money] */
  readonly between: number;
}
export interface Shift {
  readonly moved: readonly Move[];
  /** Options by pad and id that have a price in one of the answers only. */
  readonly came: readonly string[];
  readonly went: readonly string[];
}

/** Smaller changes are not told: nobody prices closer. [money] */
const LEAST = 50;

export function shifts(before: PriceSays, after: PriceSays): Shift {
  const [was, is] = [before, after].map(byName) as [Map<string, OptionPrice>, Map<string, OptionPrice>];
  const moved = [...is].flatMap(([name, { price }]): Move[] => {
    const one = was.get(name)?.price;
    if (one === undefined) return [];
    const likely = price.p50 - one.p50;
    const between = price.p90 - price.p10 - (one.p90 - one.p10);
    if (Math.abs(likely) < LEAST && Math.abs(between) < LEAST) return [];
    const [pad, option] = split(name);
    return [{ pad, option, likely, between }];
  });
  return {
    moved,
    came: [...is.keys()].filter((name) => !was.has(name)),
    went: [...was.keys()].filter((name) => !is.has(name)),
  };
}

/** The title of an option that is named by pad and id. */
export function titleOf(verdict: VerdictSays | null, name: string): string {
  const [pad, id] = split(name);
  return verdict?.pads.find((one) => one.id === pad)?.options.find((one) => one.id === id)?.title ?? id;
}

const BETWEEN = "\n";

export function nameOf(pad: string, option: string): string {
  return `${pad}${BETWEEN}${option}`;
}

function split(name: string): [pad: string, option: string] {
  const [pad = "", option = ""] = name.split(BETWEEN);
  return [pad, option];
}

function byName(price: PriceSays): Map<string, OptionPrice> {
  return new Map(price.pads.flatMap(({ id, options }) => options.map((option) => [nameOf(id, option.id), option])));
}
