import { words } from "./words";

export const texts = words({
  signInTitle: ["Sign in", "Entrar"],
  signInLead: [
    "The walk works without this. Signing in sends what is on {device} to the office, and shows the office's jobs here.",
    "El recorrido funciona sin esto. Al entrar, lo que está en {device} va a la oficina y los trabajos de la oficina se ven aquí.",
  ],
  email: ["Email address", "Correo electrónico"],
  password: ["Password", "Contraseña"],
  signIn: ["Sign in", "Entrar"],
  noReach: [
    "The office is not reached from here. What you type stays on {device}.",
    "Desde aquí no se llega a la oficina. Lo que escriba queda en {device}.",
  ],
  forgot: [
    "Forgot it? The head of the company makes you a link to choose a new one, under Our company.",
    "¿La olvidó? El jefe de la empresa le hace un enlace para elegir otra, en Nuestra empresa.",
  ],
  signedInAs: ["Signed in as {name}.", "Entró como {name}."],
  signOut: ["Sign out", "Salir"],
  settingsTitle: ["Settings of {device}", "Ajustes de {device}"],
  language: ["Language", "Idioma"],
  units: ["Units", "Unidades"],
  us: ["Feet and inches", "Pies y pulgadas"],
  metric: ["Metres", "Metros"],
  colours: ["Colors", "Colores"],
  day: ["Paper", "Papel"],
  dark: ["Dark", "Oscuro"],
  sun: ["Full sun", "Pleno sol"],
  room: ["Room on {device}", "Lugar en {device}"],
  sessions: ["Where you are signed in", "Dónde ha entrado"],
  thisOne: ["here, now", "aquí, ahora"],
  seenOn: ["seen {when}", "visto {when}"],
  endIt: ["Sign out there", "Salir allí"],
  newPassword: ["New password", "Contraseña nueva"],
  oldPassword: ["Present password", "Contraseña actual"],
  change: ["Change the password", "Cambiar la contraseña"],
  changed: [
    "The password is changed; other devices have to sign in again.",
    "La contraseña cambió; los otros aparatos deben entrar de nuevo.",
  ],
});
