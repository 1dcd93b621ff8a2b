/** The owner's page: on every device, in both languages, by day and in the dark, and when the offer is open no more. */
import { gzipSync } from "node:zlib";
import type { Page } from "@playwright/test";
import { demoJob, sentOffer } from "./offered";
import { axe, expect, shot, test, WIDTHS } from "./office";

/** Of script, packed. */
const MOST_BYTES = 60_000;

test.use({ officeFor: "worker" });

/** Look at all of a page: every picture of it has come. */
async function lookedAt(page: Page, name: string): Promise<void> {
  await page.evaluate(() => Promise.all([...document.images].map((one) => one.decode().catch(() => undefined))));
  await axe(page);
  await shot(page, name);
}

test("it is read on a phone, a tablet and a laptop, in both languages and colours, with little script", async ({
  office,
  phonePage,
}) => {
  test.setTimeout(180_000);
  const job = await demoJob(office);
  const english = await sentOffer(office, job);
  const spanish = await sentOffer(office, job, { language: "es" });
  for (const width of WIDTHS) {
    const page = await phonePage(width);
    const scripts = new Map<string, number>();
    page.on("response", async (told) => {
      if (told.request().resourceType() === "script") scripts.set(told.url(), gzipSync(await told.body()).length);
    });
    await page.goto(english.path);
    await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
    await expect(page.getByText("Firm price").first()).toBeVisible();
    await lookedAt(page, `owner-en-${width}`);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    expect(wide).toBeLessThanOrEqual(width);
    const bytes = [...scripts.values()].reduce((all, one) => all + one, 0);
    expect(scripts.size).toBeGreaterThan(0);
    expect(bytes).toBeLessThan(MOST_BYTES);
    expect([...scripts.keys()].join()).not.toMatch(/sheet|session|pdf|yjs/);
    // Nothing of the offer, nor of who reads it, is kept in the browser.
    const kept = await page.evaluate(async () => [localStorage.length, (await indexedDB.databases()).length]);
    expect(kept).toEqual([0, 0]);
  }
  const page = await phonePage(360);
  await page.emulateMedia({ colorScheme: "dark" });
  await page.goto(spanish.path);
  await expect(page.getByRole("heading", { name: "Lo que encontramos" }).first()).toBeVisible();
  await lookedAt(page, "owner-es-dark-360");
  await page.getByRole("button", { name: "English" }).click();
  await expect(page.getByText("The offer itself is written in Spanish")).toBeVisible();
  await axe(page);
  await page.emulateMedia({ media: "print", colorScheme: "dark" });
  const inks = await page.evaluate(() => [
    getComputedStyle(document.body).color,
    getComputedStyle(document.body).backgroundColor,
  ]);
  expect(inks).toEqual(["rgb(0, 0, 0)", "rgb(255, 255, 255)"]);
  await shot(page, "owner-print");
});

test("with a keyboard alone, at 200 %, an offer is declined with a word on why", async ({ office, browser }) => {
  const { path, id } = await sentOffer(office, await demoJob(office));
  // A laptop of 1280 px at 200 % has 640 px.
  const context = await browser.newContext({ baseURL: office.url, viewport: { width: 640, height: 400 } });
  const page = await context.newPage();
  await page.goto(path);
  await page.getByRole("button", { name: "To accept or decline" }).focus();
  await page.keyboard.press("Enter");
  await expect(page.getByRole("heading", { name: "Accept", exact: true })).toBeFocused();
  const until = async (name: string) => {
    for (let step = 0; step < 60; step += 1) {
      await page.keyboard.press("Tab");
      const now = await page.evaluate(() => document.activeElement?.textContent ?? "");
      if (now.trim().startsWith(name)) return;
    }
    throw new Error(`${name} is not reached by Tab`);
  };
  await until("Decline");
  await page.keyboard.press("Enter");
  await page.getByLabel("Why", { exact: true }).focus();
  await page.keyboard.type("Next year, perhaps.");
  await until("I decline");
  await page.keyboard.press("Enter");
  await expect(page.getByText("This offer was declined.")).toBeVisible();
  await axe(page);
  const { json } = await office.api("GET", `/api/offers/${id}`);
  expect([json.standing, json.declined_because]).toEqual(["declined", "Next year, perhaps."]);
  await context.close();
});

test.describe("an office that is stopped", () => {
  test.use({ officeFor: "test" });

  test("what is open no more says so in plain words, and a budget letter has nothing to accept", async ({
    office,
    phonePage,
  }) => {
    test.setTimeout(180_000);
    const job = await demoJob(office);
    const page = await phonePage(360);
    await page.goto("/offer#nonsense");
    await expect(page.getByText("This link does not open an offer any more.")).toBeVisible();
    await lookedAt(page, "owner-dead-360");

    const letter = await sentOffer(office, job, { budget: true });
    await page.goto("about:blank");
    await page.goto(letter.path);
    await expect(page.getByText("This letter gives ranges; there is nothing to accept yet.")).toBeVisible();
    await expect(page.getByText(/^About \$[\d,]+ to \$[\d,]+$/).first()).toBeVisible();
    await expect(page.getByText(/Firm price \$/)).toHaveCount(0);
    await lookedAt(page, "owner-letter-360");

    const { id, path } = await sentOffer(office, job);
    await page.goto("about:blank");
    await page.goto(path);
    await expect(page.getByRole("heading", { name: "Accept", exact: true })).toBeVisible();
    const { json: sent } = await office.api("GET", `/api/offers/${id}`);
    await office.api("POST", `/api/offers/${id}/withdraw`, { headers: { "if-match": `"${sent.version}"` } });
    await page.reload();
    await expect(page.getByText("This offer was taken back.")).toBeVisible();
    await expect(page.getByRole("heading", { name: "Accept", exact: true })).toHaveCount(0);
    const { json: links } = await office.api("GET", `/api/offers/${id}/links`);
    await office.api("DELETE", `/api/offers/${id}/links/${links[0].id}`);
    await page.reload();
    await expect(page.getByText("This link does not open an offer any more.")).toBeVisible();
    await office.stop();
    await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
    await expect(page.getByText("This link does not open an offer any more.")).toBeVisible();
  });
});
