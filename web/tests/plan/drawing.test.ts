import { describe, expect, it } from "vitest";
import { Ink } from "../../src/plan/ink";
import { keyOf } from "../../src/plan/key";
import { drawnWidth, factorOf, openEnds, proposalDashes } from "../../src/plan/layers/cracks";
import { barLength } from "../../src/plan/layers/margin";
import { tapsOn } from "../../src/plan/layers/repairs";
import { dashesOf } from "../../src/plan/layers/water";
import { Nearby } from "../../src/plan/nearby";
import { picked } from "../../src/plan/picking";
import { told } from "../../src/plan/told";
import { type Around, type Placed, placed, type Word } from "../../src/plan/words";
import { line, mark, point, tennis } from "./specimens";

/** A sheet of 5 cm a pixel with 4 px to the millimetre. */
const pen = { long: (metres: number) => metres / 0.05, mm: 4 };
const cracks = (...widths: number[]) =>
  new Map(widths.map((width, i) => [`${i}`, mark(`${i}`, "crack", line([0, i], [4, i]), { sizes_m: { width } })]));

describe("cracks", () => {
  it("are drawn as many times as wide as the widest allows: 1.2 mm of paper, 4.8 px", () => {
    // 25 mm is half a pixel: ten times is 5 px and too wide, five times is 2.5 px.
    expect(factorOf(cracks(0.025, 0.003), pen)).toBe(5);
    // 5 mm: a tenth of a pixel, twenty times is 2 px.
    expect(factorOf(cracks(0.005), pen)).toBe(20);
    expect(factorOf(cracks(0.4), pen)).toBe(1);
    expect(factorOf(new Map(), pen)).toBeNull();
  });

  it("are as wide as they are times the factor, and never too fine to be seen", () => {
    // 0.02 m is 0.4 px, five times 2 px, half a millimetre.
    expect(drawnWidth(0.02, 5, pen)).toBeCloseTo(0.5, 9);
    expect(drawnWidth(0.0001, 5, pen)).toBe(0.22);
    expect(drawnWidth(undefined, 5, pen)).toBe(0.22);
  });

  it("have open ends where they meet neither another crack nor the edge", () => {
    const content = tennis(
      mark("a", "crack", line([0.1, 5], [10, 5])),
      mark("b", "crack", line([10.2, 5], [10, 9])),
      mark("c", "joint", line([10, 9.1], [12, 12])),
    );
    const nearby = new Nearby();
    nearby.take(content.marks);
    const ends = (id: string) =>
      openEnds(content.marks.get(id) ?? mark("", "", point(0, 0)), content.pad?.outline_m ?? [], nearby);
    expect(ends("a")).toEqual([]);
    expect(ends("b")).toEqual([[10, 9]]);
  });
});

describe("doubt", () => {
  it("breaks the line of a low spot the more, the less likely it is", () => {
    expect([undefined, 1, 0.7, 0.4, 0.1].map((one) => dashesOf(one)[0])).toEqual([undefined, undefined, 2.6, 1.3, 0.6]);
  });

  it("shortens the dashes of a proposal", () => {
    expect(proposalDashes(0.9)[0]).toBeGreaterThan(proposalDashes(0.2)[0] ?? Number.POSITIVE_INFINITY);
  });
});

describe("taps", () => {
  it("belong to the repair that they lie on", () => {
    const repair = mark("r", "old-repair", line([0, 0], [10, 0]), { sizes_m: { strip_width: 0.3 } });
    const taps = [
      mark("1", "sounding", point(3, 0.1)),
      mark("2", "sounding", point(3, 2)),
      mark("3", "sounding", point(9, -0.4)),
    ];
    expect(tapsOn(repair, taps).map(({ id }) => id)).toEqual(["1", "3"]);
  });
});

