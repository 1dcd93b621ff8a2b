import { describe, expect, it } from "vitest";
import { asKept, asLines, changed, given, onlyIn, typedOf, withText } from "../../src/model/own_terms";

const KEPT = {
  warranty: { en: "Two years.", es: "" },
  exclusions: null,
  payment: null,
  needs: { en: "A tap.", es: "Una llave." },
};

describe("texts of our own", () => {
  it("are typed from what is kept, and nothing is changed by that", () => {
    const typed = asKept(KEPT);
    expect(typedOf(typed, "warranty")).toEqual({ en: "Two years.", es: "" });
    expect(typedOf(typed, "payment")).toEqual({ en: "", es: "" });
    expect(changed(KEPT, typed)).toBe(0);
    expect(given(typed)).toEqual({ warranty: KEPT.warranty, needs: KEPT.needs });
  });

  it("are counted as changed subject by subject, until they are typed back", () => {
    let typed = withText(asKept(KEPT), "payment", "es", "La mitad.");
    typed = withText(typed, "needs", "en", "A tap and a key.");
    expect(changed(KEPT, typed)).toBe(2);
    expect(given(typed).payment).toEqual({ en: "", es: "La mitad." });
    typed = withText(typed, "payment", "es", "");
    expect(changed(KEPT, withText(typed, "needs", "en", "A tap."))).toBe(0);
  });

  it("are taken away by an empty field, and blanks alone are no text", () => {
    const typed = withText(asKept(KEPT), "warranty", "en", "");
    expect(changed(KEPT, typed)).toBe(1);
    expect(given(typed)).toEqual({ needs: KEPT.needs });
    const blank = withText(asKept(KEPT), "payment", "en", " \n ");
    expect(changed(KEPT, blank)).toBe(0);
    expect(given(blank).payment).toBeUndefined();
  });

  it("tell in which one language they are written", () => {
    expect(onlyIn({ en: "A tap.", es: " " })).toBe("en");
    expect(onlyIn({ en: "", es: "Una llave." })).toBe("es");
    expect(onlyIn(KEPT.needs)).toBeNull();
    expect(onlyIn({ en: "", es: "" })).toBeNull();
  });

  it("begin with the usual sentences, a line each", () => {
    const says = { en: ["A tap.", "A key."], es: ["Una llave."] };
    const usual = { subject: "needs", title: { en: "Needs", es: "Lo necesario" }, says, most_letters: 9 } as const;
    expect(asLines({ ...usual, says }, "en")).toBe("A tap.\nA key.");
  });
});
