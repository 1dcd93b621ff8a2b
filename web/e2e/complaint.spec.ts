/** What the office complains of opens where it was typed: a mark on the plan, a tally with its facts. */
import type { Page } from "@playwright/test";
import { axe, expect, type Office, shot, signIn, test, whereIs } from "./office";

test.use({ viewport: { width: 360, height: 760 } });

/** Give what is open a width that nobody can read. */
async function width(page: Page, typed: string): Promise<void> {
  const group = page.getByRole("group", { name: /^Width/ }).first();
  await group.getByRole("button", { name: "Other" }).click();
  await group.getByRole("textbox", { name: "Width" }).fill(typed);
  await expect(group).toContainText(typed);
  await page.getByRole("button", { name: "Done", exact: true }).first().click();
}

async function complaints(office: Office): Promise<{ id: string | null; says: string }[]> {
  const [job] = (await office.api("GET", "/api/jobs")).json.items;
  const [walk] = (await office.api("GET", `/api/jobs/${job.id}/walks`)).json.items;
  return (await office.api("GET", `/api/walks/${walk.id}/record`)).json.complaints;
}

test("a mark and a tally that are complained of are opened from the verdict", async ({ office, page }) => {
  test.setTimeout(120_000);
  await signIn(page, office);
  await page.getByRole("button", { name: "I am on site" }).click();
  await page.getByRole("button", { name: /^Usual size/ }).click();
  const sheet = page.locator(".sheet canvas").first();
  await expect(sheet).toBeVisible();
  await page.getByRole("button", { name: "Crack", exact: true }).click();
  const box = await whereIs(sheet);
  for (const [x, y] of [
    [0.45, 0.35],
    [0.55, 0.65],
  ] as const) {
    await page.mouse.click(box.x + x * box.width, box.y + y * box.height);
    await page.waitForTimeout(350);
  }
  await page.getByRole("button", { name: "Finish", exact: true }).click();
  await width(page, "a thumb");
  await page.getByRole("button", { name: "Crack", exact: true }).click();
  await page.getByRole("button", { name: "Length off the wheel" }).click();
  await page.getByRole("textbox", { name: "Length off the wheel" }).fill("40");
  await page.getByRole("button", { name: "Count 40 ft" }).click();
  await width(page, "two thumbs");
  const hash = await page.evaluate(() => location.hash.replace(/\/walk.*$/, ""));
  await expect
    .poll(async () => (await complaints(office)).filter(({ says }) => says.includes("thumb")).length, {
      timeout: 30_000,
    })
    .toBe(2);

  for (const [typed, heading] of [
    ["a thumb", /^Crack on Court 1$/],
    ["two thumbs", /^Crack, counted: 40 ft$/],
  ] as const) {
    await page.goto(`/${hash}/verdict`);
    await page.getByText("What the record leaves open or has wrong").click({ timeout: 60_000 });
    const one = page.locator("details li").filter({ hasText: `${typed}` });
    await expect(one).toHaveCount(1);
    await axe(page);
    await shot(page, `complaint-${typed.replace(" ", "-")}`);
    await one.getByRole("link", { name: "Open it in the walk" }).click();
    await expect(page.getByRole("heading", { name: heading })).toBeVisible();
    await expect(page.getByRole("group", { name: /^Width/ }).first()).toContainText(typed);
    await axe(page);
    await shot(page, `complaint-opened-${typed.replace(" ", "-")}`);
  }
  // The way back is the browser's.
  await page.goBack();
  await expect(page.getByRole("heading", { level: 1, name: "Verdict" })).toBeVisible();
});
