/** A call: what is said is kept as it is typed, a range comes from it, and the visit finds it again. */
import { axe, expect, shot, signIn, test } from "./office";

test.use({ viewport: { width: 360, height: 760 } });

test("a call ends in a range and a visit", async ({ office, page }) => {
  test.setTimeout(120_000);
  await signIn(page, office);
  const from = Date.now();
  await page.getByRole("button", { name: "Someone calls" }).click();
  await page.getByLabel("Name of the job").fill("Fernhill Club");
  await page.getByRole("button", { name: "Club", exact: true }).click();
  await expect(page.getByText("Say the sport first.")).toBeVisible();
  await page.getByRole("button", { name: "Tennis", exact: true }).click();
  await page.getByLabel("How many courts").fill("2");
  await page.getByRole("button", { name: "Asphalt", exact: true }).click();
  await page.getByLabel("Built, about").fill("1992 or so");
  await page.getByRole("button", { name: "Cracks", exact: true }).click();
  await page.getByLabel("About how many feet or meters of it").fill("300 ft");
  await page.getByLabel("Width of the gate or drive").fill("9 ft");
  await axe(page);
  await page.getByRole("button", { name: "Ask the office for a range" }).click();
  await expect(page.getByText(/^\$[\d,]+ to \$[\d,]+$/).first()).toBeVisible({ timeout: 60_000 });
  const about = page.locator("section").filter({ has: page.getByRole("heading", { name: "About what it costs" }) });
  await expect(about).toContainText("with courts of the usual size. Nothing is measured: the range is wide.");
  await shot(page, "call-range-360");
  await axe(page);
  await page.getByRole("button", { name: "A visit", exact: true }).click();
  await page.getByLabel("Visit on").fill("2026-12-01");
  await page.getByRole("button", { name: "Begin the walk" }).click();
  await expect(page.getByText(/Court 1/).first()).toBeVisible();
  const description = `call to walk: ${((Date.now() - from) / 1000).toFixed(1)} s of machine time`;
  test.info().annotations.push({ type: "measured", description });
  // All of it is at the office, with no complaint that something is wrong.
  await expect
    .poll(async () => (await office.api("GET", "/api/jobs")).json.items[0]?.call?.next_on, { timeout: 20_000 })
    .toBe("2026-12-01");
  const { json: jobs } = await office.api("GET", "/api/jobs");
  expect(jobs.items[0]).toMatchObject({ name: "Fernhill Club", stage: "walk", customer: "club" });
  const { json: walks } = await office.api("GET", `/api/jobs/${jobs.items[0].id}/walks`);
  const { json: record } = await office.api("GET", `/api/walks/${walks.items[0].id}/record`);
  expect(record.complaints.filter((one: { weight: string }) => one.weight === "error")).toEqual([]);
  expect(Object.values(record.plain.courts)).toHaveLength(2);
});

test("once the pad is measured, the range is told to come from the walk", async ({ office, page }) => {
  test.setTimeout(120_000);
  await signIn(page, office);
  await page.getByRole("button", { name: "I am on site" }).click();
  for (const [side, typed] of [
    ["Across", "60"],
    ["Along", "120"],
  ] as const) {
    await page.getByRole("button", { name: new RegExp(`^${side}`) }).click();
    await page.getByRole("textbox", { name: new RegExp(`^${side}`) }).fill(typed);
  }
  await page.getByRole("button", { name: "Draw this pad" }).click();
  await expect(page.locator(".sheet canvas").first()).toBeVisible();
  await page.goto(`/${await page.evaluate(() => location.hash.replace(/walk.*$/, "call"))}`);
  await page.getByRole("button", { name: "Tennis", exact: true }).click();
  const about = page.locator("section").filter({ has: page.getByRole("heading", { name: "About what it costs" }) });
  await expect(about).toContainText("From the walk as it is now.");
  await expect(about).not.toContainText("usual size");
  await page.getByRole("button", { name: "Ask the office for a range" }).click();
  await expect(page.getByText(/^\$[\d,]+ to \$[\d,]+$/).first()).toBeVisible({ timeout: 60_000 });
  await expect(about).not.toContainText("usual size");
  await shot(page, "call-measured-360");
});
