/** What a phone has to fetch before it shows anything stays small; so does what the walk needs, and the customer's page. */
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";

interface Piece {
  file: string;
  imports?: string[];
  css?: string[];
}

const BUILT = join(import.meta.dirname, "../../src/courtwright/api/static");
const manifest = existsSync(join(BUILT, ".vite/manifest.json"))
  ? (JSON.parse(readFileSync(join(BUILT, ".vite/manifest.json"), "utf8")) as Record<string, Piece>)
  : {};

/** Scripts that some sources bring with them, each once. */
function scriptsOf(sources: readonly string[], found = new Set<string>()): Set<string> {
  for (const source of sources) {
    const piece = manifest[source];
    if (piece === undefined) throw new Error(`${source} was not built: make setup`);
    if (found.has(piece.file)) continue;
    found.add(piece.file);
    scriptsOf(piece.imports ?? [], found);
  }
  return found;
}

function kilobytes(sources: readonly string[]): number {
  let bytes = 0;
  for (const file of scriptsOf(sources)) bytes += gzipSync(readFileSync(join(BUILT, file)), { level: 9 }).length;
  return bytes / 1000;
}

/** [kB] of script, compressed. */
const BUDGET: readonly (readonly [name: string, sources: readonly string[], most_kb: number])[] = [
  ["the first page", ["index.html"], 120],
  ["the walk with its plan", ["index.html", "src/screens/walk/Walk.svelte", "src/plan/sheet.ts"], 250],
  ["the customer's page", ["offer.html"], 60],
];

describe("a first load", () => {
  it.each(BUDGET)("of %s stays within its bytes", (name, sources, most_kb) => {
    const found = kilobytes(sources);
    expect(found, `${name}: ${found.toFixed(1)} kB`).toBeLessThan(most_kb);
    expect(found).toBeGreaterThan(5);
  });
});
