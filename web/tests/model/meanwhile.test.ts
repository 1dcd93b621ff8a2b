/** Two people change one page: nothing of either is lost, and what both changed is told. */
import { describe, expect, it } from "vitest";
import { together } from "../../src/model/meanwhile";

const same = (one: string, other: string) => one === other;
const before = { name: "Acme", phone: "1", address: "a" };

describe("brought together", () => {
  it("what was typed stays, and what somebody else has kept comes in", () => {
    const found = together(before, { ...before, phone: "2" }, { ...before, name: "Acme Courts" }, "", same);
    expect(found).toEqual({
      typed: { name: "Acme Courts", phone: "2", address: "a" },
      changed: ["phone"],
      both: [],
    });
  });

  it("where both changed one field, the typed one stands and is told", () => {
    const found = together(before, { ...before, phone: "2" }, { ...before, phone: "3" }, "", same);
    expect(found.typed.phone).toBe("3");
    expect(found).toMatchObject({ changed: ["phone"], both: ["phone"] });
  });

  it("where both typed the same, there is nothing to decide", () => {
    const found = together(before, { ...before, phone: "2" }, { ...before, phone: "2" }, "", same);
    expect(found).toMatchObject({ changed: ["phone"], both: [] });
  });

  it("a field that one took away and one that one added are seen", () => {
    const found = together({ a: "1" }, { b: "2" }, { a: "1", c: "3" }, "", same);
    expect(found).toEqual({ typed: { a: "", b: "2", c: "3" }, changed: ["a", "b"], both: [] });
  });

  it("a field that was emptied stays empty", () => {
    const found = together({ a: "1" }, { a: "2" }, { a: "" }, "", same);
    expect(found).toMatchObject({ typed: { a: "" }, both: ["a"] });
  });
});
