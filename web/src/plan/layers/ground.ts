/** The pad and what is painted on it: its edge, its lines, what is worn, sand, free pieces. */

import { along, areaOf, boxOf, circle, contains, inside, lengthOf, spread, type XY } from "../../model/geometry";
import type { PlanMark } from "../content";
import { painted } from "../court_lines";
import { claims, linesOf, middleOf, wordOf } from "../marks";
import type { Pen } from "../pen";
import type { Scene } from "../scene";
import { wordIn } from "../trade_words";

const STIPPLE = 2.2; // mm
const LIFT = 0.9; // mm

/** The painted lines at their true width; finer than a pixel they are hairlines. */
export function* drawCourts(scene: Scene): Generator<void> {
  const { pen, content } = scene;
  for (const court of content.courts) {
    const { lines, box, netPosts_m } = painted(court);
    if (!pen.sees(box)) continue;
    pen.context.beginPath();
    for (const line of lines) {
      pen.trace(line.ring_m.map((at) => pen.place(at)));
      pen.context.closePath();
    }
    pen.context.fillStyle = pen.inks.hairline;
    pen.context.fill();
    pen.lines(
      lines.map((line) => line.middle_m.map((at) => pen.place(at))),
      { colour: pen.inks.hairline, width: 0.2 },
    );
    if (netPosts_m.length === 2)
      pen.line(
        netPosts_m.map((at) => pen.place(at)),
        { colour: pen.inks.hairline, width: 0.2, dashes: [1.6, 1] },
      );
    yield;
  }
}

export function drawOutline({ pen, content }: Scene): void {
  if (content.pad !== null && content.pad.outline_m.length > 2)
    pen.outline(pen.places(content.pad.outline_m), { width: 0.45 });
}

/** The shadow of every free piece, and its area; a held piece has none. */
export function drawPieces(scene: Scene): void {
  const { pen, content } = scene;
  for (const piece of content.pieces ?? []) {
    if (!piece.free || !pen.sees(boxOf(piece.outline_m))) continue;
    const ring = pen.places(piece.outline_m);
    lift(pen, ring);
    scene.word(scene.say("free", { area: scene.area(piece.area_m2) }), inside(ring), 40 + piece.area_m2, {
      isInside: true,
      room: Math.sqrt(areaOf(ring)),
    });
  }
}

export function lift(pen: Pen, ring: readonly XY[]): void {
  const off = LIFT * pen.mm;
  const { context, inks } = pen;
  context.globalAlpha = 0.45;
  pen.fill(
    ring.map(([x, y]) => [x + off, y + off]),
    inks.ink,
  );
  context.globalAlpha = 1;
  pen.fill(ring, inks.paper);
}

/** Worn patches inside a dotted line; sand as stippled earth. */
export function* drawSurface(scene: Scene): Generator<void> {
  const { pen } = scene;
  for (const mark of scene.of("worn")) {
    const ring = areaIn(pen, mark);
    pen.outline(ring, WORN);
    const wear = wordIn("worn", "wear", wordOf(mark, "wear"), scene.reader.language);
    scene.word(wear ?? scene.say("worn"), inside(ring), 10 + Math.sqrt(areaOf(ring)) / 20, {
      isInside: true,
      room: Math.sqrt(areaOf(ring)),
    });
    yield;
  }
  for (const mark of scene.of("sand")) {
    sand(pen, areaIn(pen, mark));
    yield;
  }
}

export const WORN = { width: 0.3, dashes: [0.3, 1] } as const;

function areaIn(pen: Pen, mark: PlanMark): readonly XY[] {
  const [ring = []] = linesOf(mark);
  return mark.geometry.type === "Polygon" ? pen.places(ring) : circle(pen.place(middleOf(mark)), 2 * pen.mm);
}

export function sand(pen: Pen, ring: readonly XY[]): void {
  pen.fill(ring, pen.inks.earth);
  const [left, top, right, bottom] = boxOf(ring);
  const step = STIPPLE * pen.mm;
  let row = 0;
  for (let y = Math.max(top, -step); y < Math.min(bottom, pen.view.height_px); y += step, row++)
    for (let x = Math.max(left, -step) + (row % 2) * (step / 2); x < Math.min(right, pen.view.width_px); x += step)
      if (contains(ring, [x, y])) pen.dot([x, y], 0.17);
}

