/** A contractor's own rates: typed, read from a file, and what they do to a price. */
import { readFile } from "node:fs/promises";
import type { Page } from "@playwright/test";
import { demoJob } from "./offered";
import { axe, ESTIMATOR, expect, type Office, shot, signIn, test } from "./office";

/** The likely unit-rate price of an option of the first walk of a job, once the office has computed it. */
async function priced(office: Office, job: string): Promise<{ firm: number; units: number; at: string }> {
  const { json: walks } = await office.api("GET", `/api/jobs/${job}/walks`);
  const path = `/api/walks/${walks.items[0].id}/answers`;
  let told = await office.api("POST", path, { json: { what: "price" } });
  await expect
    .poll(
      async () => {
        if (told.status === 202) told = await office.api("POST", path, { json: { what: "price" } });
        return told.status;
      },
      { timeout: 60_000 },
    )
    .toBe(200);
  const options = told.json.answer.pads.flatMap((pad: { options: unknown[] }) => pad.options);
  const option = options.find((one: { id: string }) => one.id === "resurface") ?? options[0];
  return { firm: option.firm_price, units: option.unit_rate_price, at: told.json.at };
}

async function openRates(page: Page, office: Office): Promise<void> {
  await signIn(page, office);
  await page.goto("/#/company/rates");
  await expect(page.getByRole("heading", { level: 2, name: "Our rates" })).toBeVisible();
  await expect(page.getByLabel("Our value for wash, prepare and color", { exact: true })).toBeVisible();
}

test("an own rate that is typed moves the price, and an empty field moves it back", async ({ office, page }) => {
  test.setTimeout(150_000);
  const job = await demoJob(office);
  const before = await priced(office, job);
  await page.setViewportSize({ width: 360, height: 760 });
  await openRates(page, office);
  const field = page.getByLabel("Our value for wash, prepare and color", { exact: true });
  // Twice the usual 7,250 a court.
  await field.fill("14500,00");
  await expect(page.getByText("1 rate is changed and not kept yet.")).toBeVisible();
  await axe(page);
  await shot(page, "rates-typed-360");
  await page.getByRole("button", { name: "Keep our rates" }).click();
  await expect(page.getByText("Kept.")).toBeVisible();
  await expect(field).toHaveValue("14500");
  const after = await priced(office, job);
  expect(after.units).toBeGreaterThan(before.units * 1.2);
  expect(after.firm).toBeGreaterThan(before.firm * 1.2);
  await page.reload();
  await expect(field).toHaveValue("14500");
  await field.fill("");
  await page.getByRole("button", { name: "Keep our rates" }).click();
  await expect(page.getByText("Kept.")).toBeVisible();
  expect((await priced(office, job)).units).toBe(before.units);
});

test("a file is looked at before it is kept, and a bad line is told and left out", async ({ office, page }) => {
  const kept = { profit: { value: "12", date: "2026-05-04" } };
  await office.api("PUT", "/api/company/rates", { json: { rates: kept }, headers: { "if-match": '"0"' } });
  await page.setViewportSize({ width: 1440, height: 900 });
  await openRates(page, office);
  await shot(page, "rates-1440");
  const waits = page.waitForEvent("download");
  await page.getByRole("button", { name: "Current rates as CSV" }).click();
  const saved = await waits;
  const text = await readFile(await saved.path(), "utf-8");
  expect(saved.suggestedFilename()).toBe("our-rates.csv");
  expect(text).toContain("lines.swale,");
  // As a spreadsheet program in Spanish saves it: semicolons, a decimal comma, a unit of its own.
  const file = "id;valor;unidad\nlines.swale;27,50;lf\nlines.stone;41,89;t\nlines.swalle;9;lf\nprofit;12;pct\n";
  const choose = page.getByLabel("Choose a CSV file");
  await choose.setInputFiles({ name: "tarifas.csv", mimeType: "text/csv", buffer: Buffer.from(`\ufeff${file}`) });
  await expect(page.getByRole("heading", { name: "What “tarifas.csv” would change" })).toBeVisible();
  await expect(page.getByRole("row", { name: "swale 26 27.5" })).toBeVisible();
  // 41.89 a tonne is 38.0021 a short ton of 0.90718474 t.
  await expect(page.getByRole("row", { name: "stone for the base 38 38.002" })).toBeVisible();
  await expect(
    page.getByText(/line 4, lines\.swalle: lines\.swalle is no rate of ours; perhaps lines\.swale is meant/),
  ).toBeVisible();
  await expect(page.getByText("1 line says what is kept already.")).toBeVisible();
  await axe(page);
  await shot(page, "rates-file-1440");
  await page.setViewportSize({ width: 360, height: 760 });
  await axe(page);
  await shot(page, "rates-file-360");
  expect((await office.api("GET", "/api/company/rates")).json.version).toBe(1);
  await page.getByRole("button", { name: "Keep these 2 changes" }).click();
  await expect(page.getByLabel("Our value for swale", { exact: true })).toHaveValue("27.5");
  const { json } = await office.api("GET", "/api/company/rates");
  expect(json.rates.filter((one: { own: unknown }) => one.own !== null).map((one: { id: string }) => one.id)).toEqual([
    "lines.swale",
    "lines.stone",
    "profit",
  ]);
  // The file of a spreadsheet program is none that is read.
  await choose.setInputFiles({ name: "rates.xlsx", mimeType: "text/csv", buffer: Buffer.from("PK\u0003\u0004more") });
  await expect(page.getByRole("alert")).toContainText("save it as CSV in that program");
});

test("an estimator sees the rates and changes none", async ({ office, page }) => {
  await office.addEstimator();
  const rates = { "lines.swale": { value: "27.5", date: "2026-05-04" } };
  await office.api("PUT", "/api/company/rates", { json: { rates }, headers: { "if-match": '"0"' } });
  await signIn(page, office, ESTIMATOR);
  await page.goto("/#/company/rates");
  await expect(page.getByText("ours: 27.5 per foot (lf), from 2026-05-04")).toBeVisible();
  await expect(page.getByRole("textbox")).toHaveCount(0);
  await expect(page.getByLabel("Choose a CSV file")).toHaveCount(0);
  await axe(page);
});
