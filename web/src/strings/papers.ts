import { words } from "./words";

export const texts = words({
  lead: [
    "Our own texts stand as they are typed on every paper that is made from now on. An offer that is made already stays as it is.",
    "Nuestros textos van tal como se escriben en cada papel que se haga desde ahora. Una oferta ya hecha queda como está.",
  ],
  stays: [
    "The cautions on a paper, and that local law decides, are always said.",
    "Las advertencias de un papel, y que decide la ley local, se dicen siempre.",
  ],
  inEnglish: ["{title}, in English", "{title}, en inglés"],
  inSpanish: ["{title}, in Spanish", "{title}, en español"],
  usualStands: [
    "Nothing of our own: a paper says what of the usual text concerns its work.",
    "Nada propio: un papel dice del texto usual lo que toca a su obra.",
  ],
  nothingStands: ["Nothing of our own: no paper speaks of it.", "Nada propio: ningún papel habla de esto."],
  ownStands: ["Our own text stands on every paper.", "Nuestro texto va en cada papel."],
  onlyEnglish: ["A paper in Spanish has it in English.", "Un papel en español lo lleva en inglés."],
  onlySpanish: ["A paper in English has it in Spanish.", "Un papel en inglés lo lleva en español."],
  usualEnglish: ["The usual text in English", "El texto usual en inglés"],
  usualSpanish: ["The usual text in Spanish", "El texto usual en español"],
  beginWith: ["Begin with the usual text", "Empezar con el texto usual"],
  tooLong: ["Too long by {n}.", "Demasiado largo: sobran {n}."],
  changedOne: ["{n} text is changed and not kept yet.", "{n} texto cambiado y aún sin guardar."],
  changedMany: ["{n} texts are changed and not kept yet.", "{n} textos cambiados y aún sin guardar."],
  keep: ["Keep our texts", "Guardar nuestros textos"],
  undo: ["Undo the changes", "Deshacer los cambios"],
  kept: ["Kept.", "Guardado."],
});
