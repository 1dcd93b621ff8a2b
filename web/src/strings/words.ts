/** A text in the two languages of the client. No Spanish text here was read by a native reader yet. */
export type Text = readonly [english: string, spanish: string];
export type Language = "en" | "es";
export type Shown = Readonly<Record<string, string | number>>;

/** The words of a screen. `{name}` stands for a value; both languages have the same. */
export function words<const Words extends Record<string, Text>>(given: Words): Words {
  return given;
}

/** A text in a language, its values filled in. */
export function inLanguage(text: Text, language: Language, shown: Shown = {}): string {
  return text[language === "en" ? 0 : 1].replace(/\{(\w+)\}/g, (whole, name: string) => String(shown[name] ?? whole));
}