describe("words", () => {
  const word = (text: string, x: number, y: number, more: Partial<Word> = {}): Word => ({
    text,
    at: [x, y],
    weight: 1,
    ...more,
  });
  const wide = ({ text }: Word) => text.length * 8;
  function put(words: Word[], around: Around = {}): Placed[] {
    const steps = placed(words, [0, 0, 400, 300], wide, 20, 4, around);
    for (;;) {
      const step = steps.next();
      if (step.done) return step.value;
    }
  }

  it("never lie on each other; the weightiest stands nearest, and what finds no room is left out", () => {
    const all = put(Array.from({ length: 60 }, (_, i) => word("3/8 in", 200, 150, { weight: i })));
    expect(all.length).toBeGreaterThan(3);
    expect(all.length).toBeLessThan(60);
    expect(all[0]?.word.weight).toBe(59);
    for (const [i, a] of all.entries())
      for (const b of all.slice(i + 1))
        expect(Math.abs(a.middle - b.middle) >= 20 || Math.abs(a.left - b.left) >= wide(a.word)).toBe(true);
  });

  it("stay on the sheet", () => {
    for (const {
      left,
      middle,
      word: { text },
    } of put([word("at the edge", 399, 1), word("corner", 0, 300)])) {
      expect(left).toBeGreaterThanOrEqual(0);
      expect(left + text.length * 8).toBeLessThanOrEqual(400);
      expect(middle).toBeGreaterThanOrEqual(10);
    }
  });

  it("are left out at a thing that is small beside them", () => {
    expect(put([word("free, 516 sf", 200, 150, { room: 20 })])).toEqual([]);
    expect(put([word("free, 516 sf", 200, 150, { room: 90 })])).toHaveLength(1);
  });

  it("keep clear of ink, and wait until one comes nearer where there is nothing else", () => {
    const ink = new Ink([0, 0, 400, 300]);
    // A line to the right of the place, where words would stand first: they stand on its other side.
    ink.line([
      [230, 0],
      [230, 300],
    ]);
    const [free] = put([word("3/8 in", 200, 150)]);
    const [clear] = put([word("3/8 in", 200, 150)], { ink });
    expect(free?.left).toBeGreaterThan(200);
    expect((clear?.left ?? 400) + 48 <= 230 || (clear?.left ?? 0) >= 230).toBe(true);
    // Lines everywhere, 6 px from each other: only what must be read stands on them.
    for (let y = 0; y < 300; y += 6)
      ink.line([
        [0, y],
        [400, y],
      ]);
    const all = put([word("3/8 in", 200, 150), word("A", 100, 100, { weight: 92 })], { ink });
    expect(all.map((one) => one.word.text)).toEqual(["A"]);
  });

  it("on a dimension line stand on that line or nowhere", () => {
    const size = word("120' 0\"", 200, 280, { weight: 100, isClear: true, orAt: [[100, 280]] });
    expect(put([size])[0]?.left).toBe(200 - wide(size) / 2);
    expect(put([size], { taken: [[150, 260, 400, 300]] })[0]?.left).toBe(100 - wide(size) / 2);
    expect(put([size], { taken: [[0, 260, 400, 300]] })).toEqual([]);
  });

  it("are not cut off where what is seen ends", () => {
    const seen = [100, 50, 300, 250] as const;
    for (const { left, word: one } of put([word("inside", 296, 150), word("outside", 306, 150)], { seen })) {
      const right = left + wide(one);
      expect(one.text === "inside" ? right <= 300 : left >= 300 || right <= 100).toBe(true);
    }
  });

  it("are not crossed by the leader of another", () => {
    const all = put(Array.from({ length: 40 }, (_, i) => word("3/8 in", 190 + (i % 4) * 12, 150, { weight: i })));
    for (const { leader } of all)
      for (const { left, middle, word: one } of all)
        for (let share = 0.2; leader !== null && share < 0.9; share += 0.1) {
          const [[x0, y0], [x1, y1]] = leader;
          const [x, y] = [x0 + (x1 - x0) * share, y0 + (y1 - y0) * share];
          const isOn = x > left + 1 && x < left + wide(one) - 1 && Math.abs(y - middle) < 8;
          expect(isOn).toBe(false);
        }
  });

  it("have a leader where they stand aside", () => {
    const all = put(Array.from({ length: 40 }, () => word("3/8 in", 200, 150)));
    expect(all.some(({ leader }) => leader !== null)).toBe(true);
    expect(all[0]?.leader).toBeNull();
  });
});

describe("the scale bar", () => {
  it("is a round length of the reader's unit, at most 28 hundredths of the sheet", () => {
    expect(barLength(60, "metric")).toEqual({ metres: 10, parts: 2 });
    expect(barLength(60, "us")).toEqual({ metres: 50 * 0.3048, parts: 5 });
  });
});

describe("a touch", () => {
  const content = {
    ...tennis(mark("crack", "crack", line([2, 2], [6, 2])), mark("probe", "probe", point(4, 2.1))),
    pieces: [
      {
        id: "held",
        outline_m: [
          [0, 0],
          [9, 0],
          [9, 9],
        ] as const,
        free: false,
        area_m2: 40,
      },
    ],
    stations: [{ id: "photo", letter: "A", at_m: [30, 2] as const }],
  };
  const nearby = new Nearby();
  nearby.take(content.marks);
  const touch = (x: number, y: number) => picked([x, y], 0.3, content, nearby);

  it("means a point before the line beneath it, a mark before the court", () => {
    expect(touch(4, 2)).toEqual({ kind: "mark", id: "probe" });
    expect(touch(2.5, 2.1)).toEqual({ kind: "mark", id: "crack" });
    expect(touch(30.1, 2)).toEqual({ kind: "station", id: "photo" });
    expect(touch(20, 12)).toEqual({ kind: "court", id: "court" });
    expect(touch(7, 5)).toBeNull();
  });
});

describe("a sheet in words", () => {
  const content = tennis(
    mark("a", "crack", line([0, 0], [3.048, 0]), { sizes_m: { width: 0.009525 }, properties: { filled: "sealant" } }),
    mark("b", "heave", point(6.096, 3.048), { sizes_m: { height: 0.0254 } }),
  );

  it("tells every mark: what, how large, where", () => {
    const english = told(content, { language: "en", units: "us" });
    expect(english[0]?.text).toBe("crack, 10 ft long, 3/8 in wide, sealant, at 5 ft across, 0 ft along");
    expect(english[1]).toEqual({
      picked: { kind: "mark", id: "b" },
      text: "heave, up 1 in, at 20 ft across, 10 ft along",
    });
    expect(told(content, { language: "es", units: "metric" })[0]?.text).toContain("grieta, 3.0 m de largo");
  });

  it("has a key of the signs that are on it and of no others", () => {
    const names = keyOf(content).map(({ text }) => text);
    expect(names).toEqual(["keyOutline", "keyLines", "keyCrack", "keyOpenEnd", "keyHeave"]);
    expect(keyOf({ pad: null, courts: [], marks: new Map() })).toEqual([]);
  });
});
