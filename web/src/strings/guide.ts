import { words } from "./words";

export const texts = words({
  title: ["The first offer, in five minutes", "La primera oferta, en cinco minutos"],
  lead: [
    "An invented site, two pads with what was found on them. You look at it stage by stage and end with a real offer and the page that its owner sees. No message goes out: sending makes a link, and only you are shown it.",
    "Un sitio inventado, dos losas con lo que se halló en ellas. Usted lo mira etapa por etapa y termina con una oferta real y la página que ve su dueño. No sale ningún mensaje: enviar hace un enlace, y solo usted lo ve.",
  ],
  needs: [
    "This needs the office, signed in: the demo site and the reckoning are there.",
    "Esto necesita la oficina y haber entrado: el sitio de prueba y el cálculo están allí.",
  ],
  begin: ["Begin", "Empezar"],
  goOn: ["Go on where you were", "Seguir donde estaba"],
  beginAgain: ["Begin again", "Empezar de nuevo"],
  jobName: ["Demo: two pads at a club", "Prueba: dos losas de un club"],
  line: ["First offer", "Primera oferta"],
  walk: [
    "This is the walk: what was found, drawn at its place. Touch a crack to read it; its keys would change it, and what you change you can undo. Then go on.",
    "Este es el recorrido: lo hallado, dibujado en su lugar. Toque una grieta para leerla; sus teclas la cambiarían, y lo que cambie se puede deshacer. Luego siga.",
  ],
  verdict: [
    "The verdict: what the marks mean and why. Read the first note of the upper pad; the others are made alike.",
    "El dictamen: qué significan las marcas y por qué. Lea la primera nota de la losa superior; las demás son iguales.",
  ],
  remedies: [
    "The remedies on one rule of years. Read our advice, and one that is ruled out, farther down: it says why, and what would have to be different.",
    "Los remedios sobre una regla de años. Lea nuestro consejo y uno descartado, más abajo: dice por qué, y qué tendría que ser distinto.",
  ],
  price: [
    "The price with its range, for you alone. The customer sees one firm figure per option.",
    "El precio con su margen, solo para usted. El cliente ve una cifra firme por opción.",
  ],
  offer: [
    "Make the offer, look at its first page, send it, and open the link that is shown in a page of its own: that is what the owner sees. Come back here for the end.",
    "Haga la oferta, mire su primera página, envíela y abra el enlace que se muestra en otra página: eso ve el dueño. Vuelva aquí para terminar.",
  ],
  next: ["Next: {stage}", "Sigue: {stage}"],
  end: ["I have seen it", "Ya lo vi"],
  ended: [
    "That was all, in about {minutes} min. Put your own name and rates under Our company, then begin a job of your own.",
    "Eso fue todo, en unos {minutes} min. Ponga su nombre y sus tarifas en Nuestra empresa y empiece un trabajo propio.",
  ],
  toCompany: ["To our company", "A nuestra empresa"],
  stop: ["Leave the guide", "Dejar la guía"],
});
