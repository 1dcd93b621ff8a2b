/** The trade's own words for the choices of a mark's properties, in either language. */
import { kindOf } from "../model/kinds";
import type { Language } from "../strings/words";

export function kindIn(kind: string, language: Language): string {
  return kindOf(kind)?.label[language] ?? kind;
}

/** The word of a choice; none where nothing was chosen. What is no choice stands as it was typed. */
export function wordIn(
  kind: string,
  property: string,
  chosen: string | undefined,
  language: Language,
): string | undefined {
  if (chosen === undefined) return undefined;
  const choices = kindOf(kind)?.properties.find(({ id }) => id === property)?.choices;
  return choices?.find(({ id }) => id === chosen)?.label[language] ?? chosen;
}
