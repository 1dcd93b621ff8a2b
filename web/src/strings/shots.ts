import { words } from "./words";

export const texts = words({
  title: ["Level run", "Nivelación"],
  back: ["To the walk", "Al recorrido"],
  noPad: ["Tape a pad first: the grid of shots lies on it.", "Mida primero una losa: la cuadrícula va sobre ella."],
  // before the first reading
  how: ["Instrument", "Instrumento"],
  level: ["Level and rod", "Nivel y mira"],
  laser: ["Rotating laser", "Láser giratorio"],
  largerIsLower: [
    "Type what the rod or the receiver reads. A larger reading is lower ground.",
    "Escriba lo que lee la mira o el receptor. Una lectura mayor es suelo más bajo.",
  ],
  rodReads: ["The rod is marked in", "La mira está marcada en"],
  tenths: ["Tenths of a foot", "Décimas de pie"],
  inches: ["Feet and inches", "Pies y pulgadas"],
  metric: ["Metres", "Metros"],
  spacing: ["A shot about every", "Una lectura cada"],
  startAt: ["Begin at", "Empezar en"],
  height: ["Height of the instrument", "Altura del instrumento"],
  assumed: ["Count it as {height}", "Tomarla como {height}"],
  fromBench: ["From a point of known height", "Desde un punto de altura conocida"],
  bench: ["Height of that point", "Altura de ese punto"],
  benchRod: ["Rod on that point", "Mira en ese punto"],
  benchWhy: ["Type both numbers; each has to be a length.", "Escriba los dos números; cada uno debe ser una longitud."],
  assumedNote: [
    "Then only differences of height count. That is enough for water and slope.",
    "Entonces solo cuentan las diferencias de altura. Basta para el agua y la pendiente.",
  ],
  begin: ["Begin: {n} points", "Empezar: {n} puntos"],
  noGrid: [
    "No point lies on the pad, or there would be more than 600: choose another spacing.",
    "Ningún punto queda en la losa, o serían más de 600: elija otra distancia.",
  ],
  // during the run
  point: ["Point {n} of {all}", "Punto {n} de {all}"],
  rodAt: ["Rod at point {n}", "Mira en el punto {n}"],
  again: ["Point {n}, again", "Punto {n}, otra vez"],
  was: ["It was {rod}.", "Era {rod}."],
  keep: ["Keep, next point", "Guardar, siguiente punto"],
  unread: ["This is not read as a length: “{typed}”.", "Esto no se lee como una longitud: «{typed}»."],
  typeFirst: ["Type the reading first.", "Escriba primero la lectura."],
  tooLong: [
    "No rod is that long. In feet, 4.12 is four feet and twelve hundredths.",
    "Ninguna mira es tan larga. En pies, 4.12 son cuatro pies y doce centésimas.",
  ],
  previous: ["Back one", "Uno atrás"],
  blocked: ["Blocked: skip it", "Tapado: saltarlo"],
  moved: ["Move the instrument", "Mover el instrumento"],
  change: ["Change the grid", "Cambiar la cuadrícula"],
  doubt: [
    "Point {n}: {read} was read. Its neighbours say about {expected}. Read it again?",
    "Punto {n}: se leyó {read}. Sus vecinos dicen {expected}, más o menos. ¿Leerlo otra vez?",
  ],
  readAgain: ["Read it again", "Leerlo otra vez"],
  isRight: ["It is right", "Está bien"],
  keptDoubt: ["It is kept as read.", "Queda como se leyó."],
  resumed: [
    "It goes on where it stopped: {n} of {all} points are taken.",
    "Sigue donde quedó: {n} de {all} puntos tomados.",
  ],
  finished: ["All points are taken or skipped.", "Todos los puntos están tomados o saltados."],
  touchToRedo: ["Touch a point on the plan to read it again.", "Toque un punto en el plano para leerlo otra vez."],
  planLabel: ["Plan with the points of the level run", "Plano con los puntos de la nivelación"],
  // preview
  noSurface: ["Low spots show after some readings.", "Los charcos se ven después de algunas lecturas."],
  noLow: ["Preview: no low spot so far.", "Vista previa: ningún charco hasta ahora."],
  oneLow: ["Preview: {n} low spot, {depth} deep.", "Vista previa: {n} charco, de {depth} de hondo."],
  manyLow: ["Preview: {n} low spots, the deepest {depth}.", "Vista previa: {n} charcos, el más hondo de {depth}."],
  preview: [
    "The office reads the shots with more care: it knows drains and dammed edges, and says how likely each one is.",
    "La oficina lee las lecturas con más cuidado: conoce drenes y bordes tapados, y dice qué tan probable es cada uno.",
  ],
  // moving the instrument
  moveTitle: ["The instrument moves", "El instrumento se mueve"],
  turning: [
    "Turning point: leave the rod at point {n}. Move the instrument, then read the rod there again.",
    "Punto de cambio: deje la mira en el punto {n}. Mueva el instrumento y lea allí otra vez.",
  ],
  noTurning: [
    "No point was read yet. Go back, and say the height of the instrument again.",
    "Todavía no se leyó ningún punto. Vuelva y diga otra vez la altura del instrumento.",
  ],
  turningRod: ["Rod at point {n}, from the new place", "Mira en el punto {n}, desde el lugar nuevo"],
  tie: [
    "Tie back: read point {n} once more from the new place. It tells whether something moved.",
    "Comprobación: lea otra vez el punto {n} desde el lugar nuevo. Dice si algo se movió.",
  ],
  tieOff: [
    "The tie-back is {off} off. Both readings are kept. If that is more than you allow, read both again.",
    "La comprobación difiere {off}. Quedan las dos lecturas. Si es más de lo que admite, lea los dos otra vez.",
  ],
  tieHolds: ["The tie-back agrees: {off} off.", "La comprobación coincide: difiere {off}."],
  tieAgain: ["Read both again", "Leer los dos otra vez"],
  noTie: ["Go on without it", "Seguir sin ella"],
  goOn: ["Go on", "Seguir"],
  leave: ["Leave it", "Dejarlo"],
});
