import { words } from "./words";

export const texts = words({
  title: ["Jobs", "Trabajos"],
  someoneCalls: ["Someone calls", "Alguien llama"],
  onSite: ["I am on site", "Estoy en el sitio"],
  find: ["Find a name or an address", "Buscar un nombre o una dirección"],
  none: [
    "No job is on {device} yet. Begin one: on site the first mark needs no name and no sign-in.",
    "Todavía no hay trabajos en {device}. Empiece uno: en el sitio, la primera marca no pide nombre ni entrar.",
  ],
  noneFound: ["No job has “{text}” in its name or address.", "Ningún trabajo tiene «{text}» en su nombre o dirección."],
  signInFor: [
    "These are the jobs on {device}. Sign in to see those of the office.",
    "Estos son los trabajos de {device}. Entre para ver los de la oficina.",
  ],
  phoneOnly: [
    "These are the jobs on {device}; the office is not reached.",
    "Estos son los trabajos de {device}; no se llega a la oficina.",
  ],
  more: ["Show more", "Mostrar más"],
  unsent: ["not at the office yet", "aún no está en la oficina"],
  guide: [
    "First time here? Make an offer from the demo site in five minutes.",
    "¿Primera vez? Haga una oferta con el sitio de prueba en cinco minutos.",
  ],
  newSite: ["New site", "Sitio nuevo"],
});
