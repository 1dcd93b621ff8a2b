/** What the company says on its papers in words of its own: as it is kept, as it is typed, as it is sent. */
import type { components } from "../api/schema";

export type Kept = components["schemas"]["TermsOut"];
export type Subject = keyof Kept;
export type Usual = components["schemas"]["UsualTermsOut"];
export const LANGUAGES = ["en", "es"] as const;
export type Language = (typeof LANGUAGES)[number];
type InBoth = Readonly<Record<Language, string>>;
export type Typed = Readonly<Partial<Record<Subject, InBoth>>>;

export const NO_TEXT: InBoth = { en: "", es: "" };

export function typedOf(typed: Typed, subject: Subject): InBoth {
  return typed[subject] ?? NO_TEXT;
}

/** The fields as they stand after a visit of the office. */
export function asKept(kept: Kept): Typed {
  const texts = Object.entries(kept).flatMap(([subject, text]) => (text ? [[subject, text]] : []));
  return Object.fromEntries(texts);
}

export function withText(typed: Typed, subject: Subject, language: Language, text: string): Typed {
  return { ...typed, [subject]: { ...typedOf(typed, subject), [language]: text } };
}

/** What is sent: a subject without a word is left out. */
export function given(typed: Typed): Typed {
  return Object.fromEntries(Object.entries(typed).filter(([, text]) => isWritten(text)));
}

function isWritten(text: InBoth): boolean {
  return LANGUAGES.some((language) => text[language].trim() !== "");
}

/** How many subjects are typed otherwise than they are kept. */
export function changed(kept: Kept, typed: Typed): number {
  const was = asKept(kept);
  const subjects = new Set([...Object.keys(was), ...Object.keys(typed)] as Subject[]);
  return [...subjects].filter((subject) => !isSame(typedOf(was, subject), typedOf(typed, subject))).length;
}

/** An empty field is an empty field, whatever blanks are in it. */
export function isSame(one: InBoth, other: InBoth): boolean {
  if (!isWritten(one) && !isWritten(other)) return true;
  return LANGUAGES.every((language) => one[language] === other[language]);
}

/** The one language in which a text is written; null where it is in both, or in none. */
export function onlyIn(text: InBoth): Language | null {
  const written = LANGUAGES.filter((language) => text[language].trim() !== "");
  return written.length === 1 ? (written[0] ?? null) : null;
}

/** The usual sentences as lines to begin with. */
export function asLines(usual: Usual, language: Language): string {
  return usual.says[language].join("\n");
}
