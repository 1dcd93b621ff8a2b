/** What is still blank: each way of the data settles its fact, nothing less does; an answer always does. */
import { describe, expect, it } from "vitest";
import { blanks, FACTS, type Said } from "../../src/model/blanks";
import type { Mark } from "../../src/model/document";

/** 40 m by 20 m, of which nothing is known. */
const BARE: Said = {
  units: { walk: "metric", marks: "metric" },
  walk: {},
  answers: {},
  id: "p",
  pad: {
    outline: [
      [0, 0],
      [40, 0],
      [40, 20],
      [0, 20],
    ],
  },
  courts: [],
  marks: [],
  tallies: [],
  shots_m: [],
};
const ids = (said: Said) => blanks(said).map(({ id }) => id);
const point = (mark: string, x: number, y: number, more = {}): Mark => ({
  mark,
  geometry: { type: "Point", coordinates: [x, y] },
  ...more,
});
const line = (mark: string, from: [number, number], to: [number, number], more = {}): Mark => ({
  mark,
  geometry: { type: "LineString", coordinates: [from, to] },
  ...more,
});
const SHOTS = [
  [1, 1],
  [20, 1],
  [20, 19],
] as const;

describe("without a record", () => {
  it("every fact is blank", () => expect(ids(BARE).sort()).toEqual(FACTS.map(({ id }) => id).sort()));

  it("the quickest come first, those that leave a hole last", () => {
    const found = blanks(BARE);
    const holes = found.map(({ leaves_hole }) => leaves_hole);
    expect(holes.indexOf(true)).toBeGreaterThan(holes.lastIndexOf(false));
    const minutes = found.filter(({ leaves_hole }) => !leaves_hole).map((fact) => fact.minutes);
    expect(minutes).toEqual([...minutes].sort((a, b) => a - b));
  });
});

describe("answers", () => {
  it("of the pad or of the site settle a fact, and so does don't know", () => {
    const found = ids({ ...BARE, answers: { coats: "unknown", "p/age": "30", "q/pieces_rock": true } });
    expect(found).not.toContain("coats");
    expect(found).not.toContain("age");
    expect(found).toContain("pieces_rock");
  });

  it("what the pad is made of counts alike, said of the pad or answered", () => {
    const answered = ids({ ...BARE, answers: { "p/surface": "asphalt" } });
    const said = ids({ ...BARE, pad: { ...BARE.pad, surface: "asphalt" } });
    expect(answered).toEqual(said);
    expect(answered).not.toContain("tendons_disproved");
    const other = ids({ ...BARE, pad: { ...BARE.pad, surface: "concrete" }, answers: { surface: "asphalt" } });
    expect(other).toContain("tendons_disproved");
  });

  it("no counts as an answer; a text without a sign does not", () => {
    const found = ids({ ...BARE, answers: { irrigation_beside: false, run_on: "" } });
    expect(found).not.toContain("irrigation_beside");
    expect(found).toContain("run_on");
  });
});

const TWO_COURTS: Said["courts"] = [
  ["c1", { sport: "tennis", centre: [10, 10] }],
  ["c2", { sport: "tennis", centre: [30, 10] }],
];

