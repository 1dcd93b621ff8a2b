/** What is built in or beside the pad, drawn as surveyors do; heaves as hachures downhill. */

import {
  along,
  beside,
  circle,
  closed,
  distance,
  inside,
  lengthOf,
  spread,
  strip,
  type XY,
} from "../../model/geometry";
import type { PlanMark } from "../content";
import { claims, linesOf, middleOf, wordOf } from "../marks";
import type { Pen } from "../pen";
import type { Scene } from "../scene";
import { wordIn } from "../trade_words";
import { isBlocked } from "./ground";

const FENCE_CROSS_EVERY = 9; // mm
/** A sign at a point has its words when so much ground is as wide as they are, about [m]. */
const POINT_ROOM_M = 2.5;
export const LOCATED = [4, 0.8, 0.4, 0.8] as const;
export const NOT_LOCATED = [0.4, 1.2] as const;

type Draw = (scene: Scene, mark: PlanMark, px: readonly XY[]) => void;

const DRAWN: Readonly<Record<string, Draw>> = {
  joint: drawJoint,
  utility: drawUtility,
  wall: drawWall,
  fence: drawFence,
  drain: drawDrain,
  gate: drawGate,
  post: drawPost,
  probe: drawProbe,
};

/** Kinds that are drawn by this layer, from the ground up. */
export function* drawFixtures(scene: Scene): Generator<void> {
  for (const [kind, draw] of Object.entries(DRAWN))
    for (const mark of scene.of(kind)) {
      draw(scene, mark, scene.pen.places(linesOf(mark)[0] ?? []));
      yield;
    }
}

function middle(px: readonly XY[]): XY {
  return px.length > 1 ? along(px, 0.5).at : (px[0] ?? [0, 0]);
}

function drawJoint({ pen }: Scene, _mark: PlanMark, px: readonly XY[]): void {
  pen.lines([beside(px, 0.3 * pen.mm), beside(px, -0.3 * pen.mm)], { width: 0.15 });
}

function drawUtility(scene: Scene, mark: PlanMark, px: readonly XY[]): void {
  const { pen } = scene;
  const isLocated = claims(mark, "located", true);
  if (px.length > 1) pen.line(px, { width: 0.25, dashes: isLocated ? LOCATED : NOT_LOCATED });
  else valve(pen, middle(px));
  const word = wordIn("utility", "utility", wordOf(mark, "utility"), scene.reader.language) ?? scene.say("buried");
  scene.word(scene.say(isLocated ? "utility" : "utilityUnlocated", { utility: word }), middle(px), 25, {
    room: lengthOf(px) / 2,
  });
}

function valve(pen: Pen, at: XY): void {
  const h = 0.9 * pen.mm;
  pen.box(at, 0.9, pen.inks.paper, 0.25);
  pen.line([
    [at[0] - h, at[1] - h],
    [at[0] + h, at[1] + h],
  ]);
}

function drawWall({ pen }: Scene, _mark: PlanMark, px: readonly XY[]): void {
  if (px.length < 2) pen.box(middle(px), 0.7, pen.inks.paper, 0.35);
  else {
    const ring = strip(px, 1.4 * pen.mm);
    pen.fill(ring, pen.inks.paper);
    pen.outline(ring, { width: 0.35 });
  }
}

function drawFence({ pen }: Scene, _mark: PlanMark, px: readonly XY[]): void {
  if (px.length < 2) plainPost(pen, middle(px));
  else fence(pen, px);
}

export function fence(pen: Pen, px: readonly XY[]): void {
  const count = Math.min(Math.max(Math.floor(lengthOf(px) / (FENCE_CROSS_EVERY * pen.mm)), 1), 300);
  const h = 0.6 * pen.mm;
  pen.lines([px, ...spread(px, count).flatMap(({ at: [x, y] }) => crossed(x, y, h))]);
}

function crossed(x: number, y: number, h: number): XY[][] {
  return [
    [
      [x - h, y - h],
      [x + h, y + h],
    ],
    [
      [x - h, y + h],
      [x + h, y - h],
    ],
  ];
}

function drawDrain(scene: Scene, mark: PlanMark, px: readonly XY[]): void {
  const { pen } = scene;
  if (px.length > 1) {
    const ring = strip(px, 1.2 * pen.mm);
    pen.fill(ring, pen.inks.paper);
    pen.outline(ring);
    pen.line(px, { width: 0.9, dashes: [0.25, 0.7] });
  } else grate(pen, middle(px));
  if (isBlocked(mark))
    scene.word(scene.say("drainBlocked"), middle(px), 50, { room: scene.pen.long(POINT_ROOM_M * 2) });
}

export function grate(pen: Pen, at: XY): void {
  pen.box(at, 1.1, pen.inks.paper, 0.25);
  const h = 1.1 * pen.mm;
  pen.lines(
    [-0.5, 0, 0.5].map((d): XY[] => [
      [at[0] + d * pen.mm, at[1] - h],
      [at[0] + d * pen.mm, at[1] + h],
    ]),
    { width: 0.18 },
  );
}