/** What stands along the edge: earth as a wash, a wall as a wall. */
export function drawEdges(scene: Scene): void {
  const { pen, content } = scene;
  const outline = content.pad?.outline_m ?? [];
  for (const mark of scene.of("edge")) {
    const stands = wordOf(mark, "stands");
    const [line = []] = linesOf(mark);
    if ((stands !== "above" && stands !== "flush") || line.length < 2) continue;
    const ring = outside(pen, line, outline);
    edge(pen, ring, wordOf(mark, "of") === "wall");
    scene.word(edgeWord(scene, mark, stands), along(ring, 0.15).at, 20, { room: lengthOf(ring) / 4 });
  }
}

const WIDE = 2.6; // mm

function outside(pen: Pen, line: readonly XY[], outline: readonly XY[]): XY[] {
  const px = pen.places(line);
  const middle = spread(px, 1)[0];
  if (middle === undefined) return [];
  const { at, towards } = middle;
  const left: XY = [at[0] - towards[1] * 3, at[1] + towards[0] * 3];
  const isLeftIn = contains(
    outline.map((p) => pen.place(p)),
    left,
  );
  const by = (isLeftIn ? -1 : 1) * WIDE * pen.mm;
  return [...px, ...px.map(([x, y]): XY => [x - towards[1] * by, y + towards[0] * by]).reverse()];
}

export function edge(pen: Pen, ring: readonly XY[], isWall: boolean): void {
  if (isWall) {
    pen.hatch(ring, 0.8);
    pen.outline(ring, { width: 0.3 });
  } else {
    pen.fill(ring, pen.inks.earth);
    pen.outline(ring, { width: 0.18, dashes: [0.5, 0.8] });
  }
}

function edgeWord(scene: Scene, mark: PlanMark, stands: string): string {
  const of = wordIn("edge", "of", wordOf(mark, "of"), scene.reader.language) ?? scene.say("beside");
  const height = mark.sizes_m.height;
  if (stands === "flush") return scene.say("flush", { of });
  return height === undefined ? scene.say("above", { of }) : scene.say("aboveBy", { of, height: scene.small(height) });
}

/** Trees: canopies in leaf wash, trunks as dots; as many along a line as were counted. */
export function drawTrees(scene: Scene): void {
  const { pen } = scene;
  const all = scene.of("trees").map((mark) => ({ mark, stems: stems(pen, mark) }));
  for (const { stems } of all) for (const stem of stems) pen.fill(canopy(pen, stem), pen.inks.leaf);
  for (const { mark, stems } of all)
    for (const stem of stems) {
      pen.outline(canopy(pen, stem), { width: 0.18, dashes: [1.2, 0.6] });
      pen.dot(stem, Math.max(pen.long(mark.sizes_m.trunk_diameter ?? 0) / 2 / pen.mm, 0.45));
    }
}

const CANOPY = 3.4; // mm on paper: the true spread is not in the record

function stems(pen: Pen, mark: PlanMark): XY[] {
  const [line = []] = linesOf(mark);
  const px = pen.places(line);
  if (px.length < 2) return px.map((at) => at);
  const long = Math.hypot(...([0, 1] as const).map((i) => (px.at(-1) as XY)[i] - (px[0] as XY)[i]));
  const count = Number.parseInt(String(mark.properties.count ?? ""), 10);
  const most = Math.max(Math.floor(long / (1.5 * pen.mm)), 1);
  const usual = Math.max(Math.floor(long / (1.8 * CANOPY * pen.mm)) + 1, 2);
  return spread(px, Math.min(count > 0 ? count : usual, most)).map(({ at }) => at);
}

export function canopy(pen: Pen, [x, y]: XY): XY[] {
  return Array.from({ length: 32 }, (_, i): XY => {
    const turn = (i / 32) * 2 * Math.PI;
    const reach = CANOPY * pen.mm * (0.94 + 0.1 * Math.cos(turn * 8));
    return [x + reach * Math.cos(turn), y + reach * Math.sin(turn)];
  });
}

/** A drain that is said not to work. */
export function isBlocked(mark: PlanMark): boolean {
  return claims(mark, "works", false);
}
