/** A page with nothing but a sheet: what it shows is given from outside. Only for measuring and looking. */

import type { PointM } from "../../src/model/frame";
import { EMPTY, type PlanContent, type PlanMark } from "../../src/plan/content";
import type { Reader } from "../../src/plan/scene";
import { Sheet } from "../../src/plan/sheet";

type Given = Omit<PlanContent, "marks"> & { marks: PlanMark[] };

const target = document.getElementById("sheet") as HTMLElement;
const told: unknown[] = [];
const reader: Reader = { language: "en", units: "us" };
const sheet = new Sheet(target, reader, {
  onpick: (picked, at) => told.push(["picked", picked, at]),
  ondrawn: (kind, geometry) => told.push(["drawn", kind, geometry]),
  onedited: (id, geometry) => told.push(["edited", id, geometry]),
  ondrawing: (drawing) => told.push(["drawing", drawing]),
  onview: () => undefined,
});
sheet.show(EMPTY);

let shown: PlanContent = EMPTY;
const page = {
  sheet,
  told,
  show(given: Given): void {
    shown = { ...given, marks: new Map(given.marks.map((mark) => [mark.id, mark])) };
    sheet.show(shown);
  },
  /** A point of a mark to take hold of. */
  first(id: string): PointM {
    const mark = shown.marks.get(id);
    if (mark?.geometry.type !== "LineString") throw new Error(`${id} is no line`);
    return mark.geometry.coordinates[5] as PointM;
  },
  /** How long it takes to paint the whole sheet anew, the middle of so many times [ms]. */
  repaint(times: number): number {
    const took = Array.from({ length: times }, () => {
      sheet.show({ ...shown });
      const from = performance.now();
      sheet.renderNow();
      return performance.now() - from;
    });
    return took.sort((a, b) => a - b)[Math.floor(times / 2)] as number;
  },
};
export type PlanPage = typeof page;
Object.assign(window, { page });
