/** The keys of a pad that are known without a mark, as they are asked. Their choices are those of the facts. */
import { FACTS } from "../../model/blanks";
import { kindOf, type Property } from "../../model/kinds";
import { texts } from "../../strings/walk";

const label = (text: readonly [string, string]) => ({ en: text[0], es: text[1] });
const probe = kindOf("probe");

function quickOf(id: string): Pick<Property, "quick"> {
  const quick = probe?.properties.find((property) => property.id === id)?.quick;
  return quick === undefined ? {} : { quick };
}

export const padFacts: readonly Property[] = [
  {
    id: "surface",
    label: label(texts.surface),
    kind: "word",
    choices: FACTS.find(({ id }) => id === "surface")?.choices ?? [],
  },
  {
    id: "coating",
    label: label(texts.coating),
    kind: "word",
    choices: [
      { id: "acrylic", label: label(texts.acrylic) },
      { id: "none", label: label(texts.none) },
    ],
  },
  { id: "built", label: label(texts.built), kind: "years" },
  { id: "last_resurfaced", label: label(texts.lastResurfaced), kind: "years" },
  { id: "asphalt_thickness", label: label(texts.asphaltThickness), kind: "small", ...quickOf("asphalt_thickness") },
  { id: "base_thickness", label: label(texts.baseThickness), kind: "small", ...quickOf("base_thickness") },
  { id: "north_deg", label: label(texts.northDeg), kind: "degrees" },
];
