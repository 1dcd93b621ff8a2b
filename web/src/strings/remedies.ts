import { words } from "./words";

export const texts = words({
  title: ["Remedies", "Remedios"],
  lead: [
    "Every option on one rule of forty years: the work and its waits, new color as it falls due, and how long it lasts; dashed where it may.",
    "Cada opción sobre una regla de cuarenta años: la obra y sus esperas, el color cuando toca, y cuánto dura; a trazos donde puede.",
  ],
  years: ["years", "años"],
  strip: [
    "{option}: crew days {work}, days of waiting {waits}, lasts {from} to {to} years",
    "{option}: días de cuadrilla {work}, días de espera {waits}, dura de {from} a {to} años",
  ],
  stripSaid: [
    "Crew days: {work}. Days of waiting: {waits}. Lasts {from} to {to} years.",
    "Días de cuadrilla: {work}. Días de espera: {waits}. Dura de {from} a {to} años.",
  ],
  colourEvery: ["New color every {n} years.", "Color nuevo cada {n} años."],
  ourAdvice: ["Our advice for {pad}", "Nuestro consejo para {pad}"],
  open: ["Open", "Posible"],
  "ruled out": ["Ruled out", "Descartado"],
  "open if": ["Open if more is known", "Posible si se sabe más"],
  price: ["firm {firm}; between {low} and {high}", "firme {firm}; entre {low} y {high}"],
  noPrice: ["no price", "sin precio"],
  because: ["Because", "Porque"],
  leaves: ["It does not mend", "No arregla"],
  different: ["What would have to be different", "Qué tendría que ser distinto"],
  allOf: ["All of this together:", "Todo esto a la vez:"],
  orAll: ["Or all of this:", "O todo esto:"],
  need: ["{fact}: now {is}; it would have to be {needs}.", "{fact}: ahora {is}; tendría que ser {needs}."],
  "at-most": ["{value} or less", "{value} o menos"],
  below: ["less than {value}", "menos de {value}"],
  "at-least": ["{value} or more", "{value} o más"],
  above: ["more than {value}", "más de {value}"],
  is: ["{value}", "{value}"],
  settles: ["Knowing this would decide it", "Saber esto lo decidiría"],
  howTo: ["{how}; about {n} min.", "{how}; unos {n} min."],
  leavesHole: ["Leaves a hole: ask the owner first.", "Deja un hueco: pregunte antes al dueño."],
  answered: [
    "Noted. Ask the office again when all is answered.",
    "Anotado. Pregunte de nuevo a la oficina cuando todo esté respondido.",
  ],
  more: ["The reasons, and what it leaves", "Las razones y lo que deja"],
  others: ["Remedies that do not come into question", "Remedios que no vienen al caso"],
  byHand: [
    "An option is left out, or one is added, in the offer; there its price is set as well.",
    "Una opción se deja fuera o se agrega en la oferta; allí también se fija su precio.",
  ],
});
