/** The key of a sheet: what of its signs are on it, in words, each with a sample. */

import type { XY } from "../model/geometry";
import { circle } from "../model/geometry";
import type { plan as texts } from "../strings/plan";
import type { PlanContent, PlanMark } from "./content";
import { proposalDashes, UNMEASURED } from "./layers/cracks";
import {
  fence,
  grate,
  hachures,
  hole,
  LOCATED,
  leaf,
  lightPost,
  NOT_LOCATED,
  netPost,
  plainPost,
} from "./layers/fixtures";
import { canopy, edge, lift, sand, WORN } from "./layers/ground";
import { arrow, shotSign, stationSign, straightedge } from "./layers/readings";
import { part, type Sounds, soundsOf, tap, tapsOn } from "./layers/repairs";
import { MILLED, ruled, stippled, THICKNESS, ZERO } from "./layers/surfaces";
import { dashesOf, pool } from "./layers/water";
import { claims, wordOf } from "./marks";
import type { Pen } from "./pen";

export interface KeyEntry {
  readonly text: keyof typeof texts;
  /** Draws the sign in a box of so many millimetres whose left middle is the point given. */
  readonly sample: (pen: Pen, left: number, middle: number) => void;
}

/** The box of a sample [mm]. */
export const SAMPLE = { wide: 14, high: 7 } as const;

type Sign = KeyEntry["sample"];

const bar = (pen: Pen, x: number, y: number, half: number): XY[] => [
  [x, y - half * pen.mm],
  [x + 12 * pen.mm, y - half * pen.mm],
  [x + 12 * pen.mm, y + half * pen.mm],
  [x, y + half * pen.mm],
];
const straight = (pen: Pen, x: number, y: number): XY[] => [
  [x, y],
  [x + 12 * pen.mm, y],
];
const wavy = (pen: Pen, x: number, y: number): XY[] =>
  [0.6, -0.7, 0.5, -0.4].map((dy, i): XY => [x + i * 4 * pen.mm, y + dy * pen.mm]);
const oval = (pen: Pen, x: number, y: number): XY[] =>
  circle([x, y], 1, 28).map(([px, py]): XY => [x + 6 * pen.mm + (px - x) * 5 * pen.mm, y + (py - y) * 1.9 * pen.mm]);
const middle = (pen: Pen, x: number, y: number): XY => [x + 6 * pen.mm, y];

const repair =
  (sounds: Sounds): Sign =>
  (pen, x, y) => {
    part(pen, bar(pen, x, y, 1), sounds);
    pen.outline(bar(pen, x, y, 1));
  };
const at =
  (sign: (pen: Pen, at: XY) => void): Sign =>
  (pen, x, y) =>
    sign(pen, middle(pen, x, y));

interface Rule {
  readonly text: KeyEntry["text"];
  readonly holds: (content: PlanContent, marks: readonly PlanMark[]) => boolean;
  readonly sample: Sign;
}

const has =
  (kind: string, also: (mark: PlanMark) => boolean = () => true) =>
  (_content: PlanContent, marks: readonly PlanMark[]) =>
    marks.some((mark) => mark.kind === kind && also(mark));

const isWall = (mark: PlanMark) => wordOf(mark, "of") === "wall";
const isDrawnEdge = (mark: PlanMark) => ["above", "flush"].includes(wordOf(mark, "stands") ?? "");
const sounded =
  (sounds: Sounds) =>
  (_content: PlanContent, marks: readonly PlanMark[]): boolean => {
    const taps = marks.filter(({ kind }) => kind === "sounding");
    return marks.some((mark) => {
      if (mark.kind !== "old-repair") return false;
      const near = tapsOn(mark, taps);
      if (near.length === 0 || (near.length === 1 && soundsOf(mark) !== "not sounded"))
        return soundsOf(mark) === sounds;
      return near.some((one) => (wordOf(one, "sounds") ?? "not sounded") === sounds);
    });
  };

