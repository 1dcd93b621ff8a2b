/** Draws the sign of a key entry on a canvas of its own. */
import { inksOf } from "./inks";
import { type KeyEntry, SAMPLE } from "./key";
import { Pen, SCREEN_MM } from "./pen";

export function drawSample(canvas: HTMLCanvasElement, entry: KeyEntry): void {
  const [width_px, height_px] = [SAMPLE.wide * SCREEN_MM, SAMPLE.high * SCREEN_MM];
  const dense = Math.max(window.devicePixelRatio, 1);
  canvas.width = Math.round(width_px * dense);
  canvas.height = Math.round(height_px * dense);
  const context = canvas.getContext("2d");
  if (context === null) return;
  context.scale(dense, dense);
  const pen = new Pen(context, inksOf(canvas), { centre_m: [0, 0], resolution: 1, width_px, height_px });
  entry.sample(pen, pen.mm, height_px / 2);
}
