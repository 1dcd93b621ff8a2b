/** What stands along the sheet's lower edge: the factor of the cracks, a scale bar, north. */
import type { Box, XY } from "../../model/geometry";
import type { Scene } from "../scene";
import { factorOf } from "./cracks";

const STEPS = [1, 2, 5].flatMap((m) => [-1, 0, 1, 2, 3].map((e) => m * 10 ** e)).sort((a, b) => a - b);

/** How long a bar may be that leaves room for words beside it. */
const SHORTER = 0.6;

/** A round length that is about a fifth of a sheet wide, and into how many parts it is divided. */
export function barLength(metresAcross: number, units: "us" | "metric"): { metres: number; parts: number } {
  const unit = units === "us" ? 0.3048 : 1;
  const step = STEPS.findLast((s) => s * unit <= metresAcross * 0.28) ?? (STEPS[0] as number);
  return { metres: step * unit, parts: String(step).includes("5") ? 5 : 2 };
}

/** Where things of the margin stand, and the boxes that no word should cover. */
interface Margin {
  readonly left: number;
  readonly base: number;
  readonly part: number;
  readonly parts: number;
  readonly words: string;
  readonly said: { readonly text: string; readonly left: number; readonly base: number };
  readonly north: XY;
  readonly boxes: readonly [bar: Box, north: Box];
}

/** Lay the margin into the lower corners of a part of the sheet. */
export function layMargin(scene: Scene, [edge, , right, bottom]: Box): Margin {
  const { pen, reader } = scene;
  const base = bottom - 4 * pen.mm;
  const left = edge + 3 * pen.mm;
  const factor = factorOf(scene.factorFrom, pen);
  const said = factor === null ? "" : factor === 1 ? scene.say("trueWidth") : scene.say("factor", { factor });
  const north: Box = [right - 17 * pen.mm, bottom - 20 * pen.mm, right, bottom];
  // One line where both fit, if need be with a shorter bar: a small sheet has no height to give away.
  const bars = [1, SHORTER].map((share) => {
    const { metres, parts } = barLength((right - edge) * pen.view.resolution * share, reader.units);
    const words = reader.units === "us" ? `${+(metres / 0.3048).toFixed(1)} ft` : `${+metres.toFixed(1)} m`;
    const barEnd = left + pen.long(metres) + 4 * pen.mm + pen.textWidth(words);
    const isBeside = said !== "" && barEnd + pen.textWidth(said) < north[0] - pen.mm;
    return { part: pen.long(metres) / parts, parts, words, barEnd, isBeside };
  });
  const { part, parts, words, barEnd, isBeside } = bars.find((bar) => bar.isBeside) ?? (bars[0] as (typeof bars)[0]);
  const saidLeft = isBeside ? barEnd : left;
  const end = Math.max(barEnd, saidLeft + pen.textWidth(said) + pen.mm);
  const top = base - pen.type_px * (said === "" || isBeside ? 0.8 : 2.1);
  return {
    left,
    base,
    part,
    parts,
    words,
    said: { text: said, left: saidLeft, base: isBeside ? base : base - pen.type_px * 1.3 },
    north: [right - 8.5 * pen.mm, bottom - 9 * pen.mm],
    boxes: [[edge, top, end, bottom], north],
  };
}

export function drawMargin(scene: Scene, { left, base, part, parts, words, said, north: at, boxes }: Margin): void {
  const { pen, content } = scene;
  const half = 0.7 * pen.mm;
  // A little paper under it, where the drawing runs on beneath.
  pen.clear(boxes[0]);
  for (let i = 0; i < parts; i++) {
    const ring: XY[] = [
      [left + i * part, base - half],
      [left + (i + 1) * part, base - half],
      [left + (i + 1) * part, base + half],
      [left + i * part, base + half],
    ];
    pen.fill(ring, i % 2 === 0 ? pen.inks.ink : pen.inks.paper);
    pen.outline(ring);
  }
  pen.text(words, left + part * parts + 2 * pen.mm, base);
  if (said.text !== "") pen.text(said.text, said.left, said.base);
  if (content.pad?.north_deg !== undefined) pen.clear(boxes[1]);
  north(scene, at);
}

function north(scene: Scene, [cx, cy]: XY): void {
  const { pen, content } = scene;
  const deg = content.pad?.north_deg;
  if (deg === undefined) {
    if (content.pad === null) return;
    const text = scene.say("northUnknown");
    pen.text(text, cx + 7 * pen.mm - pen.textWidth(text), cy + 4 * pen.mm);
    return;
  }
  // The bearing of the pad's y axis is known, so north lies that far counter-clockwise of it.
  const turn = (deg * Math.PI) / 180;
  const [dx, dy] = [-Math.sin(turn), -Math.cos(turn)];
  const [long, wide] = [5 * pen.mm, 1.5 * pen.mm];
  const [tip, tail]: XY[] = [
    [cx + long * dx, cy + long * dy],
    [cx - long * dx, cy - long * dy],
  ];
  if (tip === undefined || tail === undefined) return;
  pen.line([tail, tip], { width: 0.3 });
  pen.fill([tip, [cx, cy], [cx + wide * dy, cy - wide * dx]], pen.inks.ink);
  pen.outline([tip, [cx, cy], [cx - wide * dy, cy + wide * dx]]);
  const letter = scene.say("north");
  pen.text(letter, cx + 8 * pen.mm * dx - pen.textWidth(letter, true) / 2, cy + 8 * pen.mm * dy, { isBold: true });
}
