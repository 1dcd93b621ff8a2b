/** Keys of the pad write what a length reader reads. */
import { describe, expect, it } from "vitest";
import { UNKNOWN } from "../../src/model/document";
import { metres } from "../../src/model/length";
import { pressed } from "../../src/model/number_pad";

const typed = (...keys: string[]) => keys.reduce(pressed, "");

describe("keys of the number pad", () => {
  it.each([
    [["4", ".", "1", "2"], "4.12", 4.12 * 0.3048],
    [["4", "'", "1", "1/2", '"'], "4' 1-1/2\"", 49.5 * 0.0254],
    [["4", "'", "1", "1/2"], "4' 1-1/2", 49.5 * 0.0254],
    [["4", "'", "3/8"], "4' 3/8", 48.375 * 0.0254],
    [["3/8", '"'], '3/8"', 0.375 * 0.0254],
    [["1", "2", "'"], "12' ", 12 * 0.3048],
  ])("%j write %s", (keys, text, length) => {
    expect(typed(...keys)).toBe(text);
    expect(metres(text, "us")).toBeCloseTo(length, 10);
  });

  it("a second fraction takes the place of the first", () => expect(typed("1", "1/2", "3/8")).toBe("1-3/8"));
  it("a second point, a second mark of feet, and a digit behind the inches write nothing", () => {
    expect(typed("4", ".", ".", "1")).toBe("4.1");
    expect(typed("4", "'", "'", "2")).toBe("4' 2");
    expect(typed("6", '"', "2", "1/2", ".")).toBe('6"');
    expect(typed("'", '"')).toBe("");
    expect(typed("4", "'", "5", ".", "5", '"')).toBe("4' 5.5\"");
  });
  it("back takes away one sign, the mark of feet with its blank", () => {
    expect(typed("4", "'", "back")).toBe("4");
    expect(typed("4", "1", "back")).toBe("4");
    expect(typed("back")).toBe("");
  });
  it("minus is put and taken back", () => {
    expect(typed("4", "-")).toBe("-4");
    expect(typed("4", "-", "-")).toBe("4");
  });
  it("a digit takes the place of what is not known, and clear takes all", () => {
    expect(pressed(UNKNOWN, "7")).toBe("7");
    expect(typed("7", "clear")).toBe("");
  });
  it("stops at a length that nobody types", () => expect(typed(...Array(60).fill("9"))).toHaveLength(24));
});
