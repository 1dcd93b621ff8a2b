import { words } from "./words";

/** Words that the verdict, the remedies and the price share. */
export const texts = words({
  from: ["The office's answer of {at}.", "Respuesta de la oficina de {at}."],
  old: [
    "The office's answer of {at}. The walk has changed since; what was typed later is not in it.",
    "Respuesta de la oficina de {at}. El recorrido ha cambiado desde entonces; lo escrito después no está en ella.",
  ],
  none: [
    "The office has not judged this walk yet. It does with signal, signed in.",
    "La oficina aún no ha juzgado este recorrido. Lo hace con señal y habiendo entrado.",
  ],
  first: [
    "Nothing was found yet: begin with the walk, then the office can judge it.",
    "Aún no hay nada hallado: empiece por el recorrido; después la oficina puede juzgarlo.",
  ],
  toWalk: ["To the walk", "Al recorrido"],
  signIn: ["Sign in", "Entrar"],
  askAgain: ["Ask the office", "Preguntar a la oficina"],
  asking: ["The office is working on it… {percent} %", "La oficina lo está calculando… {percent} %"],
  yes: ["yes", "sí"],
  no: ["no", "no"],
  notKnown: ["not known", "no se sabe"],
  factIs: ["{fact}: {value}", "{fact}: {value}"],
  sources: ["Where this comes from", "De dónde sale"],
  toOffer: ["To the offer", "A la oferta"],
  aid: [
    "An aid to judgment: local codes and licensed professionals decide.",
    "Una ayuda para juzgar: deciden las normas locales y los profesionales con licencia.",
  ],
});
