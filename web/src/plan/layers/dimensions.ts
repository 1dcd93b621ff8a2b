/** The sizes of the pad on dimension lines beside it: below and to the left, where a reader of drawings looks. */
import { areaOf, boxOf, distance, type XY } from "../../model/geometry";
import type { Scene } from "../scene";

const AWAY = 5.5; // mm
const TICK = 1.2; // mm
const LEAST = 5; // mm
/** Where on its line a length may stand: in the middle, or where that is not in sight. */
const SHARES = [0.5, 0.35, 0.65, 0.2, 0.8];
/** So far from the line towards the pad its length may reach: what stands along the pad's edge is not covered [mm]. */
const INWARD = 1.8;
/** A pad that its own box holds so nearly has two sizes; any other shape has more than fit beside it. */
const RECTANGLE = 0.97;

export function drawDimensions(scene: Scene): void {
  const ring = scene.content.pad?.outline_m ?? [];
  if (ring.length < 4) return;
  const [left, bottom, right, top] = boxOf(ring);
  if (areaOf(ring) < RECTANGLE * (right - left) * (top - bottom)) return;
  dimension(scene, [left, bottom], [right, bottom], [0, 1]);
  dimension(scene, [left, top], [left, bottom], [-1, 0]);
}

/** A dimension line beside a side, `out` of the pad in pixels; its length breaks the line, away from the pad. */
function dimension(scene: Scene, from: XY, to: XY, out: XY): void {
  const { pen } = scene;
  const off = (at: XY, by: number): XY => [at[0] + out[0] * by * pen.mm, at[1] + out[1] * by * pen.mm];
  const [a, b] = [pen.place(from), pen.place(to)];
  const text = scene.length(distance(from, to));
  // The line goes on at both ends of its length.
  const across = out[0] === 0 ? pen.textWidth(text) : 0;
  if (distance(a, b) < across + LEAST * pen.mm) return;
  pen.line([off(a, AWAY), off(b, AWAY)], { width: 0.18 });
  for (const at of [a, b]) {
    pen.line([off(at, 3), off(at, AWAY + TICK)], { width: 0.12 });
    const [x, y] = off(at, AWAY);
    const t = TICK * 0.7 * pen.mm;
    pen.line(
      [
        [x - t, y + t],
        [x + t, y - t],
      ],
      { width: 0.35 },
    );
  }
  // Words that are wider than the space between line and pad stand farther out.
  const aside = out[0] === 0 ? 0 : Math.max(pen.textWidth(text) / 2 / pen.mm - INWARD, 0);
  const [middle, ...others] = SHARES.map((share) =>
    off([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share], AWAY + aside),
  ) as [XY, ...XY[]];
  scene.word(text, middle, 100, { orAt: others, isClear: true });
}