/** In the order in which a reader looks: the ground, what is wrong with it, what stands on it, what was measured. */
const RULES: readonly Rule[] = [
  {
    text: "keyOutline",
    holds: ({ pad }) => pad !== null,
    sample: (pen, x, y) => pen.line(straight(pen, x, y), { width: 0.45 }),
  },
  {
    text: "keyLines",
    holds: ({ courts }) => courts.length > 0,
    sample: (pen, x, y) => pen.line(straight(pen, x, y), { width: 0.8, colour: pen.inks.hairline }),
  },
  {
    text: "keyCrack",
    holds: has("crack", (mark) => mark.sizes_m.width !== undefined && !mark.isProposal),
    sample: (pen, x, y) => pen.line(wavy(pen, x, y), { width: 0.8 }),
  },
  {
    text: "keyCrackUnmeasured",
    holds: has("crack", (mark) => mark.sizes_m.width === undefined && !mark.isProposal),
    sample: (pen, x, y) => pen.line(wavy(pen, x, y), { width: 0.22, dashes: UNMEASURED }),
  },
  {
    text: "keyOpenEnd",
    holds: has("crack"),
    sample: (pen, x, y) => {
      pen.line(
        [
          [x, y],
          [x + 9 * pen.mm, y],
        ],
        { width: 0.5 },
      );
      pen.dot([x + 9.5 * pen.mm, y], 0.55, pen.inks.paper, 0.2);
    },
  },
  {
    text: "keyProposal",
    holds: (_content, marks) => marks.some(({ isProposal }) => isProposal),
    sample: (pen, x, y) => pen.line(wavy(pen, x, y), { width: 0.5, dashes: proposalDashes() }),
  },
  {
    text: "keyPiece",
    holds: ({ pieces }) => pieces?.some(({ free }) => free) ?? false,
    sample: (pen, x, y) => {
      lift(pen, bar(pen, x, y, 1.4));
      pen.outline(bar(pen, x, y, 1.4), { width: 0.4 });
    },
  },
  {
    text: "keyLowSpot",
    holds: (content, marks) => has("low-spot")(content, marks) || (content.lowSpots ?? []).length > 0,
    sample: (pen, x, y) => pool(pen, oval(pen, x, y), []),
  },
  {
    text: "keyLowSpotDoubtful",
    holds: ({ lowSpots }) => lowSpots?.some((spot) => dashesOf(spot.likelihood).length > 0) ?? false,
    sample: (pen, x, y) => pool(pen, oval(pen, x, y), dashesOf(0.4)),
  },
  {
    text: "keyHeave",
    holds: has("heave"),
    sample: (pen, x, y) => hachures(pen, circle(middle(pen, x, y), 2.6 * pen.mm)),
  },
  { text: "keyWorn", holds: has("worn"), sample: (pen, x, y) => pen.outline(bar(pen, x, y, 1.5), WORN) },
  { text: "keySand", holds: has("sand"), sample: (pen, x, y) => sand(pen, bar(pen, x, y, 1.5)) },
  { text: "keyRepairSound", holds: sounded("solid"), sample: repair("solid") },
  { text: "keyRepairHollow", holds: sounded("hollow"), sample: repair("hollow") },
  { text: "keyRepairUnsounded", holds: sounded("not sounded"), sample: repair("not sounded") },
  {
    text: "keyTaps",
    holds: has("sounding"),
    sample: (pen, x, y) => {
      tap(pen, [x + 4 * pen.mm, y], "solid");
      tap(pen, [x + 8 * pen.mm, y], "hollow");
    },
  },
  {
    text: "keyEdgeEarth",
    holds: has("edge", (mark) => isDrawnEdge(mark) && !isWall(mark)),
    sample: (pen, x, y) => edge(pen, bar(pen, x, y, 1.3), false),
  },
  {
    text: "keyEdgeWall",
    holds: has("edge", (mark) => isDrawnEdge(mark) && isWall(mark)),
    sample: (pen, x, y) => edge(pen, bar(pen, x, y, 1), true),
  },
  {
    text: "keyTrees",
    holds: has("trees"),
    sample: (pen, x, y) => {
      pen.fill(canopy(pen, middle(pen, x, y)), pen.inks.leaf);
      pen.outline(canopy(pen, middle(pen, x, y)), { width: 0.18, dashes: [1.2, 0.6] });
      pen.dot(middle(pen, x, y), 0.45);
    },
  },
  { text: "keyDrain", holds: has("drain"), sample: at(grate) },
  { text: "keyNetPost", holds: has("post", (mark) => wordOf(mark, "post") === "net"), sample: at(netPost) },
  { text: "keyLight", holds: has("post", (mark) => wordOf(mark, "post") === "light"), sample: at(lightPost) },
  {
    text: "keyPost",
    holds: has("post", (mark) => !["net", "light"].includes(wordOf(mark, "post") ?? "")),
    sample: at(plainPost),
  },
  { text: "keyGate", holds: has("gate"), sample: at(leaf) },
  { text: "keyFence", holds: has("fence"), sample: (pen, x, y) => fence(pen, straight(pen, x, y)) },
  {
    text: "keyWall",
    holds: has("wall"),
    sample: (pen, x, y) => pen.outline(bar(pen, x, y, 0.7), { width: 0.35 }),
  },
  {
    text: "keyJoint",
    holds: has("joint"),
    sample: (pen, x, y) =>
      pen.lines([straight(pen, x, y - 0.3 * pen.mm), straight(pen, x, y + 0.3 * pen.mm)], { width: 0.15 }),
  },
  {
    text: "keyUtility",
    holds: has("utility", (mark) => claims(mark, "located", true)),
    sample: (pen, x, y) => pen.line(straight(pen, x, y), { width: 0.25, dashes: LOCATED }),
  },
  {
    text: "keyUtilityUnlocated",
    holds: has("utility", (mark) => !claims(mark, "located", true)),
    sample: (pen, x, y) => pen.line(straight(pen, x, y), { width: 0.25, dashes: NOT_LOCATED }),
  },
  { text: "keyProbe", holds: has("probe"), sample: at(hole) },
  {
    text: "keySlope",
    holds: ({ slopes }) => (slopes ?? []).length > 0,
    sample: (pen, x, y) => arrow(pen, [x, y], [x + 12 * pen.mm, y], 0.4),
  },
  {
    text: "keyStraightedge",
    holds: ({ straightedge: one }) => one !== undefined,
    sample: (pen, x, y) => straightedge(pen, [x, y], [x + 12 * pen.mm, y]),
  },
  {
    text: "keyHeights",
    holds: ({ heights }) => (heights ?? []).length > 0,
    sample: (pen, x, y) => pen.lines([wavy(pen, x, y - 1.2 * pen.mm), wavy(pen, x, y + 1.2 * pen.mm)], { width: 0.16 }),
  },
  {
    text: "keyFill",
    holds: ({ surface }) => surface?.over_m.some((over) => over > 0) ?? false,
    sample: (pen, x, y) => ruled(pen, [x, y - 2 * pen.mm, x + 12 * pen.mm, y + 2 * pen.mm], () => true),
  },
  {
    text: "keyThickness",
    holds: ({ surface }) => (surface?.thickness ?? []).length > 0,
    sample: (pen, x, y) => pen.line(wavy(pen, x, y), THICKNESS),
  },
  {
    text: "keyCut",
    holds: ({ surface }) => surface?.over_m.some((over) => over < 0) ?? false,
    sample: (pen, x, y) => stippled(pen, [x, y - 2 * pen.mm, x + 12 * pen.mm, y + 2 * pen.mm], () => true),
  },
  {
    text: "keyZero",
    holds: ({ surface }) => (surface?.zero_m ?? []).length > 0,
    sample: (pen, x, y) => pen.line(straight(pen, x, y), ZERO),
  },
  {
    text: "keyMilled",
    holds: ({ surface }) => (surface?.milled_m ?? []).length > 0,
    sample: (pen, x, y) => pen.line(straight(pen, x, y), MILLED),
  },
  { text: "keyShot", holds: ({ shots }) => (shots ?? []).length > 0, sample: at((pen, p) => shotSign(pen, p, {})) },
  {
    text: "keyProposed",
    holds: ({ shots }) => shots?.some(({ isProposed }) => isProposed) ?? false,
    sample: at((pen, p) => shotSign(pen, p, { isTaken: false, isProposed: true })),
  },
  {
    text: "keyStation",
    holds: ({ stations }) => (stations ?? []).length > 0,
    sample: (pen, x, y) => stationSign(pen, [x + 3 * pen.mm, y], { bearing_deg: 90 }),
  },
];

export function keyOf(content: PlanContent): KeyEntry[] {
  const marks = [...content.marks.values()];
  return RULES.filter(({ holds }) => holds(content, marks));
}
