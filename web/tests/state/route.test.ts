/** Where an address leads. */
import { describe, expect, it } from "vitest";
import { routeOf, toStage } from "../../src/state/route.svelte";

describe("an address", () => {
  it.each([
    ["", { at: "jobs" }],
    ["#/", { at: "jobs" }],
    ["#/jobs/a/price", { at: "job", job: "a", stage: "price", part: "" }],
    ["#/jobs/a", { at: "job", job: "a", stage: "walk", part: "" }],
    ["#/jobs/a/walk/sheet", { at: "job", job: "a", stage: "walk", part: "sheet" }],
    ["#/company/rates", { at: "company", part: "rates" }],
    ["#/jobs/a/nothing", { at: "nowhere", part: "a" }],
    ["#/elsewhere", { at: "nowhere", part: "" }],
  ])("%s", (hash, route) => expect(routeOf(hash)).toEqual(route));

  it("of a stage is read again as it was written", () => {
    expect(routeOf(toStage("a/b %", "offer", "c d"))).toEqual({ at: "job", job: "a/b %", stage: "offer", part: "c d" });
  });
});
