/** Named things to draw, one of each, for tests. */
import type { PlanContent, PlanMark } from "../../src/plan/content";

export function mark(id: string, kind: string, geometry: PlanMark["geometry"], more: Partial<PlanMark> = {}): PlanMark {
  return { id, kind, geometry, properties: {}, sizes_m: {}, ...more };
}

export function line(...points: (readonly [number, number])[]): PlanMark["geometry"] {
  return { type: "LineString", coordinates: points };
}

export function point(x: number, y: number): PlanMark["geometry"] {
  return { type: "Point", coordinates: [x, y] };
}

/** A pad of 40 by 30 m with one tennis court in its middle. */
export function tennis(...marks: PlanMark[]): PlanContent {
  return {
    pad: {
      id: "pad",
      label: "upper",
      outline_m: [
        [0, 0],
        [40, 0],
        [40, 30],
        [0, 30],
      ],
    },
    courts: [{ id: "court", label: "1", sport: "tennis", centre_m: [20, 15], turned_deg: 0 }],
    marks: new Map(marks.map((one) => [one.id, one])),
  };
}
