/** Paints a plan, from the ground up: what lies lower is drawn first. */

import type { Box } from "../model/geometry";
import type { PlanContent } from "./content";
import { Ink, noteInk } from "./ink";
import type { Inks } from "./inks";
import { drawCracks } from "./layers/cracks";
import { drawDimensions } from "./layers/dimensions";
import { drawFixtures, drawHeaves } from "./layers/fixtures";
import { drawCourts, drawEdges, drawOutline, drawPieces, drawSurface, drawTrees } from "./layers/ground";
import { drawMargin, layMargin } from "./layers/margin";
import { drawConstruction, drawNotes, drawShots, drawSlopes, drawStations, drawStraightedge } from "./layers/readings";
import { drawRepairs } from "./layers/repairs";
import { drawCutAndFill, drawHeights } from "./layers/surfaces";
import { drawLowSpots } from "./layers/water";
import type { Nearby } from "./nearby";
import { Pen, type View } from "./pen";
import { type Reader, Scene } from "./scene";
import { write } from "./words";

/** A layer with much to draw rests after each piece, so that painting may go on in the next frame. */
type Draw = (scene: Scene, nearby: Nearby) => Generator<void> | void;

const LAYERS: readonly Draw[] = [
  drawTrees,
  drawEdges,
  drawPieces,
  drawSurface,
  drawLowSpots,
  drawCutAndFill,
  drawCourts,
  drawHeights,
  drawRepairs,
  drawOutline,
  drawHeaves,
  drawFixtures,
  drawCracks,
  drawSlopes,
  drawStraightedge,
  drawShots,
  drawStations,
  drawDimensions,
  drawConstruction,
  drawNotes,
];

/** Draw everything of a scene but its words, bit by bit. */
export function* paint(scene: Scene, nearby: Nearby): Generator<void> {
  for (const draw of LAYERS) {
    const steps = draw(scene, nearby);
    if (steps) yield* steps;
  }
}

export interface More {
  readonly without?: ReadonlySet<string>;
  readonly mm?: number;
  readonly type_px?: number;
  readonly hasMargin?: boolean;
  /** The middle part that is seen; all of it where nothing is said [px]. */
  readonly seen?: Box;
}

/** Draw a whole sheet with its words, bit by bit; on paper with its margin, too. */
export function* paintSheet(
  context: CanvasRenderingContext2D,
  content: PlanContent,
  nearby: Nearby,
  view: View,
  inks: Inks,
  reader: Reader,
  more: More = {},
): Generator<void> {
  const pen = new Pen(context, inks, view, more.mm, more.type_px);
  const scene = new Scene(pen, content, reader, more.without);
  yield* paint(scene, nearby);
  const all: Box = [0, 0, view.width_px, view.height_px];
  const seen = more.seen ?? all;
  const ink = new Ink(all);
  yield* noteInk(scene, ink);
  // On a screen the margin lies over the sheet, at the edges of what is seen.
  const margin = layMargin(scene, seen);
  if (more.hasMargin) drawMargin(scene, margin);
  yield* write(pen, scene.words, all, { taken: [...margin.boxes, ...scene.taken], ink, seen });
}
