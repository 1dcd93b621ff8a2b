/** Where the office would shoot next, on the level run: drawn on the plan, told in words, read by one press. */
import type { Page } from "@playwright/test";
import { axe, expect, shot, signIn, test } from "./office";

test.use({ officeFor: "worker", viewport: { width: 360, height: 760 } });

const READINGS = ["4.12", "4.20", "4.31", "4.40", "4.49", "4.61", "4.70", "4.68"];
const PLACES = [
  { rank: 1, at: [4.2, 7.9], says: "Shoot at (14', 26'): tells most about whether low spot 1 holds water (now 60 %)" },
  { rank: 2, at: [9.4, 12.1], says: "Shoot at (31', 40'): a low spot may hide between the shots" },
];

/** Keep an answer of the office's about the one walk of this device, as if it had been asked there. */
async function answered(page: Page, shootNext: unknown): Promise<void> {
  await page.evaluate(async (places) => {
    const open = indexedDB.open("courtwright");
    const database = await new Promise<IDBDatabase>((done) => {
      open.onsuccess = () => done(open.result);
    });
    const all = database.transaction("jobs").objectStore("jobs").getAll();
    const jobs = await new Promise<{ walks: string[] }[]>((done) => {
      all.onsuccess = () => done(all.result);
    });
    const walk = jobs[0]?.walks[0];
    const answer = { pads: [{ id: "1", ...(places === null ? {} : { shoot_next: places }) }], complaints: [] };
    const kept = {
      key: `${walk}/ground/en`,
      walk,
      what: "ground",
      at: "2026-05-04T10:00:00Z",
      isCurrent: true,
      seq: 1,
      answer,
    };
    const writing = database.transaction("answers", "readwrite");
    writing.objectStore("answers").put(kept);
    await new Promise<void>((done) => {
      writing.oncomplete = () => done();
    });
    database.close();
  }, shootNext);
}

async function beginRun(page: Page): Promise<void> {
  await page.goto("/");
  await page.getByRole("button", { name: /on site/i }).click();
  await page.getByRole("button", { name: /^Usual size/ }).click();
  await expect(page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
  await page.evaluate(() => {
    location.hash = location.hash.replace(/\/walk.*$/, "/walk/shots");
  });
  await page.getByRole("button", { name: "20 ft" }).click();
  await page.getByRole("button", { name: /^Begin: \d+ points/ }).click();
  for (const reading of READINGS) {
    await page.getByRole("textbox", { name: /^Rod at point/ }).fill(reading);
    await page.getByRole("textbox", { name: /^Rod at point/ }).press("Enter");
    const right = page.getByRole("button", { name: "It is right" });
    if (await right.isVisible()) await right.click();
  }
  await expect(page.getByRole("heading", { name: /^Point 9 of / })).toBeVisible();
}

test("a proposed place is read by one press, and the run goes on where it was", async ({ page }) => {
  await beginRun(page);
  await answered(page, { doubt_bits: 1.2, places: PLACES, says: null });
  await page.reload();
  await expect(page.getByRole("heading", { name: "Where the office would shoot next" })).toBeVisible();
  await expect(page.getByText(/tells most about whether low spot 1 holds water/)).toBeVisible();
  await page.waitForTimeout(800);
  await axe(page);
  await shot(page, "shoot-next-360");
  await page.getByRole("button", { name: "Shoot at A" }).click();
  await expect(page.getByRole("heading", { name: "Proposed place A" })).toBeVisible();
  await page.getByRole("textbox", { name: "Rod at point A" }).fill("4.44");
  await page.getByRole("textbox", { name: "Rod at point A" }).press("Enter");
  const right = page.getByRole("button", { name: "It is right" });
  if (await right.isVisible()) await right.click();
  await expect(page.getByRole("heading", { name: /^Point 9 of / })).toBeVisible();
  await expect(page.getByText("A, shot.")).toBeVisible();
  await page.waitForTimeout(300);
  await page.reload();
  await expect(page.getByRole("heading", { name: /^Point 9 of / })).toBeVisible();
  await expect(page.getByText("A, shot.")).toBeVisible();
});

test("asked by one press, the office says where to shoot next", async ({ office, page }) => {
  test.setTimeout(90_000);
  await signIn(page, office);
  await beginRun(page);
  await page.getByRole("button", { name: "Ask the office where to shoot next" }).click();
  await expect(page.getByText(/^From its answer of /)).toBeVisible({ timeout: 60_000 });
  const told = page.getByText(/Shoot at \(|Nothing more to shoot for water|Some doubt about low spots/).first();
  await expect(told).toBeVisible();
  // What was answered just now is not asked again; a further reading makes it old.
  await expect(page.getByRole("button", { name: "Ask the office where to shoot next" })).toHaveCount(0);
  await page.getByRole("textbox", { name: /^Rod at point/ }).fill("4.59");
  await page.getByRole("textbox", { name: /^Rod at point/ }).press("Enter");
  await expect(page.getByText(/the walk has changed since/)).toBeVisible();
  await expect(page.getByRole("button", { name: "Ask the office where to shoot next" })).toBeVisible();
  await shot(page, "shoot-next-asked-360");
});

test("where no shot would settle more, the office says so", async ({ page }) => {
  await beginRun(page);
  await answered(page, { doubt_bits: 0, places: [], says: "nothing more to shoot for water" });
  await page.reload();
  await expect(page.getByText("Nothing more to shoot for water.")).toBeVisible();
  await expect(page.getByRole("button", { name: /^Shoot at/ })).toHaveCount(0);
});

test("where the office tells of no places nothing is shown", async ({ page }) => {
  await beginRun(page);
  await answered(page, null);
  await page.reload();
  await expect(page.getByRole("heading", { name: /^Point 9 of / })).toBeVisible();
  await expect(page.getByText("Where the office would shoot next")).toHaveCount(0);
});
