/** Where a finding stands on the plan: the things of the sheet that the office says it speaks of. */

import type { PointM } from "../model/frame";
import type { SpokenOf } from "../model/judged";
import type { PlanContent } from "./content";
import { middleOf as pointFor } from "./marks";

/** The first place of a finding that is on the sheet; null for the whole pad. [m] */
export function placeOf(at: readonly SpokenOf[], content: PlanContent): PointM | null {
  for (const one of at) {
    const found = pointOf(one, content);
    if (found !== null) return found;
  }
  return null;
}

function pointOf({ kind, id }: SpokenOf, content: PlanContent): PointM | null {
  if (kind === "court") return content.courts.find((court) => court.label === id || court.id === id)?.centre_m ?? null;
  const piece = kind === "piece" ? content.pieces?.find((one) => one.id === id) : undefined;
  if (piece !== undefined) return middle(piece.outline_m);
  const water = kind === "low-spot" ? content.lowSpots?.find((one) => one.id === id) : undefined;
  if (water !== undefined) return water.deepest_m ?? middle(water.outline_m);
  // Repairs, and low spots that were drawn by hand, are told by their marks.
  const mark = content.marks.get(id);
  return mark === undefined ? null : pointFor(mark);
}

function middle(outline: readonly PointM[]): PointM | null {
  if (outline.length === 0) return null;
  const sum = outline.reduce<[number, number]>(([a, b], [x, y]) => [a + x, b + y], [0, 0]);
  return [sum[0] / outline.length, sum[1] / outline.length];
}

/** The middle of a pad, across. [m] */
export function middleOf(content: PlanContent): number {
  const across = (content.pad?.outline_m ?? []).map(([x]) => x);
  return across.length === 0 ? 0 : (Math.min(...across) + Math.max(...across)) / 2;
}

type Placed = { readonly place: PointM | null };

/**
 * Notes in the left and in the right margin: each on the side of its place and in such an order from the far end of the
 * pad that leaders do not cross; those of the whole pad go where there is more room.
 */
export function inMargins<Note extends Placed>(
  notes: readonly Note[],
  middle_m: number,
): [left: Note[], right: Note[]] {
  const left: Note[] = [];
  const right: Note[] = [];
  const placed = notes.filter((note) => note.place !== null);
  for (const note of placed.sort((one, other) => (other.place?.[1] ?? 0) - (one.place?.[1] ?? 0))) {
    const [near, far] = (note.place?.[0] ?? 0) < middle_m ? [left, right] : [right, left];
    // A margin that is much longer than the other runs out of the sheet.
    (near.length > far.length + 2 ? far : near).push(note);
  }
  uncross(left, placed, -1);
  uncross(right, placed, 1);
  for (const note of notes) if (note.place === null) (left.length <= right.length ? left : right).push(note);
  return [left, right];
}

/** Exchange notes of a margin while that makes two leaders together shorter: the shortest leaders do not cross. */
function uncross<Note extends Placed>(margin: Note[], all: readonly Note[], side: -1 | 1): void {
  const along = all.map((note) => note.place?.[1] ?? 0);
  const across = all.map((note) => side * (note.place?.[0] ?? 0));
  const [top, bottom, edge] = [Math.max(...along), Math.min(...along), Math.max(...across)];
  const length = (note: Note | undefined, row: number) => {
    const y = top - ((top - bottom) * row) / Math.max(1, margin.length - 1);
    return Math.hypot(edge - side * (note?.place?.[0] ?? 0), y - (note?.place?.[1] ?? 0));
  };
  for (let isBetter = true; isBetter; ) {
    isBetter = false;
    for (let upper = 0; upper < margin.length; upper++)
      for (let lower = upper + 1; lower < margin.length; lower++) {
        const [one, other] = [margin[upper], margin[lower]];
        if (one === undefined || other === undefined) continue;
        if (length(other, upper) + length(one, lower) < length(one, upper) + length(other, lower) - 1e-9) {
          [margin[upper], margin[lower]] = [other, one];
          isBetter = true;
        }
      }
  }
}
