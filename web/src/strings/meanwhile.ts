import { words } from "./words";

export const texts = words({
  lead: [
    "Not saved yet: somebody else has changed this page since you opened it.",
    "Aún no se guardó: otra persona cambió esta página desde que usted la abrió.",
  ],
  theirs: ["{title}: before {was}, now {now}", "{title}: antes {was}, ahora {now}"],
  both: [
    "{title}: they put {now}; you typed {yours}, and yours stands in the field",
    "{title}: pusieron {now}; usted escribió {yours}, y lo suyo está en el campo",
  ],
  elsewhere: ["What they changed does not stand on this page.", "Lo que cambiaron no está en esta página."],
  stays: [
    "All that you typed is still here, and theirs stands beside it.",
    "Todo lo que usted escribió sigue aquí, junto con lo de la otra persona.",
  ],
  nothing: ["nothing", "nada"],
  save: ["Save mine with theirs", "Guardar lo mío con lo suyo"],
  lookedAgain: [
    "Somebody else has changed this since you opened it. The page shows it as it is now: choose again.",
    "Otra persona lo cambió desde que usted abrió la página. Ahora se muestra como está: elija de nuevo.",
  ],
});
