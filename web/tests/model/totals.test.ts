/** Totals per court: drawn and counted apart, nothing counted twice, a mark across two courts on each with its part. */
import { describe, expect, it } from "vitest";
import type { Court, Mark, Tally } from "../../src/model/document";
import {
  areaOfPlace,
  beyondMarks,
  courtUnder,
  type KindTotal,
  type OnPad,
  squareMetres,
  totals,
} from "../../src/model/totals";

const FT = 0.3048;
const UNITS = { walk: "us", marks: "us" } as const;

/** Two tennis courts side by side on 108 ft by 120 ft: the line between them is x = 54 ft. */
const COURTS: [string, Court][] = [
  ["c1", { id: "1", sport: "tennis", centre: [30, 60] }],
  ["c2", { id: "2", sport: "tennis", centre: [78, 60] }],
];
const crack = (points: [number, number][], more = {}): Mark => ({
  mark: "crack",
  geometry: { type: "LineString", coordinates: points },
  ...more,
});
const pad = (marks: Mark[], tallies: Tally[] = []): OnPad => ({
  units: UNITS,
  courts: COURTS,
  marks: marks.map((mark, i) => [`m${i}`, mark]),
  tallies: tallies.map((tally, i) => [`t${i}`, tally]),
});
const one = (found: KindTotal[], mark: string) => found.find((total) => total.mark === mark);
const feet = (metres: number | undefined) => Math.round(((metres ?? Number.NaN) / FT) * 1000) / 1000;

describe("all of a place", () => {
  // 108 ft by 120 ft, parted at x = 70 ft: 8,400 and 4,560 of 12,960 sf.
  const outline = [
    [0, 0],
    [108, 0],
    [108, 120],
    [0, 120],
  ].map(([x = 0, y = 0]) => [x * FT, y * FT] as const);
  const uneven = { ...pad([]), courts: [COURTS[0], ["c2", { sport: "tennis", centre: [110, 60] }]] as typeof COURTS };
  const sf = (court: string | null, at = uneven) => areaOfPlace(at, outline, court) / FT ** 2;

  it("is the pad, or of it what is nearer to a court than to the others", () => {
    expect(sf(null)).toBeCloseTo(12960, 6);
    expect(sf("c1")).toBeCloseTo(8400, 6);
    expect(sf("c2")).toBeCloseTo(4560, 6);
  });

  it("one court is its pad", () => expect(sf("c1", { ...uneven, courts: COURTS.slice(0, 1) })).toBeCloseTo(12960, 6));
});

describe("drawn", () => {
  it("a crack across both courts counts on each with the part that lies there", () => {
    // From x = 24 to x = 104: 30 ft up to the middle line at 54, 50 ft beyond it.
    const found = pad([
      crack([
        [24, 60],
        [104, 60],
      ]),
    ]);
    expect(feet(one(totals(found, "c1"), "crack")?.drawn.length_m)).toBe(30);
    expect(feet(one(totals(found, "c2"), "crack")?.drawn.length_m)).toBe(50);
    expect(feet(one(totals(found, null), "crack")?.drawn.length_m)).toBe(80);
  });

  it("a patch on the line between two courts is cut there, and counted once", () => {
    const square = {
      type: "Polygon" as const,
      coordinates: [
        [
          [50, 10],
          [60, 10],
          [60, 20],
          [50, 20],
          [50, 10],
        ] as [number, number][],
      ],
    };
    const found = pad([{ mark: "low-spot", geometry: square }]);
    const [left, right] = ["c1", "c2"].map((court) => one(totals(found, court), "low-spot")?.drawn);
    // 4 ft by 10 ft to the left of 54, 6 ft by 10 ft to the right.
    expect((left?.area_m2 ?? 0) / FT ** 2).toBeCloseTo(40, 6);
    expect((right?.area_m2 ?? 0) / FT ** 2).toBeCloseTo(60, 6);
    expect((left?.count ?? 0) + (right?.count ?? 0)).toBe(1);
  });

  it("is told by the fact that is asked first", () => {
    const found = totals(
      pad([
        crack(
          [
            [10, 10],
            [20, 10],
          ],
          { width: "1/2 in" },
        ),
        crack([
          [10, 20],
          [15, 20],
        ]),
      ]),
      "c1",
    );
    const by = one(found, "crack")?.by;
    expect(feet(by?.get("1/2 in")?.drawn.length_m)).toBe(10);
    expect(feet(by?.get("")?.drawn.length_m)).toBe(5);
  });

  it("a mark without a readable place is no total", () => {
    expect(totals(pad([{ mark: "crack" }, crack([[1, 1]])]), null)).toEqual([]);
  });
});

