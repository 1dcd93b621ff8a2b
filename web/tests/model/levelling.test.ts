/** Rod readings become elevations, and one that its neighbours do not bear out is asked about. */
import { describe, expect, it } from "vitest";
import { metres } from "../../src/model/length";
import { ASSUMED, doubted, elevationText, isReading, type Known, shotOf } from "../../src/model/levelling";

const FOOT = 0.3048;
const taken = {
  pad: "p",
  point: 3,
  x: "10 ft",
  y: "0 ft",
  rod: "4.12 ft",
  rod_m: 4.12 * FOOT,
  instrument_m: metres(ASSUMED.us, "us") ?? 0,
  setUp: 1,
};

describe("elevations", () => {
  it("are the height of the instrument less the reading", () => {
    expect(shotOf(taken, "us")).toMatchObject({
      elevation: "95.88 ft",
      rod: "4.12 ft",
      instrument: "100 ft",
      point: "3",
    });
    expect(shotOf({ ...taken, rod: "1.256 m", rod_m: 1.256, instrument_m: 30 }, "metric").elevation).toBe("28.744 m");
  });
  it("keep the eighths of an inch", () => {
    const rod = "4' 1-1/8\"";
    const shot = shotOf({ ...taken, rod, rod_m: metres(rod, "us") ?? 0 }, "us");
    // 100 - 4.09375 = 95.90625.
    expect(Math.abs((metres(String(shot.elevation), "us") ?? 0) - 95.90625 * FOOT)).toBeLessThan(2e-5);
  });
  it("read back as they were written", () => {
    for (let i = 0; i < 50; i++) {
      const z = 20 + i * 0.0137;
      expect(Math.abs((metres(elevationText(z, "us"), "us") ?? 0) - z)).toBeLessThan(2e-5);
    }
  });
  it("tell a reading from a point that was passed over", () => {
    expect(isReading(shotOf(taken, "us"))).toBe(true);
    expect(isReading({ pad: "p", point: "4", elevation: "unknown" })).toBe(false);
  });
});

describe("what the neighbours say", () => {
  let seed = 3;
  const noise = () => {
    seed = (seed * 48271) % 2147483647;
    return (seed / 2147483647 - 0.5) * 0.006;
  };
  const court: Known[] = Array.from({ length: 48 }, (_, i) => {
    const [x, y] = [(i % 6) * 3, Math.floor(i / 6) * 3];
    return { x_m: x, y_m: y, z_m: 30 - 0.008 * y + noise() };
  });

  it("bears out every reading of a plain court", () => {
    for (const one of court)
      expect(
        doubted(
          one,
          court.filter((other) => other !== one),
        ),
      ).toBeNull();
  });
  it("does not bear out a tenth of a foot misread, and says about what it should be", () => {
    const one = court[20] as Known;
    const said = doubted(
      { ...one, z_m: one.z_m + 0.1 * FOOT * 2 },
      court.filter((other) => other !== one),
    );
    expect(said).not.toBeNull();
    expect(Math.abs((said ?? 0) - one.z_m)).toBeLessThan(0.01);
  });
  it("lets a low spot of an inch pass once the court is as rough as that", () => {
    const rough = court.map((one, i) => ({ ...one, z_m: one.z_m + (i % 3 === 0 ? -0.025 : 0.01) }));
    const one = rough[21] as Known;
    expect(
      doubted(
        { ...one, z_m: one.z_m - 0.025 },
        rough.filter((other) => other !== one),
      ),
    ).toBeNull();
  });
  it("asks about the second reading when it is a foot off, before there are neighbours", () => {
    const first: Known = { x_m: 0, y_m: 0, z_m: 28.7 };
    expect(doubted({ x_m: 3, y_m: 0, z_m: 28.69 }, [first])).toBeNull();
    expect(doubted({ x_m: 3, y_m: 0, z_m: 28.4 }, [first])).toBe(28.7);
    expect(doubted(first, [])).toBeNull();
  });
});
