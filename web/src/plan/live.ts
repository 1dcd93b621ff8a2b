/** What lies over the painted sheet and changes with every frame: what is chosen, a drawing, the cross, the margin. */

import { closed, lengthOf, type XY } from "../model/geometry";
import type { PlanContent, PlanMark } from "./content";
import type { Draft } from "./draft";
import { handlesOf } from "./draft";
import { drawMargin, layMargin } from "./layers/margin";
import { linesOf, middleOf } from "./marks";
import type { Nearby } from "./nearby";
import { paint } from "./paint";
import type { Pen } from "./pen";
import { type Reader, Scene } from "./scene";

export interface Live {
  readonly content: PlanContent;
  readonly nearby: Nearby;
  readonly chosen: PlanMark | null;
  /** Where something else that is chosen stands: a photo, a shot. */
  readonly chosenAt: XY | null;
  readonly edited: PlanMark | null;
  readonly heldPoint: number | null;
  readonly draft: Draft | null;
  readonly isByCross: boolean;
  /** A finger hides what lies beneath it: words stand above. */
  readonly isFinger: boolean;
}

export function paintLive(pen: Pen, live: Live, reader: Reader): void {
  const bare = { ...live.content, marks: NONE };
  const scene = new Scene(pen, bare, reader, undefined, live.content.marks);
  drawMargin(scene, layMargin(scene, [0, 0, pen.view.width_px, pen.view.height_px]));
  if (live.edited !== null) drawEdited(pen, live, live.edited, reader);
  else if (live.chosen !== null) drawChosen(pen, live, live.chosen, reader);
  else if (live.chosenAt !== null) ring(pen, pen.place(live.chosenAt));
  if (live.draft !== null) drawDraft(pen, live, live.draft, scene);
}

const NONE: ReadonlyMap<string, PlanMark> = new Map();

function drawChosen(pen: Pen, live: Live, mark: PlanMark, reader: Reader): void {
  casing(pen, mark);
  paintOne(pen, live, mark, reader);
}

function paintOne(pen: Pen, live: Live, mark: PlanMark, reader: Reader): void {
  const only: PlanContent = { pad: null, courts: [], marks: new Map([[mark.id, mark]]) };
  const { pad, marks } = live.content;
  const scene = new Scene(pen, { ...only, pad: pad && { ...pad, outline_m: [] } }, reader, undefined, marks);
  for (const _ of paint(scene, live.nearby));
}

/** The accent round a mark: two lines beside it, or a ring. */
function casing(pen: Pen, mark: PlanMark): void {
  if (mark.geometry.type === "Point") {
    ring(pen, pen.place(middleOf(mark)));
    return;
  }
  for (const line of linesOf(mark)) {
    const px = pen.places(mark.geometry.type === "Polygon" ? closed(line) : line);
    pen.line(px, { width: 3, colour: pen.inks.madder, cap: "round" });
    pen.line(px, { width: 2, colour: pen.inks.paper, cap: "round" });
  }
}

function ring(pen: Pen, at: XY): void {
  pen.context.beginPath();
  pen.context.arc(at[0], at[1], 3.2 * pen.mm, 0, 2 * Math.PI);
  pen.stroke({ width: 0.6, colour: pen.inks.madder });
}

function drawEdited(pen: Pen, live: Live, mark: PlanMark, reader: Reader): void {
  drawChosen(pen, live, mark, reader);
  const handles = handlesOf(mark.geometry).map((at) => pen.place(at));
  const round = mark.geometry.type === "Polygon" ? closed(handles) : handles;
  for (let i = 1; i < round.length; i++) {
    const [a, b] = [round[i - 1] as XY, round[i] as XY];
    // A place for a new point, where there is room for it.
    if (Math.hypot(b[0] - a[0], b[1] - a[1]) > 14 * pen.mm)
      pen.dot([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], 0.7, pen.inks.paper, 0.25);
  }
  handles.forEach((at, i) => {
    pen.box(at, 1.3, i === live.heldPoint ? pen.inks.madder : pen.inks.paper, 0.4);
  });
}

function drawDraft(pen: Pen, live: Live, draft: Draft, scene: Scene): void {
  const px = draft.shown.map((at) => pen.place(at));
  const aim = draft.aim === null ? null : pen.place(draft.aim);
  if (px.length > 1) {
    const line = draft.shape === "Polygon" && px.length > 2 ? closed(px) : px;
    pen.line(line, { width: 1.4, colour: pen.inks.paper });
    pen.line(line, { width: 0.6, colour: pen.inks.madder });
  }
  for (const point of draft.points) pen.box(pen.place(point), 0.9, pen.inks.paper, 0.35);
  const at = aim ?? px.at(-1);
  if (aim !== null) {
    if (live.isByCross) cross(pen, aim);
    else pen.dot(aim, 0.8, pen.inks.madder);
    if (draft.caught !== null) caughtSign(pen, aim, draft.caught);
  }
  if (at !== undefined) said(pen, live, draft, at, scene);
}

function cross(pen: Pen, [x, y]: XY): void {
  const [gap, long] = [1.5 * pen.mm, 9 * pen.mm];
  pen.lines(
    [
      [
        [x - long, y],
        [x - gap, y],
      ],
      [
        [x + gap, y],
        [x + long, y],
      ],
      [
        [x, y - long],
        [x, y - gap],
      ],
      [
        [x, y + gap],
        [x, y + long],
      ],
    ],
    { width: 0.5, colour: pen.inks.madder },
  );
}

/** Where it caught: a square round a corner or an end, a bar across a line. */
function caughtSign(pen: Pen, [x, y]: XY, by: string): void {
  const h = 2.2 * pen.mm;
  if (by === "line" || by === "mark")
    pen.line(
      [
        [x - h, y + h],
        [x + h, y - h],
      ],
      { width: 0.6, colour: pen.inks.madder },
    );
  else
    pen.outline(
      [
        [x - h, y - h],
        [x + h, y - h],
        [x + h, y + h],
        [x - h, y + h],
      ],
      { width: 0.5, colour: pen.inks.madder },
    );
}

/** How long it is by now, and what the point was caught by, beside the point and not under the thumb. */
function said(pen: Pen, live: Live, draft: Draft, at: XY, scene: Scene): void {
  const words = [
    ...(draft.shown.length > 1 ? [scene.length(lengthOf(draft.shown))] : []),
    ...(draft.caught === null ? [] : [scene.say(`caught_${draft.caught}`)]),
  ];
  const high = pen.type_px * 1.3;
  const { width_px, height_px } = pen.view;
  // The cross stands away from every thumb.
  const isHidden = live.isFinger && !live.isByCross;
  words.forEach((word, i) => {
    const wide = pen.textWidth(word, true);
    const left = Math.min(Math.max(at[0] + (isHidden ? -wide / 2 : 5 * pen.mm), 4), width_px - wide - 4);
    const up = isHidden ? 22 * pen.mm : 5 * pen.mm;
    const above = at[1] - up - (words.length - 1 - i) * high;
    pen.text(word, left, Math.min(Math.max(above, (i + 0.6) * high), height_px - high), { isBold: true });
  });
}
