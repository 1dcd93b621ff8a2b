import { words } from "./words";

export const texts = words({
  label: ["Prevailing wage (public work)", "Salario prevaleciente (obra pública)"],
  applies: ["Applies", "Se aplica"],
  appliesNot: ["Does not apply", "No se aplica"],
  dontKnow: ["Don't know", "No sé"],
  hint: [
    "Where a law sets the crew's wage, labor costs more. While nobody knows, it widens the price of a school or a town only.",
    "Donde una ley fija el salario de la cuadrilla, la mano de obra cuesta más. Mientras nadie lo sepa, solo amplía el precio de una escuela o un municipio.",
  ],
});
