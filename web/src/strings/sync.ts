import { words } from "./words";

export const texts = words({
  looking: ["Looking at what is on {device}…", "Mirando lo que hay en {device}…"],
  keeping: ["Writing to {device}…", "Escribiendo en {device}…"],
  noRoom: ["Not saved: no room on {device}.", "No guardado: no hay lugar en {device}."],
  noRoomDo: ["Save the walk as a file now, or make room.", "Guarde ahora el recorrido en un archivo, o haga lugar."],
  nothing: ["Nothing on {device} is still to be sent.", "En {device} no queda nada por enviar."],
  atOffice: ["At the office, {time}.", "En la oficina, {time}."],
  // What was true then, and what is not now, in one sentence.
  wasAtOffice: [
    "All of it was at the office at {time}, which is not reached now.",
    "Todo estaba en la oficina ({time}); ahora no se llega a ella.",
  ],
  wasAtOfficeAgain: [
    "All of it was at the office at {time}, which is not reached now and is tried again at {next}.",
    "Todo estaba en la oficina ({time}); ahora no se llega a ella y se intenta de nuevo a las {next}.",
  ],
  here: ["On {device}, {what} not at the office yet.", "En {device}, {what} todavía no están en la oficina."],
  onItsWay: ["On {device}, {what} on the way to the office.", "En {device}, {what} en camino a la oficina."],
  // Where a phone's screen has one line for it.
  lookingShort: ["Looking…", "Mirando…"],
  keepingShort: ["Writing…", "Escribiendo…"],
  nothingShort: ["Nothing to send.", "Nada por enviar."],
  wasAtOfficeShort: ["Sent {time}; not reached", "Enviado {time}; ahora no"],
  hereShort: ["On {device}, {what}", "En {device}, {what}"],
  bothShort: ["Here, {changes}, {photos}", "Aquí, {changes}, {photos}"],
  more: ["More", "Más"],
  less: ["Less", "Menos"],
  oneChange: ["1 change", "1 cambio"],
  changes: ["{n} changes", "{n} cambios"],
  onePhoto: ["1 photo", "1 foto"],
  photos: ["{n} photos", "{n} fotos"],
  and: ["{one} and {other}", "{one} y {other}"],
  signedOut: ["Not signed in:", "No ha entrado:"],
  signIn: ["sign in to send", "entre para enviar"],
  notReached: ["The office is not reached.", "No se llega a la oficina."],
  triedAgainAt: [
    "The office is not reached, tried again at {time}.",
    "No se llega a la oficina, se intenta de nuevo a las {time}.",
  ],
  tryNow: ["Try now", "Intentar ahora"],
  refused: ["The office did not take everything:", "La oficina no tomó todo:"],
  refusedTyped: [
    "The office did not take what was typed into this walk: {why}",
    "La oficina no tomó lo escrito en este recorrido: {why}",
  ],
  refusedTypedDo: [
    "All of it stays on {device}. Save the walk as a file, and ask the head of the company; once that is mended, send it again.",
    "Todo queda en {device}. Guarde el recorrido en un archivo y pregunte al jefe de la empresa; cuando esté resuelto, envíelo otra vez.",
  ],
  sendAgain: ["Send it again", "Enviarlo otra vez"],
  nearlyFull: ["Little room is left on {device}: {left} MB.", "Queda poco lugar en {device}: {left} MB."],
  letGo: [
    "Take {n} photos that are at the office off {device} ({size} MB)",
    "Quitar de {device} {n} fotos que ya están en la oficina ({size} MB)",
  ],
  nothingToLetGo: [
    "No photo can be taken off: none of them is at the office.",
    "No se puede quitar ninguna foto: ninguna está en la oficina.",
  ],
  used: ["{used} MB are used on {device}.", "Se usan {used} MB en {device}."],
  usedOf: ["{used} MB of {allowed} MB are used on {device}.", "Se usan {used} MB de {allowed} MB en {device}."],
  persistent: ["The browser does not clear it by itself.", "El navegador no lo borra por sí mismo."],
  notPersistent: [
    "The browser may clear it when {device} gets full: send it to the office soon.",
    "El navegador puede borrarlo si {device} se llena: envíelo pronto a la oficina.",
  ],
  newRelease: ["A newer version is ready.", "Hay una versión más nueva."],
  takeOver: ["Open it now", "Abrirla ahora"],
  saveWalk: ["Save the walk as a file", "Guardar en un archivo"],
  saveWalkHint: [
    "Works without signal. The file holds all that was typed, not the photos.",
    "Funciona sin señal. El archivo contiene todo lo escrito, no las fotos.",
  ],
  saved: ["The file {name} is saved.", "El archivo {name} está guardado."],
});
