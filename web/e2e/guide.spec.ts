/** The guide of the first run: from an empty office to a real offer of the demo, by what stands on the screen alone. */
import type { Page } from "@playwright/test";
import { axe, expect, type Office, shot, signIn, test } from "./office";

/** Somebody new, who presses and is timed. */
class Newcomer {
  presses = 0;
  readonly told: string[] = [];
  #from = Date.now();

  constructor(readonly page: Page) {}

  async press(role: "button" | "link", name: string | RegExp): Promise<void> {
    await this.page
      .getByRole(role, { name, exact: typeof name === "string" })
      .first()
      .click();
    this.presses += 1;
  }

  done(step: string): void {
    this.told.push(
      `${step}: ${((Date.now() - this.#from) / 1000).toFixed(1)} s of machine time, ${this.presses} presses so far`,
    );
    this.#from = Date.now();
  }
}

/** An empty office's guide, walked to its end; the office has a sent offer of the demo then. */
async function follow(page: Page, office: Office, width: number): Promise<void> {
  const one = new Newcomer(page);
  const from = Date.now();
  const line = page.getByRole("complementary", { name: "First offer" });
  const main = page.getByRole("main");
  await signIn(page, office);
  expect((await office.api("GET", "/api/jobs")).json.items).toEqual([]);
  await one.press("link", /^First time here/);
  await one.press("button", "Begin");

  await expect(line).toContainText("This is the walk", { timeout: 30_000 });
  await expect(page.locator(".sheet canvas").first()).toBeVisible();
  await page.waitForTimeout(800);
  await shot(page, `guide-walk-${width}`);
  one.done("the demo stands");
  await one.press("link", "Next: Verdict");
  await expect(line).toContainText("The verdict: what the marks mean");
  await expect(main).toContainText("it has to be rebuilt", { timeout: 60_000 });
  one.done("judged");
  await one.press("link", "Next: Remedies");
  await expect(line).toContainText("The remedies on one rule of years");
  await expect(main).toContainText("What would have to be different", { timeout: 60_000 });
  one.done("options seen");
  await one.press("link", "Next: Price");
  await expect(main).toContainText(/Firm price \$\d/, { timeout: 60_000 });
  one.done("priced");
  await one.press("link", "Next: Offer");
  await expect(line).toContainText("Make the offer, look at its first page");
  await one.press("button", "Make the offer");
  await expect(page.getByText(/^\d+ pages?\.$/)).toBeVisible({ timeout: 90_000 });
  one.done("papers made");
  await axe(page);
  await one.press("button", "Send: make the link");
  const address = await page.locator("code").textContent({ timeout: 15_000 });
  await shot(page, `guide-offer-${width}`);
  one.done("sent");
  const owner = await page.context().newPage();
  await owner.goto(address ?? "");
  await expect(owner.getByRole("heading", { level: 1 })).toContainText("Demo: two pads at a club");
  await owner.close();
  await one.press("button", "I have seen it");
  await expect(main).toContainText(/That was all, in about \d+ min\./);
  await expect(line).toHaveCount(0);
  await axe(page);
  await shot(page, `guide-ended-${width}`);
  one.done("ended");

  for (const description of one.told) test.info().annotations.push({ type: "measured", description });
  const seconds = (Date.now() - from) / 1000;
  const description = `the guide at ${width} px: ${one.presses} presses, ${seconds.toFixed(0)} s of machine time`;
  test.info().annotations.push({ type: "measured", description });
  // Five minutes are promised; half of them are left for reading.
  expect(seconds).toBeLessThan(150);
  expect(one.presses).toBeLessThanOrEqual(12);

  const [job] = (await office.api("GET", "/api/jobs")).json.items;
  expect(job.name).toBe("Demo: two pads at a club");
  const [offer] = (await office.api("GET", `/api/jobs/${job.id}/offers`)).json.items;
  expect(offer.state).toBe("sent");
}

for (const width of [360, 1440]) {
  test(`an empty office has a real offer of the demo when the guide ends, at ${width}`, async ({ office, page }) => {
    test.setTimeout(240_000);
    await page.setViewportSize({ width, height: width < 820 ? 760 : 900 });
    await follow(page, office, width);
  });
}
