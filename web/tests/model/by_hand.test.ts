import { describe, expect, it } from "vitest";
import {
  asked,
  begun,
  type Choices,
  canBeOffered,
  canStandAlone,
  lacks,
  onlyAdvised,
  wholeMoney,
} from "../../src/model/by_hand";

const option = (id: string, more = {}) => ({
  id,
  title: id.toUpperCase(),
  state: "open" as const,
  is_shown: true,
  firm_price: 12_500,
  because: [],
  ...more,
});
const choices: Choices = {
  currency: "USD",
  pads: [
    {
      id: "upper",
      recommended: "resurface",
      options: [
        option("resurface"),
        option("overlay", { state: "open if", is_shown: false, because: ["nobody sounded it"] }),
        option("mat", { state: "ruled out", is_shown: false, because: ["it heaves"] }),
        option("retire", { firm_price: null, is_shown: false }),
      ],
    },
    { id: "lower", recommended: null, options: [option("resurface")] },
  ],
};

describe("what is set by hand", () => {
  it("is nothing when nothing was touched", () => {
    const hand = begun(choices, {});
    expect(asked(choices, hand)).toEqual({ options: null, reasons: null, prices: null, texts: null });
    expect(lacks(choices, hand)).toEqual([]);
  });

  it("comes back as it was sent", () => {
    const hand = begun(choices, {});
    const { upper } = hand.options;
    if (upper?.overlay === undefined || upper.resurface === undefined) throw new Error("both can be offered");
    Object.assign(upper.overlay, {
      isShown: true,
      reason: " The owner asked. ",
      price: "$31,900",
      because: "Plant nearby",
    });
    upper.resurface.note = "The same blue as before.";
    hand.closing = "Ask for Rosa.";
    const sent = asked(choices, hand);
    expect(sent).toEqual({
      options: { upper: ["resurface", "overlay"] },
      reasons: { upper: { overlay: "The owner asked." } },
      prices: { upper: { overlay: { firm_price: 31_900, because: "Plant nearby" } } },
      texts: {
        greeting: "",
        note: "",
        closing: "Ask for Rosa.",
        options: { upper: { resurface: "The same blue as before." } },
      },
    });
    expect(asked(choices, begun(choices, sent))).toEqual(sent);
  });

  it("asks for a reason where a choice differs, for a price that is one, and for why it is set", () => {
    const hand = begun(choices, {});
    const { upper, lower } = hand.options;
    if (upper?.overlay === undefined || lower?.resurface === undefined) throw new Error("both can be offered");
    Object.assign(upper.overlay, { isShown: true, price: "12.5 k" });
    lower.resurface.isShown = false;
    expect(lacks(choices, hand)).toEqual([
      { what: "none", pad: "lower" },
      { what: "reason", pad: "upper", title: "OVERLAY" },
      { what: "price", pad: "upper", title: "OVERLAY" },
      { what: "because", pad: "upper", title: "OVERLAY" },
      { what: "reason", pad: "lower", title: "RESURFACE" },
    ]);
  });

  it("leaves out a price and a note of what is not shown", () => {
    const hand = begun(choices, {});
    const one = hand.options.upper?.resurface;
    if (one === undefined) throw new Error("it can be offered");
    Object.assign(one, { isShown: false, reason: "Not here", price: "1", because: "x", note: "y" });
    expect(asked(choices, hand)).toMatchObject({ options: { upper: [] }, prices: null, texts: null });
  });

  it("is what we advise alone, at one press", () => {
    const hand = begun(choices, { options: { upper: ["resurface", "overlay"] } });
    const [upper, lower] = choices.pads;
    if (upper === undefined || lower === undefined) throw new Error("there are two pads");
    expect(canStandAlone(upper, hand)).toBe(true);
    onlyAdvised(upper, hand, "It is enough.");
    expect(canStandAlone(upper, hand)).toBe(false);
    expect(canStandAlone(lower, hand)).toBe(false);
    // What a paper would not show by itself needs no reason to be left out.
    expect(asked(choices, hand)).toMatchObject({ options: null, reasons: null });
    expect(lacks(choices, hand)).toEqual([]);
  });

  it("never offers what is ruled out or has no price", () => {
    expect(choices.pads[0]?.options.map(canBeOffered)).toEqual([true, true, false, false]);
    expect(Object.keys(begun(choices, { options: { upper: ["mat"] } }).options.upper ?? {})).not.toContain("mat");
  });
});

describe("a whole amount", () => {
  it.each([
    ["12500", 12_500],
    ["$12,500", 12_500],
    [" 12 500 ", 12_500],
    ["1,250,000", 1_250_000],
    ["12.500", null],
    ["12,50", null],
    ["0", null],
    ["", null],
    ["-5", null],
    ["999,999,999", null],
  ])("reads %j", (typed, amount) => expect(wholeMoney(typed)).toBe(amount));
});
