import { describe, expect, it } from "vitest";
import type { Value } from "../../src/model/document";
import { withGround } from "../../src/plan/from_ground";
import { contentOf, letterOf, type WalkItems } from "../../src/plan/from_walk";

function walk(change: Partial<WalkItems> = {}): WalkItems {
  return {
    walk: new Map<string, Value>([["units", "us"]]),
    pads: new Map([
      [
        "p",
        {
          id: "upper",
          outline: [
            ["0", "0"],
            ["100 ft", 0],
            [100, 50],
            [0, "50 ft"],
          ],
          north_deg: "8",
        },
      ],
      [
        "q",
        {
          id: "lower",
          outline: [
            [0, 0],
            [10, 0],
            [10, 10],
          ],
        },
      ],
    ]),
    courts: new Map([
      ["c", { pad: "p", id: "1", sport: "tennis", centre: [50, 25] as const, turned_deg: "90" }],
      ["d", { pad: "p", id: "2", sport: "tennis" }],
    ]),
    marks: new Map([
      [
        "b",
        {
          mark: "crack",
          pad: "p",
          order: 2,
          width: "3/8 in",
          geometry: {
            type: "LineString",
            coordinates: [
              ["10", "3 m"],
              [30.5, 10],
            ],
          } as const,
        },
      ],
      [
        "a",
        {
          mark: "heave",
          pad: "p",
          order: 1,
          height: "unknown",
          radius: 2,
          geometry: { type: "Point", coordinates: [1, 1] } as const,
        },
      ],
      ["gone", { mark: "crack", pad: "p", withdrawn: true, geometry: { type: "Point", coordinates: [1, 1] } as const }],
      ["elsewhere", { mark: "crack", pad: "q", geometry: { type: "Point", coordinates: [1, 1] } as const }],
      ["unplaced", { mark: "crack", pad: "p" }],
    ]),
    shots: new Map([
      ["s", { pad: "p", x: 1, y: "2", elevation: "100.1" }],
      ["t", { pad: "p", x: 1, y: "2" }],
    ]),
    photos: new Map([
      ["f", { order: 1, of: "a", from: [1, 0] as const }],
      ["g", { order: 2 }],
      ["h", { order: 3, of: "elsewhere", from: [1, 0] as const }],
    ]),
    ...change,
  };
}

describe("the sheet of a pad", () => {
  it("shows what stands on it, in metres and in its order", () => {
    const content = contentOf(walk(), "p");
    expect(content.pad).toMatchObject({ id: "p", label: "upper", north_deg: 8 });
    expect(content.pad?.outline_m[2]?.map((v) => +v.toFixed(6))).toEqual([30.48, 15.24]);
    expect([...content.marks.keys()]).toEqual(["a", "b"]);
    expect(content.marks.get("b")?.geometry.coordinates[0]).toEqual([3.048, 3]);
    expect(content.courts.map(({ id, turned_deg }) => [id, turned_deg])).toEqual([["c", 90]]);
  });

  it("reads the lengths of a mark and leaves out what nobody knows", () => {
    const { marks } = contentOf(walk(), "p");
    // 3/8 in is 9.525 mm; 2 is feet.
    expect(marks.get("b")?.sizes_m).toEqual({ width: 0.009525 });
    expect(marks.get("a")?.sizes_m).toEqual({ radius: 0.6096 });
  });

  it("reads coordinates in the units of the marks, everything else in those of the walk", () => {
    const items = walk({
      walk: new Map<string, Value>([
        ["units", "us"],
        ["marks_units", "metric"],
      ]),
    });
    const { marks } = contentOf(items, "p");
    expect(marks.get("a")?.geometry.coordinates).toEqual([1, 1]);
    expect(marks.get("a")?.sizes_m).toEqual({ radius: 0.6096 });
  });

  it("keeps what did not change as the same object", () => {
    const items = walk();
    const before = contentOf(items, "p");
    const marks = new Map(items.marks);
    marks.set("a", { ...(items.marks.get("a") ?? {}), height: "1 in" });
    const after = contentOf({ ...items, marks }, "p");
    expect(after.marks.get("b")).toBe(before.marks.get("b"));
    expect(after.pad).toBe(before.pad);
    expect(after.courts[0]).toBe(before.courts[0]);
    expect(after.marks.get("a")?.sizes_m.height).toBeCloseTo(0.0254, 9);
  });

  it("tells where photos of its marks were taken from, and which way they look", () => {
    const { stations } = contentOf(walk(), "p");
    // From 1 ft, 0 to 1 ft, 1 ft: along y.
    expect(stations).toEqual([{ id: "f", letter: "A", at_m: [0.3048, 0], bearing_deg: 0 }]);
    expect([0, 25, 26, 52].map(letterOf)).toEqual(["A", "Z", "AA", "BA"]);
  });

  it("tells which shots were taken", () => {
    expect(contentOf(walk(), "p").shots?.map(({ id, isTaken }) => [id, isTaken])).toEqual([
      ["s", true],
      ["t", false],
    ]);
  });

  it("is empty without a pad", () => {
    expect(contentOf(walk(), undefined).pad).toBeNull();
    expect(contentOf(walk(), "nowhere").marks.size).toBe(0);
  });
});

describe("what the office made of the ground", () => {
  it("stands on the sheet: slopes at their courts, water that was not drawn, pieces, the straightedge", () => {
    const content = withGround(contentOf(walk(), "p"), {
      courts: [
        { id: "1", slope_pct: 0.8, bearing_deg: 92 },
        { id: "nobody's", slope_pct: 1, bearing_deg: 0 },
      ],
      flatness: { straightedge_m: 3.048, gap_max_mm: 12, at: [4, 5], bearing_deg: 90 },
      low_spots: [
        {
          id: "low-1",
          outline: [
            [0, 0],
            [1, 0],
            [1, 1],
          ],
          depth_max_mm: 9,
          likelihood: 0.4,
          drawn: false,
        },
        {
          id: "low-2",
          outline: [
            [0, 0],
            [1, 0],
            [1, 1],
          ],
          depth_max_mm: 9,
          likelihood: null,
          drawn: true,
        },
      ],
      pieces: [
        {
          id: "piece-1",
          outline: [
            [0, 0],
            [1, 0],
            [1, 1],
          ],
          free: true,
          area_m2: 0.5,
        },
      ],
    });
    expect(content.slopes).toEqual([{ id: "c", at_m: content.courts[0]?.centre_m, bearing_deg: 92, slope_pct: 0.8 }]);
    expect(content.lowSpots?.map(({ id, likelihood }) => [id, likelihood])).toEqual([["low-1", 0.4]]);
    expect(content.pieces?.[0]?.free).toBe(true);
    expect(content.straightedge).toEqual({ at_m: [4, 5], bearing_deg: 90, length_m: 3.048, gap_mm: 12 });
  });
});
