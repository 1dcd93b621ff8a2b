/** A day of the calendar in words; it is no moment, so no clock moves it. */
export function day(iso: string, language: "en" | "es"): string {
  const written = new Intl.DateTimeFormat(language === "es" ? "es-US" : "en-US", {
    dateStyle: "long",
    timeZone: "UTC",
  });
  return written.format(new Date(`${iso.slice(0, 10)}T00:00:00Z`));
}

/** The day of a moment where the reader is. */
export function dayOf(moment: string, language: "en" | "es"): string {
  return new Intl.DateTimeFormat(language === "es" ? "es-US" : "en-US", { dateStyle: "long" }).format(new Date(moment));
}
