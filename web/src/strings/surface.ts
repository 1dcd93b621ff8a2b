import { words } from "./words";

/** A new surface: what is asked of it, what it takes, what holds it, its stake-out. */
export const texts = words({
  title: ["A new surface", "Una superficie nueva"],
  lead: [
    "The surface that needs the least asphalt, reckoned on {device}. Move a slider, and it follows.",
    "La superficie que necesita menos asfalto, calculada en {device}. Mueva un control y la sigue.",
  ],
  open: ["Try a new surface over it", "Probar una superficie nueva encima"],
  back: ["Back to the remedies", "Volver a los remedios"],
  pad: ["Pad", "Losa"],
  planOf: ["Plan of {pad} with its new surface", "Plano de {pad} con su superficie nueva"],
  noHeights: [
    "There is no new surface without heights. Shoot the pad first.",
    "No hay superficie nueva sin alturas. Tome antes lecturas de la losa.",
  ],
  shoot: ["To the shot run", "A la toma de lecturas"],

  slopeMin: ["Least slope", "Pendiente mínima"],
  slopeMax: ["Most slope", "Pendiente máxima"],
  least: ["Least thickness", "Espesor mínimo"],
  stone: ["Largest stone of the mix", "Piedra mayor de la mezcla"],
  grading: ["Mix", "Mezcla"],
  fine: ["fine graded", "de granulometría fina"],
  coarse: ["coarse graded", "de granulometría gruesa"],
  layout: ["Planes", "Planos"],
  one: ["one", "uno"],
  courts: ["one a court", "uno por cancha"],
  leastOf: ["whichever needs less", "lo que necesite menos"],
  noFolds: [
    "No straight fold passes between courts here, so there is one plane.",
    "Ningún quiebre recto pasa entre las canchas, así que hay un solo plano.",
  ],
  foldsBlocked: [
    "Planes that fold between courts do not meet what is fixed without milling, so there is one plane.",
    "Los planos con quiebres entre canchas no respetan lo fijo sin fresar, así que hay un solo plano.",
  ],
  thin: [
    "Thinner than stone and cooling allow: {rule}. Ask the plant for a finer mix.",
    "Menos de lo que permiten la piedra y el enfriamiento: {rule}. Pida a la planta una mezcla más fina.",
  ],

  takes: ["What it takes", "Lo que necesita"],
  mass: ["{mass} of asphalt, {volume}, without waste", "{mass} de asfalto, {volume}, sin desperdicio"],
  thickness: ["{least} to {most} thick", "De {least} a {most} de espesor"],
  even: ["{least} thick", "{least} de espesor"],
  twoLifts: ["Over {lift} it goes down in two lifts.", "Con más de {lift} se coloca en dos capas."],
  falls: ["It falls {slope} %.", "Cae {slope} %."],
  courtFalls: ["Court {courts}: {slope} %.", "Cancha {courts}: {slope} %."],
  courtsFall: ["Courts {courts}: {slope} %.", "Canchas {courts}: {slope} %."],
  milled: [
    "The old surface is milled first: {volume}, up to {depth} deep.",
    "Antes se fresa la superficie vieja: {volume}, hasta {depth} de hondo.",
  ],
  notMilled: ["Nothing is milled.", "No se fresa nada."],
  miss: [
    "No plane of these slopes meets all that is fixed: the nearest misses by {miss}. Free a point, or widen the slopes.",
    "Ningún plano con estas pendientes respeta todo lo fijo: el más cercano falla por {miss}. Libere un punto o amplíe las pendientes.",
  ],

  holds: ["What holds it", "Lo que la sujeta"],
  byLeast: ["The least slope: it may be no flatter.", "La pendiente mínima: no puede ser más plana."],
  byMost: ["The most slope: it may be no steeper.", "La pendiente máxima: no puede ser más inclinada."],
  ground: ["{n}: the ground at {x} across, {y} along", "{n}: el terreno a {x} de ancho, {y} de largo"],
  edge: ["{n}: the edge of the pad at {x} across, {y} along", "{n}: el borde de la losa a {x} de ancho, {y} de largo"],
  gate: ["{n}: the gate at {x} across, {y} along", "{n}: el portón a {x} de ancho, {y} de largo"],
  drain: ["{n}: the drain at {x} across, {y} along", "{n}: el dren a {x} de ancho, {y} de largo"],
  wall: ["{n}: the top of the wall at {x} across, {y} along", "{n}: la corona del muro a {x} de ancho, {y} de largo"],
  point: ["{n}: the point to meet at {x} across, {y} along", "{n}: el punto por respetar a {x} de ancho, {y} de largo"],
  gates: ["Gates and drains", "Portones y drenes"],
  gatesMet: [
    "The surface meets them as they stand. Where they can take a higher pad, answer so; then it need not.",
    "La superficie los respeta como están. Si admiten una losa más alta, respóndalo; entonces no hace falta.",
  ],
  office: ["What the office says of the heights", "Lo que dice la oficina de las alturas"],

  points: ["Points to meet", "Puntos por respetar"],
  pointsLead: [
    "A door, a walk, a slab beside it: the new surface meets the ground there as it lies.",
    "Una puerta, una acera, una losa vecina: ahí la superficie nueva respeta el terreno como está.",
  ],
  addPoint: ["Meet a point", "Respetar un punto"],
  offPad: [
    "That is off the pad's heights. Touch a place on the pad.",
    "Eso está fuera de las alturas de la losa. Toque un lugar sobre la losa.",
  ],
  pointAt: ["{letter}: at {x} across, {y} along", "{letter}: a {x} de ancho, {y} de largo"],
  free: ["Free point {letter}", "Liberar el punto {letter}"],

  edges: ["At the corners", "En las esquinas"],
  corner: ["Corner", "Esquina"],
  up: ["New surface over the old", "Superficie nueva sobre la vieja"],
  down: ["{depth} lower", "{depth} más baja"],

  stakes: ["Take the stake-out", "Llevarse el replanteo"],
  stakesNote: [
    "A workbook and a drawing for the crew. The office makes them from the walk as it has it.",
    "Un libro de cálculo y un dibujo para la cuadrilla. La oficina los hace con el recorrido que tiene.",
  ],
  making: ["The office is making it.", "La oficina lo está haciendo."],
  taken: ["Saved as {name}.", "Guardado como {name}."],
  noStakes: ["There is no surface to stake out.", "No hay superficie que replantear."],
});
