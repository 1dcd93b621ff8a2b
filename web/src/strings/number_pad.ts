import { words } from "./words";

export const texts = words({
  back: ["Back", "Borrar"],
  clear: ["Clear", "Vaciar"],
  ft: ["ft", "pies"],
  in: ["in", "pulg"],
  minus: ["minus", "menos"],
  point: ["point", "punto"],
  next: ["Next", "Siguiente"],
  dontKnow: ["Don't know", "No sé"],
});
