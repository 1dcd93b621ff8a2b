import { describe, expect, it } from "vitest";
import {
  along,
  areaOf,
  beside,
  contains,
  inside,
  lengthOf,
  nearestOnLine,
  simplified,
  spread,
  strip,
  type XY,
} from "../../src/model/geometry";

const L: XY[] = [
  [0, 0],
  [4, 0],
  [4, 3],
];
// A C: its middle is not in it.
const C: XY[] = [
  [0, 0],
  [6, 0],
  [6, 1],
  [1, 1],
  [1, 5],
  [6, 5],
  [6, 6],
  [0, 6],
];

describe("lines", () => {
  it("are as long as their pieces", () => {
    expect(lengthOf(L)).toBe(7);
    expect(lengthOf([[1, 1]])).toBe(0);
  });

  it("have a point at each share of their length, and a way there", () => {
    expect(along(L, 0)).toEqual({ at: [0, 0], towards: [1, 0] });
    expect(along(L, 5 / 7)).toEqual({ at: [4, 1], towards: [0, 1] });
    expect(along(L, 1).at).toEqual([4, 3]);
  });

  it("have points evenly along them, in the middle of their shares", () => {
    // Seven metres in seven shares: at half a metre, one and a half, … round the corner.
    expect(spread(L, 7).map(({ at }) => at)).toEqual([
      [0.5, 0],
      [1.5, 0],
      [2.5, 0],
      [3.5, 0],
      [4, 0.5],
      [4, 1.5],
      [4, 2.5],
    ]);
    expect(
      spread(
        [
          [0, 0],
          [0, 0],
        ],
        3,
      ),
    ).toEqual([]);
  });

  it("have a nearest point to any place", () => {
    expect(nearestOnLine(L, [2, 1])).toEqual({ at: [2, 0], distance: 1, segment: 0 });
    expect(nearestOnLine(L, [9, 3])).toEqual({ at: [4, 3], distance: 5, segment: 1 });
  });

  it("make a strip of a width: a straight one has length times width", () => {
    // 5 m by 0.3 m.
    expect(
      areaOf(
        strip(
          [
            [0, 0],
            [3, 4],
          ],
          0.3,
        ),
      ),
    ).toBeCloseTo(1.5, 9);
    expect(
      beside(
        [
          [0, 0],
          [4, 0],
          [4, 4],
        ],
        1,
      ),
    ).toEqual([
      [0, 1],
      [3, 1],
      [3, 4],
    ]);
  });

  it("lose only points that leave them by less than the tolerance", () => {
    const wave: XY[] = Array.from({ length: 200 }, (_, i) => [i / 10, Math.sin(i / 10)]);
    const fewer = simplified(wave, 0.05);
    expect(fewer.length).toBeLessThan(40);
    for (const at of wave) expect(nearestOnLine(fewer, at).distance).toBeLessThanOrEqual(0.05);
    expect([fewer[0], fewer.at(-1)]).toEqual([wave[0], wave.at(-1)]);
  });
});

describe("areas", () => {
  it("hold what is in them", () => {
    expect(contains(C, [0.5, 3])).toBe(true);
    expect(contains(C, [3, 3])).toBe(false);
  });

  it("have a point inside, whatever their shape", () => {
    expect(contains(C, inside(C))).toBe(true);
  });
});
