import { words } from "./words";

export const texts = words({
  title: ["Price", "Precio"],
  lead: [
    "For the estimator alone. The customer sees one firm figure for each option.",
    "Solo para el presupuestista. El cliente ve una cifra firme por opción.",
  ],
  scale: [
    "From {from} to {to}, all options of this pad on one scale.",
    "De {from} a {to}, todas las opciones de esta losa a una escala.",
  ],
  firm: ["Firm price {firm}", "Precio firme {firm}"],
  band: [
    "As likely under {p50} as over; one time in ten under {p10}, one in five over {p80}, one in ten over {p90}.",
    "Tan probable menos de {p50} como más; una de diez menos de {p10}, una de cinco más de {p80}, una de diez más de {p90}.",
  ],
  bandLeast: [
    "At least {p50}, and as likely that as more; one time in five over {p80}, one in ten over {p90}.",
    "Al menos {p50}, y tan probable eso como más; una de cinco más de {p80}, una de diez más de {p90}.",
  ],
  bandAlt: ["{option}: {p10} to {p90}", "{option}: de {p10} a {p90}"],
  onlyIf: ["only if more is known", "solo si se sabe más"],
  drives: ["What spreads it, biggest first", "Qué la hace variar, de mayor a menor"],
  share: ["{says}, {percent} % of the spread", "{says}, {percent} % de la variación"],
  includes: ["Includes", "Incluye"],
  two: ["Two ways to the price", "Dos caminos al precio"],
  apart: [
    "By unit rates {rates}; by days and material {days}: {gap} apart, {percent} %.",
    "Por tarifas unitarias {rates}; por días y material {days}: {gap} de diferencia, {percent} %.",
  ],
  buildUp: ["Day by day", "Día por día"],
  quantities: ["Quantities", "Cantidades"],
  quantity: ["{title}: {amount} ± {sd} {unit}", "{title}: {amount} ± {sd} {unit}"],
  allowances: ["Allowances, billed by what is found", "Provisiones, cobradas según lo hallado"],
  allowance: [
    "{title} at {rate} per {unit}: about {expected} {unit} expected, {p80} or less four times in five.",
    "{title} a {rate} por {unit}: unos {expected} {unit} esperados, {p80} o menos cuatro de cada cinco veces.",
  ],
  years: ["Life and years", "Vida y años"],
  life: [
    "Lasts about {p50} years, between {p10} and {p90}. Per court and year {year}, between {low} and {high}, with the upkeep.",
    "Dura unos {p50} años, entre {p10} y {p90}. Por cancha y año {year}, entre {low} y {high}, con el mantenimiento.",
  ],
  holds: ["The price holds for {n} days.", "El precio vale {n} días."],
  more: ["How it is made up", "Cómo se compone"],
  changed: ["Since the answer of {at}", "Desde la respuesta de {at}"],
  narrower: ["{option}: {amount} less between the ends.", "{option}: {amount} menos entre los extremos."],
  wider: ["{option}: {amount} more between the ends.", "{option}: {amount} más entre los extremos."],
  dearer: ["{option}: likely {amount} more.", "{option}: probablemente {amount} más."],
  cheaper: ["{option}: likely {amount} less.", "{option}: probablemente {amount} menos."],
  came: ["{option} is priced now.", "{option} tiene precio ahora."],
  went: ["{option} has no price any more.", "{option} ya no tiene precio."],
  noneMoved: ["No price has moved.", "Ningún precio se movió."],
});
