import { describe, expect, it } from "vitest";
import { onPad, painted } from "../../src/plan/court_lines";

const FOOT = 0.3048;
const court = { id: "c", label: "1", sport: "tennis", centre_m: [20, 15], turned_deg: 0 } as const;

describe("the lines of a court", () => {
  it("stand where the rules have them: a doubles corner 18 ft beside and 39 ft beyond the centre", () => {
    const corner = painted(court).corners.find(({ id }) => id === "far-right-doubles-corner");
    expect(corner?.at_m[0]).toBeCloseTo(20 + 18 * FOOT, 3);
    expect(corner?.at_m[1]).toBeCloseTo(15 + 39 * FOOT, 3);
  });

  it("are turned clockwise with their court", () => {
    const move = onPad({ ...court, turned_deg: 90 });
    // What lay along y lies along x now.
    const [x, y] = move([0, 1]);
    expect([x, y].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([21, 15]);
  });

  it("are none for a sport that nobody knows", () => {
    expect(painted({ ...court, sport: "quidditch" }).lines).toEqual([]);
  });
});
