/** What the verdict's sheets show, chosen in words: kept on the device, and there without the office. */
import type { Page } from "@playwright/test";
import { FORMS, sideways, takeForm } from "./looking";
import { demoJob, demoToRead } from "./offered";
import { axe, expect, type Office, shot, signIn, test } from "./office";

async function openVerdict(page: Page, office: Office, job: string): Promise<void> {
  await page.goto(`${office.url}/#/jobs/${job}/verdict`);
  await expect(page.getByText("Pad lower can be saved.")).toBeVisible({ timeout: 60_000 });
  await expect(page.getByRole("group", { name: "The sheet shows" })).toBeVisible();
}

/** The words of the key of the first sheet. */
async function keyOf(page: Page): Promise<string> {
  const section = page.locator("section").first();
  const read = section.getByRole("button", { name: "In words" });
  if ((await read.getAttribute("aria-expanded")) !== "true") {
    await read.click();
    await section.getByText("What the lines mean").click();
  }
  return (await section.getByRole("list", { name: "What the lines mean" }).textContent()) ?? "";
}

test.describe("a walk that is read", () => {
  test.use({ officeFor: "worker" });

  test("a person chooses what the sheet shows, and its key tells it in words", async ({ office, page }) => {
    test.setTimeout(180_000);
    const id = await demoToRead(office);
    await signIn(page, office);
    await page.setViewportSize({ width: 1440, height: 900 });
    await openVerdict(page, office, id);
    await expect.poll(() => keyOf(page), { timeout: 60_000 }).toContain("straightedge over the widest gap");
    const choose = (name: string) => page.getByRole("button", { name, exact: true });
    await choose("the worst straightedge").click();
    await expect.poll(() => keyOf(page)).not.toContain("straightedge over the widest gap");
    await choose("lines of equal height").click();
    await expect.poll(() => keyOf(page), { timeout: 60_000 }).toContain("lines of equal height");
    await choose("low spots, with their depth").click();
    await expect.poll(() => keyOf(page)).not.toContain("low spot");

    await choose("a new surface: cut and fill").click();
    await expect(page.getByText(/^Nobody has tried a new surface over Pad upper/)).toBeVisible();
    await page.getByRole("link", { name: "Try one" }).first().click();
    await page.getByRole("slider", { name: "Least thickness" }).fill("50.8");
    await expect(page.getByText(/tons of asphalt/)).toBeVisible({ timeout: 60_000 });
    await openVerdict(page, office, id);
    await expect.poll(() => keyOf(page), { timeout: 30_000 }).toContain("fill: the new surface lies above the old one");
    // What was chosen before is chosen still.
    await expect(choose("lines of equal height")).toHaveAttribute("aria-pressed", "true");
    await expect(choose("the worst straightedge")).toHaveAttribute("aria-pressed", "false");
  });

  test("it is for everybody, on a phone and at a desk, in both languages", async ({ office, page }) => {
    test.setTimeout(180_000);
    const id = await demoToRead(office);
    await signIn(page, office);
    for (const form of FORMS) {
      const [language, width] = form;
      await takeForm(page, form);
      await page.goto(`${office.url}/#/jobs/${id}/verdict`);
      const heights = page.getByRole("button", { name: /^(lines of equal height|líneas de igual altura)$/ });
      await expect(heights).toBeVisible({ timeout: 60_000 });
      if ((await heights.getAttribute("aria-pressed")) !== "true") await heights.click();
      await page.waitForTimeout(3500);
      await axe(page);
      expect(await sideways(page)).toBe(0);
      await shot(page, `layers-${language}-${width}`);
    }
  });
});

test("without the office the sheet shows what the office told last", async ({ office, page }) => {
  test.setTimeout(120_000);
  const id = await demoJob(office);
  await signIn(page, office);
  await openVerdict(page, office, id);
  await page.getByRole("button", { name: "lines of equal height" }).click();
  await expect.poll(() => keyOf(page), { timeout: 60_000 }).toContain("lines of equal height");
  await expect(page.getByText("The office's answer of")).toHaveCount(2, { timeout: 60_000 });
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await office.stop();
  await page.reload();
  await expect.poll(() => keyOf(page), { timeout: 30_000 }).toContain("lines of equal height");
  await expect(page.getByText("The office's answer of")).toHaveCount(2);
});