describe("counted beyond what is drawn", () => {
  const drawn30 = crack(
    [
      [10, 10],
      [40, 10],
    ],
    { width: "1/2 in" },
  );
  const left = (marks: Mark[], tallies: Tally[]) => beyondMarks(pad(marks, tallies)).map((entry) => feet(entry.left));

  it("a tally is less by what is drawn of its kind on its court", () => {
    expect(left([drawn30], [{ mark: "crack", court: "c1", length: "140" }])).toEqual([110]);
  });

  it("what is wholly drawn is counted no more", () => {
    expect(left([drawn30], [{ mark: "crack", court: "c1", length: "30 ft" }])).toEqual([]);
  });

  it("what is drawn on another court takes nothing off; a court is known by its name too", () => {
    expect(left([drawn30], [{ mark: "crack", court: "c2", length: "140" }])).toEqual([140]);
    expect(left([drawn30], [{ mark: "crack", court: "1", length: "140" }])).toEqual([110]);
  });

  it("a tally of another width class keeps all of it, one of the same class does not", () => {
    expect(left([drawn30], [{ mark: "crack", court: "c1", length: "50", width: "1/16 in" }])).toEqual([50]);
    expect(left([drawn30], [{ mark: "crack", court: "c1", length: "50", width: "1 in" }])).toEqual([20]);
  });

  it("a word that both tell parts them", () => {
    const repair: Mark = { ...drawn30, mark: "old-repair", state: "sound" };
    expect(left([repair], [{ mark: "old-repair", court: "c1", length: "50", state: "hollow" }])).toEqual([50]);
    expect(left([repair], [{ mark: "old-repair", court: "c1", length: "50" }])).toEqual([20]);
  });

  it("no part of a mark reduces two tallies: those of a court go first, then the whole pad's", () => {
    const tallies: Tally[] = [
      { mark: "crack", length: "100" },
      { mark: "crack", court: "c1", length: "20" },
    ];
    // 20 ft of the 30 go to the court's tally, 10 ft to the pad's.
    expect(left([drawn30], tallies)).toEqual([90]);
  });

  it("pieces are taken off pieces, and trees by how many they are", () => {
    const heave: Mark = { mark: "heave", geometry: { type: "Point", coordinates: [30, 60] } };
    const row: Mark = {
      mark: "trees",
      count: 4,
      geometry: {
        type: "LineString",
        coordinates: [
          [10, 10],
          [40, 10],
        ],
      },
    };
    const found = totals(
      pad(
        [heave, row],
        [
          { mark: "heave", court: "c1", count: 3 },
          { mark: "trees", count: "6" },
        ],
      ),
      null,
    );
    expect(one(found, "heave")?.counted.count).toBe(2);
    expect(one(found, "trees")?.counted.count).toBe(2);
  });

  it("a tally of the whole pad stands with the pad and with no court", () => {
    const found = pad([], [{ mark: "worn", area: "200" }]);
    expect((one(totals(found, null), "worn")?.counted.area_m2 ?? 0) / FT ** 2).toBeCloseTo(200, 6);
    expect(totals(found, "c1")).toEqual([]);
  });
});

describe("small things", () => {
  it.each([
    ["200", "us", 200 * FT ** 2],
    ["200 sf", "metric", 200 * FT ** 2],
    ["18.5 m2", "us", 18.5],
    ["18,5", "metric", 18.5],
    ["about 5", "us", null],
  ] as const)("the area %j in %s is %s m²", (typed, units, expected) => {
    const read = squareMetres(typed, units);
    if (expected === null) expect(read).toBeNull();
    else expect(read).toBeCloseTo(expected, 9);
  });

  it("a place is on the court it is nearest to", () => {
    expect(courtUnder(pad([]), [50 * FT, 3])).toBe("c1");
    expect(courtUnder(pad([]), [58 * FT, 3])).toBe("c2");
    expect(courtUnder({ ...pad([]), courts: [] }, [0, 0])).toBeNull();
  });
});
