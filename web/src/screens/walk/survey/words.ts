/** The words for kinds of file and for units of length. */
import { say } from "../../../state/settings.svelte";
import { texts } from "../../../strings/survey";
import type { Text } from "../../../strings/words";

const KINDS: Readonly<Record<string, Text>> = {
  las: texts.las,
  geotiff: texts.geotiff,
  geopackage: texts.geopackage,
  shapefile: texts.shapefile,
  dxf: texts.dxf,
  landxml: texts.landxml,
  json: texts.json,
  text: texts.text,
};

export function kindWords(kind: string): Text {
  return KINDS[kind] ?? texts.anything;
}

/** Units as `[pad.columns]` names them, their words, and their length [m]. */
export const UNITS: readonly (readonly [id: "ft" | "us-survey-ft" | "m" | "in" | "cm" | "mm", Text, number])[] = [
  ["ft", texts.ft, 0.3048],
  ["us-survey-ft", texts.usFt, 1200 / 3937],
  ["m", texts.m, 1],
  ["in", texts.in, 0.0254],
  ["cm", texts.cm, 0.01],
  ["mm", texts.mm, 0.001],
];

/** A unit by its length [m]; the two feet differ by two parts in a million. */
export function unitWord(unit_m: number): string {
  const known = UNITS.find(([, , length_m]) => Math.abs(length_m / unit_m - 1) < 5e-7);
  return known === undefined ? `${unit_m} m` : say(known[1]);
}
