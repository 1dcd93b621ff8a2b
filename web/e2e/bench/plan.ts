/**
 * How many frames a second a plan of 3,000 marks keeps while it is moved and while a mark is pulled about, in Chromium,
 * with the processor as it is and slowed four times. Prints one JSON object: `node e2e/bench/plan.ts`.
 */
import { type CDPSession, chromium, type Page } from "@playwright/test";
import { createServer } from "vite";
import type { PlanMark } from "../../src/plan/content";
import type { PlanPage } from "./plan_page";

declare global {
  interface Window {
    page: PlanPage;
    ticks: number[];
  }
}

// Node wants the ending of a file that it loads itself; the checker does not.
const { default: config, FLAGS } = await import(new URL("../../playwright.config.ts", import.meta.url).href);

const MARKS = 3000;
const [WIDE_M, LONG_M] = [140, 110];
const SCREENS = {
  phone: { width: 412, height: 760, deviceScaleFactor: 2 },
  laptop: { width: 1440, height: 860, deviceScaleFactor: 1 },
};

/** The same marks every time: cracks, points and areas as a large site has them. */
function marks(): PlanMark[] {
  let seed = 20261125;
  const random = () => {
    seed = (seed * 1103515245 + 12345) % 2147483648;
    return seed / 2147483648;
  };
  const kinds = [
    "crack",
    "crack",
    "crack",
    "crack",
    "crack",
    "sounding",
    "old-repair",
    "low-spot",
    "heave",
    "worn",
    "probe",
  ];
  return Array.from({ length: MARKS }, (_, i): PlanMark => {
    const kind = kinds[i % kinds.length] as string;
    let [x, y, turn] = [random() * WIDE_M, random() * LONG_M, random() * 6.28];
    const walk = (count: number) =>
      Array.from({ length: count }, () => {
        turn += random() - 0.5;
        x += 0.5 * Math.cos(turn);
        y += 0.5 * Math.sin(turn);
        return [x, y] as const;
      });
    const ring = Array.from({ length: 14 }, (_, k): [number, number] => {
      const reach = 0.6 + random();
      return [x + reach * Math.cos((k / 14) * 6.28), y + reach * Math.sin((k / 14) * 6.28)];
    });
    const geometry: PlanMark["geometry"] =
      kind === "crack" || kind === "old-repair"
        ? { type: "LineString", coordinates: walk(kind === "crack" ? 12 : 5) }
        : kind === "low-spot" || kind === "worn"
          ? { type: "Polygon", coordinates: [ring] }
          : { type: "Point", coordinates: [x, y] };
    const sizes_m = { width: 0.002 + 0.03 * random(), depth: 0.01, height: 0.03, asphalt_thickness: 0.07 };
    const properties = { sounds: i % 2 ? "hollow" : "solid", state: i % 3 ? "hollow" : "sound" };
    return { id: `m${i}`, kind, geometry, properties, sizes_m };
  });
}

const CONTENT = {
  pad: {
    id: "p",
    label: "p",
    outline_m: [
      [0, 0],
      [WIDE_M, 0],
      [WIDE_M, LONG_M],
      [0, LONG_M],
    ] as const,
    north_deg: 8,
  },
  courts: Array.from({ length: 16 }, (_, i) => ({
    id: `c${i}`,
    label: `${i}`,
    sport: "tennis",
    centre_m: [10 + (i % 8) * 17, 25 + Math.floor(i / 8) * 50] as const,
    turned_deg: 0,
  })),
  marks: marks(),
};

interface Frames {
  readonly frames: number;
  readonly per_second: number;
  /** Nineteen frames in twenty come sooner than this. */
  readonly p95_ms: number;
  readonly longest_ms: number;
}