function drawGate(scene: Scene, mark: PlanMark, px: readonly XY[]): void {
  const { pen } = scene;
  if (px.length > 1) {
    pen.line(px, { width: 1.2, colour: pen.inks.paper });
    pen.line(px, { dashes: [1, 0.5] });
    for (const end of [px[0], px.at(-1)]) if (end) plainPost(pen, end);
  } else leaf(pen, middle(px));
  const wide = mark.sizes_m.clear_width;
  scene.word(
    wide === undefined ? scene.say("gate") : scene.say("gateWide", { width: scene.length(wide) }),
    middle(px),
    30,
    { room: scene.pen.long(POINT_ROOM_M * 2) },
  );
}

export function leaf(pen: Pen, [x, y]: XY): void {
  const d = 1.6 * pen.mm;
  pen.dot([x - d, y], 0.35);
  pen.dot([x + d, y], 0.35);
  pen.line(
    [
      [x - d, y],
      [x + 1.1 * pen.mm, y - 1.7 * pen.mm],
    ],
    { width: 0.3 },
  );
}

function drawPost(scene: Scene, mark: PlanMark, px: readonly XY[]): void {
  const at = middle(px);
  const kind = wordOf(mark, "post");
  if (kind === "net") netPost(scene.pen, at);
  else if (kind === "light") lightPost(scene.pen, at);
  else plainPost(scene.pen, at);
  const lean = Number.parseFloat(String(mark.properties.lean_deg ?? ""));
  const isLifted = claims(mark, "lifted", true) || (mark.sizes_m.lifted ?? 0) > 0;
  if (lean > 0) scene.word(scene.say("leans", { lean }), at, 35, { room: scene.pen.long(POINT_ROOM_M) });
  else if (isLifted) scene.word(scene.say("lifted"), at, 35, { room: scene.pen.long(POINT_ROOM_M) });
}

export function netPost(pen: Pen, at: XY): void {
  pen.box(at, 0.65, pen.inks.ink);
}

export function plainPost(pen: Pen, at: XY): void {
  pen.dot(at, 0.6, pen.inks.paper, 0.25);
}

export function lightPost(pen: Pen, at: XY): void {
  const r = 1.7 * pen.mm;
  pen.dot(at, 1, pen.inks.paper, 0.25);
  pen.lines([
    [
      [at[0] - r, at[1]],
      [at[0] + r, at[1]],
    ],
    [
      [at[0], at[1] - r],
      [at[0], at[1] + r],
    ],
  ]);
}

function drawProbe(scene: Scene, mark: PlanMark, px: readonly XY[]): void {
  hole(scene.pen, middle(px));
  const thick = mark.sizes_m.asphalt_thickness;
  if (thick !== undefined) scene.word(scene.small(thick), middle(px), 45, { room: scene.pen.long(POINT_ROOM_M) });
}

export function hole(pen: Pen, at: XY): void {
  pen.dot(at, 0.8, pen.inks.paper, 0.25);
  pen.dot(at, 0.3);
}

const LEAST_RADIUS = 2.6; // mm
const UNKNOWN_RADIUS_M = 0.6;

export function* drawHeaves(scene: Scene): Generator<void> {
  const { pen } = scene;
  for (const mark of scene.of("heave")) {
    const radius = Math.max(pen.long(mark.sizes_m.radius ?? UNKNOWN_RADIUS_M), LEAST_RADIUS * pen.mm);
    const ring =
      mark.geometry.type === "Polygon" ? pen.places(linesOf(mark)[0] ?? []) : circle(pen.place(middleOf(mark)), radius);
    hachures(pen, ring);
    const height = mark.sizes_m.height;
    const text = height === undefined ? scene.say("heaveUnmeasured") : scene.say("up", { height: scene.small(height) });
    scene.word(text, along(closed(ring), 0.12).at, 55 + (height ?? 0) * 1000, { room: lengthOf(ring) / 2 });
    yield;
  }
}

/** Wedges from the top, thick, to the foot, fine. */
export function hachures(pen: Pen, ring: readonly XY[]): void {
  const top = inside(ring);
  const round = closed(ring);
  const count = Math.min(Math.max(Math.floor(lengthOf(round) / (1.5 * pen.mm)), 8), 200);
  pen.context.beginPath();
  for (const { at } of spread(round, count)) {
    const away = distance(top, at);
    if (away < 0.3 * pen.mm) continue;
    const [dx, dy] = [at[0] - top[0], at[1] - top[1]];
    const half = Math.min(0.22 * pen.mm, 0.16 * away) / away;
    const [x, y] = [top[0] + 0.4 * dx, top[1] + 0.4 * dy];
    pen.trace([[x - dy * half, y + dx * half], [x + dy * half, y - dx * half], at]);
    pen.context.closePath();
  }
  pen.context.fillStyle = pen.inks.ink;
  pen.context.fill();
}
