import { describe, expect, it } from "vitest";
import { bareUnits, coordinateIn, geometryIn, geometryOf, placeIn, pointOf } from "../../src/model/frame";

describe("typed coordinates", () => {
  it("are read in the unit that bare numbers have, or in their own", () => {
    expect(pointOf([10, "3 m"], "us")).toEqual([3.048, 3]);
    expect(pointOf(["10", 2], "metric")).toEqual([10, 2]);
  });

  it("may lie below zero", () => {
    expect(pointOf([-10, "-3 m"], "us")).toEqual([-3.048, -3]);
    expect(pointOf(["−1 ft", "0"], "metric")).toEqual([-0.3048, 0]);
  });

  it("say nothing when one of them does not", () => {
    expect(pointOf(["", 1], "us")).toBeNull();
    expect(pointOf(["far", 1], "us")).toBeNull();
    expect(pointOf(undefined, "us")).toBeNull();
  });

  it("make no line of one point, no area of two", () => {
    expect(
      geometryOf(
        {
          type: "LineString",
          coordinates: [
            ["1", "2"],
            ["", ""],
          ],
        },
        "us",
      ),
    ).toBeNull();
    expect(
      geometryOf(
        {
          type: "Polygon",
          coordinates: [
            [
              [0, 0],
              [1, 0],
            ],
          ],
        },
        "us",
      ),
    ).toBeNull();
    expect(geometryOf("nothing", "us")).toBeNull();
  });

  it("are in the units of the marks where the walk tells of any", () => {
    expect(bareUnits(new Map([["units", "metric"]]))).toEqual({ walk: "metric", marks: "metric" });
    expect(
      bareUnits(
        new Map([
          ["units", "metric"],
          ["marks_units", "us"],
        ]),
      ),
    ).toEqual({ walk: "metric", marks: "us" });
    expect(bareUnits(new Map())).toEqual({ walk: "us", marks: "us" });
  });
});

describe("drawn points", () => {
  it("are written with their unit and no false digits", () => {
    expect(placeIn([3.048, -1.5239], "us")).toEqual(["10 ft", "-5 ft"]);
    expect(coordinateIn(1.23456, "metric")).toBe("1.235 m");
    expect(coordinateIn(-0.0001, "us")).toBe("0 ft");
  });

  it("come back as they were, to the last digit that is written", () => {
    const drawn = {
      type: "Polygon",
      coordinates: [
        [
          [0, 0],
          [4.1234, -2.5],
          [3, 7.7777],
        ],
      ],
    } as const;
    for (const [units, digit] of [
      ["us", 0.01 * 0.3048],
      ["metric", 0.001],
    ] as const) {
      const back = geometryOf(geometryIn(drawn, units), "metric");
      if (back?.type !== "Polygon") throw new Error("It is no area any more.");
      const off = (back.coordinates[0] ?? []).flatMap((point, i) =>
        point.map((value, k) => Math.abs(value - (drawn.coordinates[0][i]?.[k] ?? Number.NaN))),
      );
      expect(off).toHaveLength(6);
      // Half the last digit.
      expect(Math.max(...off)).toBeLessThanOrEqual(digit / 2 + 1e-9);
    }
  });
});
