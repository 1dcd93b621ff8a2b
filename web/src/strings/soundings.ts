import { words } from "./words";

export const texts = words({
  title: ["Tap along a repair", "Golpear una reparación"],
  noRepair: [
    "There is no old repair on the plan of this pad. Draw one first, as a line or a patch; then tap along it.",
    "No hay ninguna reparación antigua en el plano de esta losa. Dibuje una primero, como línea o parche; luego golpéela.",
  ],
  which: ["Which repair", "Qué reparación"],
  repair: ["Repair {n}, {length}", "Reparación {n}, {length}"],
  step: ["A tap about every", "Un golpe cada"],
  tapAt: ["Tap {n} of {all}, {along} from its start", "Golpe {n} de {all}, a {along} del comienzo"],
  again: ["Tap {n} again: it was {heard}.", "Golpe {n} otra vez: era {heard}."],
  solid: ["Solid", "Macizo"],
  hollow: ["Hollow", "Hueco"],
  unknown: ["Don't know", "No sé"],
  previous: ["Back one", "Uno atrás"],
  inTurn: ["Leave it", "Dejarlo"],
  finished: [
    "The whole repair is tapped. Touch a tap on the plan to hear it again.",
    "Toda la reparación está golpeada. Toque un golpe en el plano para repetirlo.",
  ],
  soFar: [
    "{hollow} of {told} taps sound hollow, about {share} %.",
    "{hollow} de {told} golpes suenan huecos, cerca del {share} %.",
  ],
  nothingYet: ["No tap yet.", "Ningún golpe todavía."],
  notTold: ["{n} could not be told.", "{n} no se pudieron distinguir."],
  stretches: ["Hollow from its start: {list}.", "Hueco desde el comienzo: {list}."],
  stretch: ["{from} to {to}", "{from} a {to}"],
  planLabel: ["Plan with the taps", "Plano con los golpes"],
});