async function frames(page: Page, deed: () => Promise<void>): Promise<Frames> {
  await page.evaluate(() => {
    window.ticks = [];
    const tick = (at: number) => {
      window.ticks.push(at);
      if (window.ticks.length < 100_000) requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
  });
  await deed();
  const times = await page.evaluate(() => {
    const all = window.ticks;
    window.ticks = Array(100_000).fill(0);
    return all;
  });
  const gaps = times
    .slice(1)
    .map((at, i) => at - (times[i] as number))
    .sort((a, b) => a - b);
  const sum = gaps.reduce((a, b) => a + b, 0);
  return {
    frames: gaps.length,
    per_second: +((gaps.length * 1000) / sum).toFixed(1),
    p95_ms: +(gaps[Math.floor(gaps.length * 0.95)] ?? 0).toFixed(1),
    longest_ms: +(gaps.at(-1) ?? 0).toFixed(1),
  };
}

/** To and fro with the mouse held, a whole screen each way. */
async function pull(page: Page, from: readonly [number, number], reach: number): Promise<void> {
  await page.mouse.move(...from);
  await page.mouse.down();
  for (let i = 0; i <= 120; i++) {
    const turn = (i / 60) * 2 * Math.PI;
    await page.mouse.move(from[0] + reach * Math.sin(turn), from[1] + reach * 0.6 * (1 - Math.cos(turn)));
  }
  await page.mouse.up();
}

async function measured(page: Page, session: CDPSession, slowed: number): Promise<Record<string, Frames | number>> {
  await session.send("Emulation.setCPUThrottlingRate", { rate: slowed });
  const size = page.viewportSize() ?? { width: 0, height: 0 };
  const middle = [size.width / 2, size.height / 2] as const;
  await page.evaluate(() => window.page.sheet.fit("pad"));
  await page.waitForTimeout(500);
  const panAll = await frames(page, () => pull(page, middle, size.width / 2));
  await page.evaluate(() =>
    window.page.sheet.fit([
      [50, 30],
      [80, 55],
    ]),
  );
  await page.waitForTimeout(500);
  const panNear = await frames(page, () => pull(page, middle, size.width / 2));
  await page.evaluate(() => {
    window.page.sheet.fit("pad");
    window.page.sheet.edit("m0");
  });
  await page.waitForTimeout(500);
  const at = await page.evaluate(() => {
    const { sheet, first } = window.page;
    return sheet.screenPointOf(first("m0"));
  });
  const before = await page.evaluate(() => window.page.told.length);
  const drag = await frames(page, () => pull(page, at ?? middle, 60));
  const edits = await page.evaluate(
    (n) => window.page.told.slice(n).filter((one) => (one as unknown[])[0] === "edited").length,
    before,
  );
  if (edits !== 1) throw new Error(`The mark was pulled ${edits} times, not once.`);
  await page.evaluate(() => window.page.sheet.edit(null));
  const repaint = await page.evaluate(() => window.page.repaint(10));
  await session.send("Emulation.setCPUThrottlingRate", { rate: 1 });
  return { moved_whole: panAll, moved_near: panNear, mark_pulled: drag, painted_ms: +repaint.toFixed(1) };
}

const server = await createServer({ configFile: false, root: process.cwd(), server: { port: 0 }, logLevel: "error" });
await server.listen();
const browser = await chromium.launch({ ...config.use?.launchOptions, args: FLAGS });
const found: Record<string, unknown> = { marks: MARKS };
for (const [name, { deviceScaleFactor, ...viewport }] of Object.entries(SCREENS)) {
  const page = await browser.newPage({ viewport, deviceScaleFactor });
  page.on("pageerror", (error) => {
    throw error;
  });
  await page.goto(`${server.resolvedUrls?.local[0]}e2e/bench/plan.html`);
  await page.waitForFunction(() => "page" in window);
  await page.evaluate((content) => window.page.show(JSON.parse(content)), JSON.stringify(CONTENT));
  const session = await page.context().newCDPSession(page);
  for (const slowed of [1, 4]) found[`${name}_slowed_${slowed}`] = await measured(page, session, slowed);
  await page.close();
}
await browser.close();
await server.close();
process.stdout.write(`${JSON.stringify(found, null, 1)}\n`);
