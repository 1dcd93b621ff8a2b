/** The verdict, the remedies and the price of the demo site, as the office judges it, on a phone and at a desk. */
import { demoJob, demoToRead } from "./offered";
import { axe, expect, shot, signIn, test, WIDTHS } from "./office";

test.describe("a walk that is read", () => {
  test.use({ officeFor: "worker" });

  test("the demo is judged: notes on their places, options with what would have to be different, prices with ranges", async ({
    office,
    page,
  }) => {
    test.setTimeout(180_000);
    const id = await demoToRead(office);
    await signIn(page, office);
    for (const width of [...WIDTHS].reverse()) {
      await page.setViewportSize({ width, height: width < 820 ? 760 : 900 });
      await page.goto(`${office.url}/#/jobs/${id}/verdict`);
      await expect(page.getByText("Pad upper is finished: it has to be rebuilt.")).toBeVisible({ timeout: 60_000 });
      await expect(page.getByText("Pad lower can be saved.")).toBeVisible();
      await expect(page.locator(".plan canvas").first()).toBeVisible();
      await expect(page.getByText("The office's answer of")).toBeVisible({ timeout: 60_000 });
      await page.waitForTimeout(800);
      await axe(page);
      await shot(page, `verdict-demo-${width}`);
      if (width >= 1440) await expect(page.locator(".leaders polyline")).not.toHaveCount(0);
      else await page.getByRole("button", { name: "Next note" }).first().click();

      await page.goto(`${office.url}/#/jobs/${id}/remedies`);
      await expect(page.getByText("What would have to be different").first()).toBeVisible({ timeout: 60_000 });
      await axe(page);
      await shot(page, `remedies-demo-${width}`);

      await page.goto(`${office.url}/#/jobs/${id}/price`);
      await expect(page.getByText(/^Firm price \$\d/).first()).toBeVisible({ timeout: 60_000 });
      await page.getByText("How it is made up").first().click();
      await axe(page);
      await shot(page, `price-demo-${width}`);
    }
  });

  test("on paper every note is there with its facts, whatever the width was", async ({ office, page }) => {
    test.setTimeout(120_000);
    await page.setViewportSize({ width: 360, height: 760 });
    const id = await demoToRead(office);
    await signIn(page, office);
    await page.goto(`${office.url}/#/jobs/${id}/verdict`);
    await expect(page.getByText("Note 1 of 11")).toBeVisible({ timeout: 60_000 });
    await expect(page.getByText("Posts lean or are loose.")).toBeHidden();
    await expect(page.getByText("The office's answer of")).toBeVisible({ timeout: 60_000 });
    await page.emulateMedia({ media: "print" });
    await expect(page.getByText("Note 1 of 11")).toBeHidden();
    await expect(page.getByText("Posts lean or are loose.")).toBeVisible();
    await expect(page.locator(".paper article")).toHaveCount(17);
    await expect(page.locator(".paper li", { hasText: "Share of the pad cut off as free pieces: 22 %" })).toBeVisible();
    await shot(page, "verdict-paper");
  });
});

test("what would decide an option is answered there, and the office decides", async ({ office, page }) => {
  test.setTimeout(120_000);
  await page.setViewportSize({ width: 1440, height: 900 });
  const id = await demoJob(office);
  await signIn(page, office);
  await page.goto(`${office.url}/#/jobs/${id}/remedies`);
  const option = page
    .getByRole("article")
    .filter({ has: page.getByRole("heading", { name: /^Post-tensioned/ }) })
    .last();
  await expect(option.getByText("Open if more is known")).toBeVisible({ timeout: 60_000 });
  await option.getByRole("button", { name: "Yes", exact: true }).click();
  await expect(option.getByRole("status")).toHaveText(/^Noted/);
  await expect(page.getByText(/The walk has changed since/)).toBeVisible();
  await page.getByRole("button", { name: "Ask the office" }).click();
  await expect(option.getByText("Open", { exact: true })).toBeVisible({ timeout: 60_000 });
});

test("without the office the last answer stays, with its time", async ({ office, page }) => {
  test.setTimeout(120_000);
  const id = await demoJob(office);
  await signIn(page, office);
  await page.goto(`${office.url}/#/jobs/${id}/price`);
  await expect(page.getByText(/^Firm price \$\d/).first()).toBeVisible({ timeout: 60_000 });
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await office.stop();
  await page.reload();
  await expect(page.getByText(/^Firm price \$\d/).first()).toBeVisible();
  await expect(page.getByText("The office's answer of")).toBeVisible();
});
