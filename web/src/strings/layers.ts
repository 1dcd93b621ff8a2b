import { words } from "./words";

/** What a sheet shows of the office's reading. */
export const texts = words({
  shows: ["The sheet shows", "La hoja muestra"],
  "low-spots": ["low spots, with their depth", "charcos, con su hondura"],
  slopes: ["the fall of each court", "la caída de cada cancha"],
  straightedge: ["the worst straightedge", "la peor regla"],
  heights: ["lines of equal height", "líneas de igual altura"],
  surface: ["a new surface: cut and fill", "una superficie nueva: corte y relleno"],
  noSurface: [
    "Nobody has tried a new surface over {pad} on {device}.",
    "Nadie ha probado una superficie nueva sobre {pad} en {device}.",
  ],
  toSurface: ["Try one", "Probar una"],
});
