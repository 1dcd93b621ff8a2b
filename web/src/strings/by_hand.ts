import { words } from "./words";

export const texts = words({
  title: ["Set by hand: words, options, prices", "Fijar a mano: textos, opciones, precios"],
  reading: ["Reading what can be chosen…", "Leyendo lo que se puede elegir…"],
  words: ["In your own words", "Con sus palabras"],
  wordsLead: [
    "The customer reads them as you write them, in the language you write.",
    "El cliente los lee como los escribe, en el idioma en que los escribe.",
  ],
  greeting: ["Before everything else", "Antes de todo"],
  note: ["On the first page", "En la primera página"],
  closing: ["At the end, before the acceptance", "Al final, antes de la aceptación"],
  options: ["Options on pad {pad}", "Opciones en la losa {pad}"],
  optionsLead: [
    "Two to four are enough to decide from. On the paper our advice stands first.",
    "Dos a cuatro bastan para decidir. En el papel nuestro consejo va primero.",
  ],
  standsIf: ["It stands only once this is settled:", "Vale solo cuando se aclare esto:"],
  advised: ["{option} (we advise it)", "{option} (la aconsejamos)"],
  onlyAdvised: ["Offer only what we advise", "Ofrecer solo lo que aconsejamos"],
  enough: ["What we advise is enough to decide from.", "Lo que aconsejamos basta para decidir."],
  cannot: ["What cannot be offered on pad {pad}, and why", "Lo que no se puede ofrecer en la losa {pad}, y por qué"],
  noPrice: ["no work with a price, so nothing to offer", "ningún trabajo con precio, así que nada que ofrecer"],
  whyShown: ["Why it is offered all the same: {option}", "Por qué se ofrece de todos modos: {option}"],
  whyHeld: ["Why it is held back: {option}", "Por qué no se ofrece: {option}"],
  inOffice: ["This stays in the office.", "Esto queda en la oficina."],
  more: ["Price and note: {option}", "Precio y nota: {option}"],
  price: ["Firm price set by hand: {option}", "Precio firme fijado a mano: {option}"],
  priceHint: ["Reckoned: {reckoned}. Left blank, that one stands.", "Calculado: {reckoned}. En blanco, vale ese."],
  whyPrice: ["Why this price: {option}", "Por qué este precio: {option}"],
  beside: ["A note beside it for the customer: {option}", "Una nota al lado para el cliente: {option}"],
  lackNone: ["Pad {pad}: leave at least one option.", "Losa {pad}: deje al menos una opción."],
  lackReason: ["Pad {pad}, {title}: give the reason.", "Losa {pad}, {title}: dé la razón."],
  lackPrice: [
    "Pad {pad}, {title}: give the price as a whole amount, such as 12,500.",
    "Losa {pad}, {title}: dé el precio como cantidad entera, como 12,500.",
  ],
  lackBecause: [
    "Pad {pad}, {title}: say why the price is set by hand.",
    "Losa {pad}, {title}: diga por qué se fijó el precio a mano.",
  ],
  write: ["Write the papers with this", "Escribir los papeles con esto"],
});
