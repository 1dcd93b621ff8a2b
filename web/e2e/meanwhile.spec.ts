/** Two people change the company's page at once: the newest is fetched, what was typed stays, and one key keeps both. */
import { axe, expect, shot, signIn, test } from "./office";

test.use({ viewport: { width: 360, height: 760 } });

test("who we are: another's telephone comes in beside the name that was typed", async ({ office, page }) => {
  await signIn(page, office);
  await page.goto("/#/company/ourselves");
  await page.getByLabel("Name, as on the paper").fill("Level Courts & Sons");
  const { json: company } = await office.api("GET", "/api/company");
  const headers = { "if-match": `"${company.version}"` };
  const { name, licence, address } = company;
  await office.api("PUT", "/api/company", { headers, json: { name, licence, address, phone: "555 0117" } });

  await page.getByRole("button", { name: "Save", exact: true }).click();
  const told = page.getByRole("alert");
  await expect(told).toContainText("somebody else has changed this page");
  await expect(told).toContainText("Telephone: before nothing, now 555 0117");
  await expect(page.getByLabel("Name, as on the paper")).toHaveValue("Level Courts & Sons");
  await expect(page.getByLabel("Telephone")).toHaveValue("555 0117");
  await axe(page);
  await shot(page, "meanwhile-ourselves-360");
  await told.getByRole("button", { name: "Save mine with theirs" }).click();
  await expect(page.getByText("Saved.")).toBeVisible();
  await expect(told).toHaveCount(0);
  const { json: after } = await office.api("GET", "/api/company");
  expect(after).toMatchObject({ name: "Level Courts & Sons", phone: "555 0117" });
});

test("our rates: where both changed one rate, the typed one stands and theirs is told", async ({ office, page }) => {
  await signIn(page, office);
  await page.goto("/#/company/rates");
  const wash = page.getByLabel("Our value for wash, prepare and color", { exact: true });
  await wash.fill("14500");
  const { json: kept } = await office.api("GET", "/api/company/rates");
  const headers = { "if-match": `"${kept.version}"` };
  const id = kept.rates.find((one: { title: string }) => one.title === "wash, prepare and color").id;
  const theirs = (value: string) => ({ value, unit: "", date: "2026-05-04", note: "" });
  const rates = { [id]: theirs("9000"), profit: theirs("15") };
  await office.api("PUT", "/api/company/rates", { headers, json: { rates } });

  await page.getByRole("button", { name: "Keep our rates" }).click();
  const told = page.getByRole("alert");
  await expect(told).toContainText(/wash, prepare and color: they put 9000 from 2026-05-04; you typed 14500 from /);
  await expect(told).toContainText("before the usual value, now 15 from 2026-05-04");
  await expect(wash).toHaveValue("14500");
  await axe(page);
  await told.scrollIntoViewIfNeeded();
  await shot(page, "meanwhile-rates-360");
  await told.getByRole("button", { name: "Save mine with theirs" }).click();
  await expect(page.getByText("Kept.")).toBeVisible();
  const { json: after } = await office.api("GET", "/api/company/rates");
  const own = (of: string) => after.rates.find((one: { id: string }) => one.id === of).own.value;
  expect([own(id), own("profit")]).toEqual([14500, 15]);
});

test("our texts: the newest comes in, and a text in Spanish is told in Spanish", async ({ office, page }) => {
  const settings = JSON.stringify({ language: "es", units: "us", colours: "day" });
  await page.addInitScript((text) => localStorage.setItem("courtwright settings", text), settings);
  await signIn(page, office);
  await page.goto("/#/company/papers");
  await page.getByLabel("Garantía, en español", { exact: true }).fill("Dos años.");
  const { json: company } = await office.api("GET", "/api/company");
  const headers = { "if-match": `"${company.version}"` };
  const { name, licence, address, phone } = company;
  const terms = { insurance: { en: "Insured by Rivermouth Mutual.", es: "" } };
  await office.api("PUT", "/api/company", { headers, json: { name, licence, address, phone, terms } });

  await page.getByRole("button", { name: "Guardar nuestros textos" }).click();
  const told = page.getByRole("alert");
  await expect(told).toContainText("antes nada, ahora Insured by Rivermouth Mutual.");
  await axe(page);
  await shot(page, "meanwhile-texts-360");
  await told.getByRole("button", { name: "Guardar lo mío con lo suyo" }).click();
  await expect(told).toHaveCount(0);
  const { json: after } = await office.api("GET", "/api/company");
  expect(after.terms.warranty.es).toBe("Dos años.");
  expect(after.terms.insurance.en).toBe("Insured by Rivermouth Mutual.");
});
