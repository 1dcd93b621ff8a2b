/**
 * How long a phone waits: for the first page over a slow line with a slow processor, and for a walk without any signal.
 * Prints one JSON object: `node e2e/bench/opening.ts`, after the client was built.
 */
import { type Browser, chromium, type Page } from "@playwright/test";

const { default: config, FLAGS } = await import(new URL("../../playwright.config.ts", import.meta.url).href);
const { Office } = await import(new URL("../server.ts", import.meta.url).href);

const ROUNDS = 7;
const PHONE = { width: 360, height: 760 };
/** A mid-range phone on a slow mobile line, as speed tests of pages take it. */
const SLOW = { processor: 4, latency_ms: 150, down_kbps: 1638, up_kbps: 675 };
const COUNTED = 300;

function median(values: number[]): number {
  return [...values].sort((one, other) => one - other)[Math.floor(values.length / 2)] as number;
}

async function slow(page: Page, line: boolean): Promise<void> {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: SLOW.processor });
  if (!line) return;
  await session.send("Network.enable");
  await session.send("Network.emulateNetworkConditions", {
    offline: false,
    latency: SLOW.latency_ms,
    downloadThroughput: (SLOW.down_kbps * 1024) / 8,
    uploadThroughput: (SLOW.up_kbps * 1024) / 8,
  });
}

/** From nothing on the phone until a press of the first button does something. [ms] */
async function firstPage(browser: Browser, url: string): Promise<number> {
  const context = await browser.newContext({ baseURL: url, viewport: PHONE, isMobile: true, hasTouch: true });
  const page = await context.newPage();
  await slow(page, true);
  const from = performance.now();
  await page.goto("/", { waitUntil: "commit" });
  await page.getByRole("button", { name: "Someone calls" }).tap();
  await page.getByRole("heading", { level: 1, name: "The call" }).waitFor();
  const took = performance.now() - from;
  await context.close();
  return took;
}

/** Put a walk on the phone, stop the office, open it again and again. [ms] */
async function offline(browser: Browser, office: InstanceType<typeof Office>): Promise<number[]> {
  const context = await browser.newContext({ baseURL: office.url, viewport: PHONE, isMobile: true, hasTouch: true });
  const page = await context.newPage();
  await page.goto("/");
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.getByRole("button", { name: "I am on site" }).tap();
  await page.getByRole("button", { name: /^Usual size/ }).tap();
  await page.getByRole("button", { name: "Low spot", exact: true }).tap();
  await page.getByRole("button", { name: "One here, counted" }).tap();
  for (let n = 1; n < COUNTED; n++) await page.getByRole("button", { name: /^Same again/ }).tap();
  const told = page.getByText(`low spot ${COUNTED}`);
  await told.first().waitFor();
  const address = page.url();
  await page.close();
  await office.stop();
  const took: number[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const again = await context.newPage();
    await slow(again, false);
    const from = performance.now();
    await again.goto(address, { waitUntil: "commit" });
    await again.getByText(`low spot ${COUNTED}`).first().waitFor();
    took.push(performance.now() - from);
    await again.close();
  }
  await context.close();
  return took;
}

const office = await Office.open();
const browser = await chromium.launch({ executablePath: config.use.launchOptions.executablePath, args: FLAGS });
try {
  const first: number[] = [];
  for (let round = 0; round < ROUNDS; round++) first.push(await firstPage(browser, office.url));
  const without = await offline(browser, office);
  const told = { first_page_ms: median(first), walk_without_signal_ms: median(without), rounds: ROUNDS, slow: SLOW };
  process.stdout.write(`${JSON.stringify(told)}\n`);
} finally {
  await browser.close();
  await office.close();
}