/** For each: what settles it, and the same with one part less. */
const SETTLED: [fact: string, what: string, settles: Partial<Said>, less: Partial<Said>][] = [
  ["crack_length", "any mark", { marks: [point("fence", 0, 0)] }, {}],
  ["crack_length", "any tally", { tallies: [{ mark: "heave", count: 2 }] }, {}],
  [
    "machine_access_width",
    "a gate with its width",
    { marks: [point("gate", 0, 0, { clear_width: "11 ft" })] },
    { marks: [point("gate", 0, 0)] },
  ],
  [
    "machine_access_width",
    "a known width",
    { marks: [point("gate", 0, 0, { clear_width: "3 m" })] },
    { marks: [point("gate", 0, 0, { clear_width: "unknown" })] },
  ],
  [
    "coated",
    "the pad's coating",
    { pad: { ...BARE.pad, coating: "acrylic" } },
    { pad: { ...BARE.pad, coating: "unknown" } },
  ],
  [
    "coating_age",
    "the year of the last colour and the day of the walk",
    { pad: { ...BARE.pad, last_resurfaced: 2010 }, walk: { walked_on: "2026-04-11" } },
    { pad: { ...BARE.pad, last_resurfaced: 2010 } },
  ],
  [
    "coating_before_1980",
    "a pad of 1980",
    { pad: { ...BARE.pad, built: "1980" } },
    { pad: { ...BARE.pad, built: "1979" } },
  ],
  [
    "tendons_disproved",
    "asphalt",
    { pad: { ...BARE.pad, surface: "asphalt" } },
    { pad: { ...BARE.pad, surface: "concrete" } },
  ],
  [
    "crack_width_max",
    "a walk that found no crack",
    { marks: [point("post", 1, 1)] },
    { marks: [line("crack", [1, 1], [2, 2])] },
  ],
  [
    "crack_width_max",
    "a crack's width",
    { marks: [line("crack", [1, 1], [2, 2], { width: "3 mm" })] },
    { tallies: [{ mark: "crack", length: "30" }] },
  ],
  [
    "crack_width_max",
    "the width of cracks that were counted",
    { tallies: [{ mark: "crack", length: "30", width: "3 mm" }] },
    { tallies: [{ mark: "crack", length: "30" }] },
  ],
  [
    "crack_width_max",
    "the width of cracks of which more were counted than are drawn",
    {
      tallies: [{ mark: "crack", length: "30", width: "3 mm" }],
      marks: [line("crack", [1, 1], [1, 19])],
    },
    {
      tallies: [{ mark: "crack", length: "18", width: "3 mm" }],
      marks: [line("crack", [1, 1], [1, 19])],
    },
  ],
  [
    "crack_width_max",
    "the width of cracks that were counted on another court than the drawn one",
    {
      courts: TWO_COURTS,
      tallies: [{ mark: "crack", court: "c2", length: "10", width: "3 mm" }],
      marks: [line("crack", [1, 1], [1, 19])],
    },
    {
      courts: TWO_COURTS,
      tallies: [{ mark: "crack", court: "c1", length: "10", width: "3 mm" }],
      marks: [line("crack", [1, 1], [1, 19])],
    },
  ],
  [
    "joints_need_repair",
    "each joint's state",
    { marks: [line("joint", [1, 1], [2, 1], { state: "open" })] },
    { marks: [line("joint", [1, 1], [2, 1], { state: "open" }), line("joint", [1, 3], [2, 3])] },
  ],
  [
    "shallow_services",
    "what runs in each service on the pad",
    { marks: [line("utility", [-5, 5], [5, 5], { utility: "gas" }), line("utility", [-9, 0], [-9, 9])] },
    { marks: [line("utility", [-9, 0], [-9, 9], { utility: "gas" })] },
  ],
  ["low_edge_blocked", "sand near the edge", { marks: [point("sand", 20, 0.9)] }, { marks: [point("sand", 20, 1.1)] }],
  [
    "low_edge_walled",
    "a metre of edge with what stands there",
    { marks: [line("edge", [0, 0], [1, 0], { stands: "above", of: "sod" })] },
    { marks: [line("edge", [0, 0], [0.9, 0], { stands: "above", of: "sod" })] },
  ],
  [
    "low_edge_walled",
    "an edge that stands below",
    { marks: [line("edge", [0, 0], [0.5, 0], { stands: "below" })] },
    { marks: [line("edge", [0, 0], [0.5, 0], { stands: "below" })], shots_m: SHOTS },
  ],
  [
    "plane_slope_min",
    "shots and a court",
    { shots_m: SHOTS, courts: [["c", { sport: "tennis" }]] },
    { shots_m: SHOTS },
  ],
  [
    "low_spot_depth_max",
    "three shots that span the pad",
    { shots_m: SHOTS },
    {
      shots_m: [
        [1, 1],
        [2, 2],
        [3, 3],
      ],
    },
  ],
  ["low_spot_depth_max", "a survey file", { pad: { ...BARE.pad, shots: "north.csv" } }, {}],
  ["sports", "a court", { courts: [["c", { sport: "tennis" }]] }, {}],
  [
    "base_wet",
    "a probe that says so",
    { marks: [point("probe", 1, 1, { wet: false })] },
    { marks: [point("probe", 1, 1)] },
  ],
  [
    "asphalt_left_after_grinding",
    "the two facts it rests on",
    { marks: [point("probe", 1, 1, { asphalt_thickness: "3 in" })] },
    { marks: [point("post", 1, 1)] },
  ],
  [
    "asphalt_left_after_grinding",
    "answers to them",
    { answers: { asphalt_thickness: "3 in", heave_height_max: "1 in" } },
    { answers: { asphalt_thickness: "unknown", heave_height_max: "1 in" } },
  ],
];

describe("a record", () => {
  it.each(SETTLED)("%s is settled by %s, and by nothing less", (fact, _, settles, less) => {
    expect(ids({ ...BARE, ...settles })).not.toContain(fact);
    expect(ids({ ...BARE, ...less })).toContain(fact);
  });

  it("facts that only an answer settles stay blank whatever is marked", () => {
    const all: Said = {
      ...BARE,
      courts: [["c", { sport: "tennis" }]],
      shots_m: SHOTS,
      marks: [point("probe", 1, 1, { wet: true })],
    };
    for (const { id } of FACTS.filter(({ settled_by }) => settled_by.length === 0)) expect(ids(all)).toContain(id);
  });
});
