/** A pad of two numbers with its courts: printed sizes, courts on the pad, what was taped stays as typed. */
import { describe, expect, it } from "vitest";
import {
  battery,
  isUsual,
  type Size,
  SPORTS,
  sidesOf,
  sizeOf,
  sportOf,
  sportsInOrder,
  tapedOutline,
  usualOutline,
  usualSize,
} from "../../src/model/new_site";

const FT = 0.3048;
const sport = (id: string) => {
  const found = sportOf(id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
};

/** Corners of a placed court on the pad. */
function corners(id: string, at: readonly [number, number], turned: number): [number, number][] {
  const { width_m, length_m } = sport(id);
  const [half, far] = turned === 90 ? [length_m / 2, width_m / 2] : [width_m / 2, length_m / 2];
  return [-1, 1].flatMap((i) => [-1, 1].map((j) => [at[0] + i * half, at[1] + j * far] as [number, number]));
}

describe("published sizes", () => {
  // ITF Rules of Tennis 2026, rule 1: 78 ft by 36 ft for doubles.
  it("a tennis court is 78 ft by 36 ft", () => {
    expect(sport("tennis").length_m).toBeCloseTo(78 * FT, 6);
    expect(sport("tennis").width_m).toBeCloseTo(36 * FT, 6);
  });

  it("the usual pad of one tennis court is 60 ft by 120 ft", () => {
    const { across_m, along_m } = usualSize(sport("tennis"), 1);
    expect(across_m).toBeCloseTo(60 * FT, 6);
    expect(along_m).toBeCloseTo(120 * FT, 6);
  });

  it("each further tennis court adds its 36 ft and 12 ft between", () => {
    expect(usualSize(sport("tennis"), 3).across_m).toBeCloseTo((60 + 2 * 48) * FT, 6);
  });
});

describe("courts on a pad", () => {
  const cases = SPORTS.flatMap((one) => [1, 2, 3, 4, 6].map((count) => [one.id, count] as const));

  it.each(cases)(
    "on its usual pad, %s × %i has the usual room, all lines on the pad and none on a neighbour",
    (id, count) => {
      const size = usualSize(sport(id), count);
      const { courts, fits, hasUsualRoom } = battery(sport(id), count, size);
      expect([courts.length, fits, hasUsualRoom]).toEqual([count, true, true]);
      for (const court of courts)
        for (const [x, y] of corners(id, court.centre_m, court.turned_deg)) {
          expect(x).toBeGreaterThan(-1e-9);
          expect(x).toBeLessThan(size.across_m + 1e-9);
          expect(y).toBeGreaterThan(-1e-9);
          expect(y).toBeLessThan(size.along_m + 1e-9);
        }
      const apart = courts.slice(1).map((court, i) => court.centre_m[0] - (courts[i]?.centre_m[0] ?? 0));
      for (const step of apart) expect(step).toBeGreaterThan(sport(id).width_m);
    },
  );

  it("three tennis courts on 156 ft by 120 ft stand 48 ft apart in the middle of the pad", () => {
    const { courts } = battery(sport("tennis"), 3, { across_m: 156 * FT, along_m: 120 * FT });
    // Middles at 30, 78 and 126 ft: half the pad, and 36 + 12 ft to either side.
    expect(courts.map(({ centre_m }) => Math.round((centre_m[0] / FT) * 100) / 100)).toEqual([30, 78, 126]);
    for (const { centre_m } of courts) expect(centre_m[1] / FT).toBeCloseTo(60, 6);
  });

  it("a pad that was taped the other way round turns its courts", () => {
    const { courts, fits } = battery(sport("tennis"), 1, { across_m: 120 * FT, along_m: 60 * FT });
    expect(fits).toBe(true);
    expect(courts[0]?.turned_deg).toBe(90);
  });

  it("four pickleball courts on a tennis pad lie two by two", () => {
    const { courts, fits } = battery(sport("pickleball"), 4, { across_m: 60 * FT, along_m: 120 * FT });
    expect(fits).toBe(true);
    expect(new Set(courts.map(({ centre_m }) => centre_m[0].toFixed(3))).size).toBe(2);
    expect(new Set(courts.map(({ centre_m }) => centre_m[1].toFixed(3))).size).toBe(2);
  });

  it("courts closer than is usual fit and say so; more than a pad takes are told not to fit", () => {
    const tight: Size = { across_m: 100 * FT, along_m: 120 * FT };
    expect(battery(sport("tennis"), 2, tight)).toMatchObject({ fits: true, hasUsualRoom: false });
    expect(battery(sport("tennis"), 2, { across_m: 60 * FT, along_m: 90 * FT }).fits).toBe(false);
  });
});

describe("what was typed", () => {
  it("stands as typed; a bare number says its unit", () => {
    expect(tapedOutline("60", `120' 6"`, "us")).toEqual([
      [0, 0],
      ["60 ft", 0],
      ["60 ft", `120' 6"`],
      [0, `120' 6"`],
    ]);
    expect(tapedOutline("18.3", "36.6", "metric")[2]).toEqual(["18.3 m", "36.6 m"]);
  });

  it("is known from the usual size, which nobody taped", () => {
    expect(isUsual(usualOutline(usualSize(sport("tennis"), 1)))).toBe(true);
    expect(isUsual(tapedOutline("60", "120", "us"))).toBe(false);
    expect(isUsual(tapedOutline("18.29", "36.58", "metric"))).toBe(false);
    expect(isUsual(null)).toBe(false);
  });

  it("gives its two sides back; an outline of another shape has none", () => {
    expect(sidesOf(tapedOutline("60", "120", "us"))).toEqual(["60 ft", "120 ft"]);
    expect(
      sidesOf([
        [0, 0],
        [1, 0],
        [0, 1],
      ]),
    ).toBeNull();
    expect(
      sidesOf([
        [0, 0],
        [9, 1],
        [9, 5],
        [0, 5],
      ]),
    ).toBeNull();
  });

  it.each([
    ["", "120"],
    ["sixty", "120"],
    ["0", "120"],
  ])("%j by %j is no size", (across, along) => {
    expect(sizeOf(across, along, "us")).toBeNull();
  });
});

it("every sport can be chosen, tennis first", () => {
  expect(sportsInOrder.map(({ id }) => id).sort()).toEqual(SPORTS.map(({ id }) => id).sort());
  expect(sportsInOrder[0]?.id).toBe("tennis");
});
