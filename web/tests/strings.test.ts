/** Every text has both languages, with the same values to fill in. */
import { describe, expect, it } from "vitest";
import type { Text } from "../src/strings/words";

const files = import.meta.glob<Record<string, unknown>>("../src/strings/*.ts", { eager: true });
const texts = Object.entries(files).flatMap(([file, exported]) =>
  Object.values(exported)
    .filter((one): one is Record<string, Text> => typeof one === "object" && one !== null)
    .flatMap((words) => Object.entries(words).map(([name, text]) => [`${file} ${name}`, text] as const)),
);
const names = (text: string) => [...text.matchAll(/\{(\w+)\}/g)].map((found) => found[1]).sort();

describe("the words of the screens", () => {
  it("are there", () => expect(texts.length).toBeGreaterThan(20));

  it.each(texts)("%s has both languages with the same values", (_, [english, spanish]) => {
    expect(english.trim()).not.toBe("");
    expect(spanish.trim()).not.toBe("");
    expect(names(spanish)).toEqual(names(english));
  });
});
