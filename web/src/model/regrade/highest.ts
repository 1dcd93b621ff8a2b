/** Which places of the ground a plane from above can touch: no other ever counts, however the plane leans. */
import type { Ground } from "./ground";

const known = new WeakMap<Ground, Int32Array>();

/**
 * The nodes that lie on the upper hull of their row and on that of their column, and all of the edge. `part` tells to which
 * part of the ground each node belongs, where a surface folds between them: hulls end there.
 */
export function canBeTouched(ground: Ground, part?: Uint8Array): Int32Array {
  const found = part === undefined ? known.get(ground) : undefined;
  if (found !== undefined) return found;
  const made = touchable(ground, part);
  if (part === undefined) known.set(ground, made);
  return made;
}

function touchable({ x, z, nodes, raster, onRaster }: Ground, part?: Uint8Array): Int32Array {
  if (onRaster.length !== nodes) return Int32Array.from(x.keys());
  const { columns, rows } = raster;
  const at = new Int32Array(columns * rows).fill(-1);
  for (const [node, place] of onRaster.entries()) at[place] = node;
  const seen = new Uint8Array(nodes);
  const line = (first: number, step: number, count: number): void => {
    let hull: number[] = [];
    let along: number[] = [];
    let current = -1;
    const end = (): void => {
      for (const node of hull) seen[node] = (seen[node] as number) + 1;
      [hull, along] = [[], []];
    };
    for (let i = 0; i < count; i++) {
      const node = at[first + i * step] as number;
      if (node < 0) continue;
      const of = part?.[node] ?? 0;
      if (of !== current) end();
      current = of;
      // What does not rise over the line from before it to here is hidden.
      while (hull.length > 1 && isHidden(z, hull, along, node, i)) {
        hull.pop();
        along.pop();
      }
      hull.push(node);
      along.push(i);
    }
    end();
  };
  for (let row = 0; row < rows; row++) line(row * columns, 1, columns);
  for (let column = 0; column < columns; column++) line(column, columns, rows);
  const found: number[] = [];
  for (let i = 0; i < x.length; i++) if (i >= nodes || seen[i] === 2) found.push(i);
  return Int32Array.from(found);
}

/** Whether the last of a hull lies under the line from the one before it to a new node. */
function isHidden(
  z: Float64Array,
  hull: readonly number[],
  along: readonly number[],
  node: number,
  at: number,
): boolean {
  const [before, last] = [hull.at(-2) as number, hull.at(-1) as number];
  const [from, to] = [along.at(-2) as number, along.at(-1) as number];
  const share = (to - from) / (at - from);
  return (z[last] as number) <= (z[before] as number) + share * ((z[node] as number) - (z[before] as number));
}
