import { describe, expect, it } from "vitest";
import { Draft, handlesOf, holdAt, pulled, withoutPoint } from "../../src/plan/draft";
import { Editing } from "../../src/plan/editing";
import { Nearby } from "../../src/plan/nearby";
import { line, mark, point, tennis } from "./specimens";

describe("a drawing", () => {
  it("of a crack is a line from its second point on", () => {
    const draft = new Draft("crack");
    expect(draft.add([0, 0])).toBe(false);
    expect(draft.canFinish).toBe(false);
    draft.add([3, 4]);
    expect(draft.geometry).toEqual(line([0, 0], [3, 4]));
    expect(draft.state).toMatchObject({ kind: "crack", shape: "LineString", count: 2, length_m: 5, canFinish: true });
  });

  it("tells the length to the point that is aimed at", () => {
    const draft = new Draft("crack");
    draft.add([0, 0]);
    draft.aim = [0, 2];
    expect(draft.state.length_m).toBe(2);
  });

  it("takes its last point back", () => {
    const draft = new Draft("crack");
    draft.add([0, 0]);
    draft.add([1, 0]);
    draft.undo();
    expect(draft.points).toEqual([[0, 0]]);
  });

  it("goes on from points that were put before, and tells when there is another one", () => {
    const before = new Draft("crack");
    before.add([0, 0]);
    before.add([3, 4]);
    const { points_m } = before.state;
    const after = new Draft("crack", "LineString", points_m);
    expect(after.state).toEqual(before.state);
    after.aim = [3, 5];
    expect(after.state.points_m).toBe(points_m);
    after.add([3, 5]);
    expect(after.state.points_m).toEqual([...points_m, [3, 5]]);
    expect(before.state.points_m).toBe(points_m);
  });

  it("of a point is finished by its first point, of an area where it began", () => {
    expect(new Draft("sounding").add([1, 1])).toBe(true);
    const area = new Draft("low-spot");
    for (const at of [
      [0, 0],
      [2, 0],
      [2, 2],
    ] as const)
      expect(area.add(at)).toBe(false);
    expect(area.add([0, 0])).toBe(true);
    expect(area.geometry).toEqual({
      type: "Polygon",
      coordinates: [
        [
          [0, 0],
          [2, 0],
          [2, 2],
        ],
      ],
    });
  });

  it("does not take a point twice in one place", () => {
    const draft = new Draft("crack");
    draft.add([0, 0]);
    draft.add([0, 0]);
    expect(draft.points).toHaveLength(1);
  });
});

describe("a mark that is moved", () => {
  const bent = line([0, 0], [4, 0], [4, 4]);

  it("is held by a point, by the middle of a piece, or as a whole", () => {
    expect(holdAt(bent, [4.1, 0.1], 0.3)).toEqual({ of: "point", index: 1 });
    expect(holdAt(bent, [2, 0.1], 0.3)).toEqual({ of: "new", index: 1 });
    expect(holdAt(bent, [1, 0.1], 0.3)).toEqual({ of: "all", from: [1, 0.1] });
    expect(holdAt(bent, [1, 3], 0.3)).toBeNull();
  });

  it("follows what holds it", () => {
    expect(pulled(bent, { of: "point", index: 1 }, [5, 0])).toEqual(line([0, 0], [5, 0], [4, 4]));
    expect(pulled(bent, { of: "new", index: 1 }, [2, 1])).toEqual(line([0, 0], [2, 1], [4, 0], [4, 4]));
    expect(pulled(bent, { of: "all", from: [1, 0] }, [2, 1])).toEqual(line([1, 1], [5, 1], [5, 5]));
    expect(pulled(point(1, 1), { of: "point", index: 0 }, [2, 2])).toEqual(point(2, 2));
  });

  it("loses a point only while enough are left", () => {
    expect(withoutPoint(bent, 1)).toEqual(line([0, 0], [4, 4]));
    expect(withoutPoint(line([0, 0], [1, 1]), 0)).toBeNull();
  });

  it("has the corner of a closed ring once", () => {
    const ring = {
      type: "Polygon",
      coordinates: [
        [
          [0, 0],
          [1, 0],
          [1, 1],
          [0, 0],
        ],
      ],
    } as const;
    expect(handlesOf(ring)).toEqual([
      [0, 0],
      [1, 0],
      [1, 1],
    ]);
  });

  it("tells what it has become once it is let go, and nothing when it was only touched", () => {
    const crack = mark("m", "crack", line([5, 5], [9, 5]));
    const content = tennis(crack);
    const nearby = new Nearby();
    nearby.take(content.marks);
    const editing = new Editing(crack);
    expect(editing.take([9, 5.05], 0.02, false)).toBe(true);
    expect(editing.letGo()).toBeNull();
    editing.take([9, 5.05], 0.02, false);
    editing.pull([3, 8], 0.02, { content, nearby });
    expect(editing.letGo()).toEqual({ id: "m", geometry: line([5, 5], [3, 8]) });
  });

  it("keeps what the hand holds when the walk changes under it, and takes what came otherwise", () => {
    const crack = mark("m", "crack", line([5, 5], [9, 5]));
    const other = mark("m", "crack", line([5, 6], [9, 6]));
    const editing = new Editing(crack);
    editing.take([9, 5], 0.02, false);
    expect(editing.after(tennis(other))?.mark.geometry).toBe(crack.geometry);
    editing.letGo();
    expect(editing.after(tennis(other))?.mark.geometry).toBe(other.geometry);
    expect(editing.after(tennis())).toBeNull();
  });
});
