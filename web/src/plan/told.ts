/** What is drawn, in words: one line a thing, for a reader of the list beside the sheet. */

import { areaOf, lengthOf } from "../model/geometry";
import { kindOf } from "../model/kinds";
import * as show from "../model/show";
import { plan as texts } from "../strings/plan";
import { inLanguage, type Shown } from "../strings/words";
import type { Picked, PlanContent, PlanMark } from "./content";
import { linesOf, middleOf, wordOf } from "./marks";
import type { Reader, TextName } from "./scene";
import { kindIn, wordIn } from "./trade_words";

export interface Told {
  readonly picked: Picked;
  readonly text: string;
}

/** Every mark, then photos, free pieces and low spots that were read. */
export function told(content: PlanContent, reader: Reader): Told[] {
  const say = (name: TextName, shown: Shown = {}) => inLanguage(texts[name], reader.language, shown);
  return [
    ...[...content.marks.values()].map(
      (mark): Told => ({ picked: { kind: "mark", id: mark.id }, text: markTold(mark, reader) }),
    ),
    ...(content.lowSpots ?? []).map((spot): Told => {
      const depth =
        spot.depth_mm === undefined
          ? ""
          : `, ${say("deep", { depth: show.small(spot.depth_mm / 1000, reader.units) })}`;
      const likely = spot.likelihood === undefined ? "" : `, ${say("likely", { n: Math.round(spot.likelihood * 10) })}`;
      return { picked: { kind: "low-spot", id: spot.id }, text: say("lowSpot") + depth + likely };
    }),
    ...(content.pieces ?? [])
      .filter(({ free }) => free)
      .map(
        (piece): Told => ({
          picked: { kind: "piece", id: piece.id },
          text: `${say("freePiece")}, ${show.area(piece.area_m2, reader.units)}`,
        }),
      ),
    ...(content.stations ?? []).map(
      (station): Told => ({
        picked: { kind: "station", id: station.id },
        text: say("photo", { letter: station.letter }),
      }),
    ),
  ];
}

/** A mark as a sentence without a verb: what it is, how large, how wide, where. */
function markTold(mark: PlanMark, { language, units }: Reader): string {
  const say = (name: TextName, shown: Shown = {}) => inLanguage(texts[name], language, shown);
  const words = [kindIn(mark.kind, language)];
  const [line = []] = linesOf(mark);
  if (mark.geometry.type === "LineString") words.push(say("longOf", { length: show.run(lengthOf(line), units) }));
  if (mark.geometry.type === "Polygon") words.push(show.area(areaOf(line), units));
  if (mark.sizes_m.width !== undefined) words.push(say("wide", { width: show.small(mark.sizes_m.width, units) }));
  if (mark.sizes_m.depth !== undefined && mark.kind === "low-spot")
    words.push(say("deep", { depth: show.small(mark.sizes_m.depth, units) }));
  if (mark.sizes_m.height !== undefined && mark.kind === "heave")
    words.push(say("up", { height: show.small(mark.sizes_m.height, units) }));
  for (const property of kindOf(mark.kind)?.properties ?? []) {
    const word =
      property.kind === "word" ? wordIn(mark.kind, property.id, wordOf(mark, property.id), language) : undefined;
    if (word !== undefined) words.push(word);
  }
  if (mark.isProposal) words.push(say("proposal"));
  const [x, y] = middleOf(mark);
  words.push(say("atPlace", { x: show.run(x, units), y: show.run(y, units) }));
  return words.join(", ");
}
