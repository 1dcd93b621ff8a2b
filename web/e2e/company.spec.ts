/** A contractor's own texts and logo: typed on a screen, and read on the paper and on the owner's page. */
import type { Page } from "@playwright/test";
import { demoJob, sentOffer } from "./offered";
import { axe, ESTIMATOR, expect, type Office, shot, signIn, test } from "./office";

const OWN = "Two years on all that we lay.\nAsk us for the long form.";
const INSURED = "Asegurados con Mutual del Río.";

async function openTexts(page: Page, office: Office): Promise<void> {
  await signIn(page, office);
  await page.goto("/#/company/papers");
  await expect(page.getByRole("heading", { level: 2, name: "Our texts" })).toBeVisible();
  await expect(page.getByLabel("Warranty, in English")).toBeVisible();
}

test("texts and a logo of our own stand on the paper and on the owner's page", async ({ office, page, phonePage }) => {
  test.setTimeout(180_000);
  const job = await demoJob(office);
  await page.setViewportSize({ width: 360, height: 760 });
  await signIn(page, office);
  await page.goto("/#/company/ourselves");
  await page.getByLabel("Name, as on the paper").fill("Level Courts & Sons");
  await page.getByRole("button", { name: "Save" }).click();
  await expect(page.getByText("Saved.")).toBeVisible();
  // Any picture will do: a piece of the page itself.
  const buffer = await page.screenshot({ clip: { x: 0, y: 0, width: 240, height: 60 } });
  await page.getByLabel("Choose a picture").setInputFiles({ name: "logo.png", mimeType: "image/png", buffer });
  await expect(page.getByRole("img", { name: "Our logo" })).toBeVisible();

  await openTexts(page, office);
  const warranty = page.getByRole("group", { name: "Warranty" });
  await expect(warranty.getByText("what of the usual text concerns its work")).toBeVisible();
  await page.getByLabel("Warranty, in English").fill(OWN);
  const stands = "Our own text stands on every paper. A paper in Spanish has it in English.";
  await expect(warranty.getByText(stands)).toBeVisible();
  await page.getByLabel("Insurance, in Spanish").fill(INSURED);
  await expect(page.getByText("2 texts are changed and not kept yet.")).toBeVisible();
  await axe(page);
  await shot(page, "texts-typed-360");
  await page.getByRole("button", { name: "Keep our texts" }).click();
  await expect(page.getByText("Kept.")).toBeVisible();

  // Who we are is saved again, and takes no text away.
  await page.goto("/#/company/ourselves");
  await page.getByLabel("Telephone").fill("555 0117");
  await page.getByRole("button", { name: "Save" }).click();
  await expect(page.getByText("Saved.")).toBeVisible();
  await page.goto("/#/company/papers");
  await expect(page.getByLabel("Warranty, in English")).toHaveValue(OWN);

  const { id, path } = await sentOffer(office, job);
  const { json: offer } = await office.api("GET", `/api/offers/${id}`);
  const blocks = Object.fromEntries(
    offer.says.terms.map(({ heading, typed }: { heading: string; typed: string[][] }) => [heading, typed]),
  );
  expect(blocks.Warranty).toEqual([OWN.split("\n")]);
  expect(blocks.Insurance).toEqual([[INSURED]]);
  expect(blocks).not.toHaveProperty("Cancellation");
  expect(offer.says.terms.at(-1).says.join(" ")).toContain("The law on deposits");

  // A later logo changes no paper that was sent.
  const { json: now } = await office.api("GET", "/api/company");
  await office.api("DELETE", "/api/company/logo", { headers: { "if-match": `"${now.version}"` } });
  for (const width of [360, 1440]) {
    const owners = await phonePage(width);
    await owners.goto(path);
    const logo = owners.getByRole("img", { name: "Logo of Level Courts & Sons" });
    await expect(logo).toBeVisible();
    const size = await logo.evaluate(async (one: HTMLImageElement) => {
      await one.decode();
      return [one.naturalWidth, one.naturalHeight, one.width / one.height];
    });
    expect(size).toEqual([240, 60, expect.closeTo(4, 1)]);
    await expect(owners.getByText("Two years on all that we lay.")).toBeVisible();
    await expect(owners.getByRole("heading", { name: "Insurance" })).toBeVisible();
    await expect(owners.getByText(INSURED)).toBeVisible();
    await axe(owners);
    await shot(owners, `owner-own-${width}`);
  }
  const pages = await paper(await phonePage(1440), path);
  expect(pages).toContain("Two years on all that we lay.");
  expect(pages).toContain(INSURED);
  expect(pages).toContain("Level Courts & Sons");
});

/** The words of the whole PDF, as the owner's link gives it. */
async function paper(page: Page, path: string): Promise<string> {
  await page.goto(path);
  await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
  const answer = await page.request.get("/api/customer/file?name=offer.pdf");
  const { getDocument } = await import("pdfjs-dist/legacy/build/pdf.mjs");
  const task = getDocument({ data: new Uint8Array(await answer.body()) });
  const document = await task.promise;
  const said: string[] = [];
  for (let number = 1; number <= document.numPages; number += 1) {
    const { items } = await (await document.getPage(number)).getTextContent();
    said.push(...items.map((item) => ("str" in item ? item.str : "")));
  }
  await task.destroy();
  return said.join(" ").replace(/\s+/g, " ");
}

test("the usual text is read beside a field, and a text may begin with it", async ({ office, page }) => {
  await page.setViewportSize({ width: 1440, height: 900 });
  await openTexts(page, office);
  const needs = page.getByRole("group", { name: "What we need from you" });
  await needs.getByText("The usual text in English").click();
  await expect(needs.getByText("A tap with pressure")).toBeVisible();
  await page.getByRole("group", { name: "Warranty" }).getByText("The usual text in Spanish").click();
  await expect(page.getByRole("group", { name: "Insurance" }).getByText("no paper speaks of it")).toBeVisible();
  await axe(page);
  await shot(page, "texts-1440");
  await needs.getByRole("button", { name: "Begin with the usual text" }).click();
  const field = page.getByLabel("What we need from you, in English");
  await expect(field).toHaveValue(/^The way in kept free.*\nA tap with pressure/);
  await field.fill("x".repeat(4001));
  await expect(needs.getByText("Too long by 1.")).toBeVisible();
  await page.getByRole("button", { name: "Keep our texts" }).click();
  await expect(page.getByRole("alert")).toBeVisible();
  await page.getByRole("button", { name: "Undo the changes" }).click();
  await expect(field).toHaveValue("");
  await page.goto("/#/settings");
  await page.getByRole("button", { name: "Español" }).click();
  await page.goto("/#/company/papers");
  await expect(page.getByLabel("Garantía, en español", { exact: true })).toBeVisible();
  await page.setViewportSize({ width: 360, height: 760 });
  await axe(page);
  await shot(page, "texts-es-360");
});

test("an estimator reads the texts and changes none", async ({ office, page }) => {
  await office.addEstimator();
  const { json: now } = await office.api("GET", "/api/company");
  const json = { name: now.name, terms: { needs: { en: "A tap within reach.", es: "" } } };
  await office.api("PUT", "/api/company", { json, headers: { "if-match": `"${now.version}"` } });
  await signIn(page, office, ESTIMATOR);
  await page.goto("/#/company/papers");
  await expect(page.getByText("A tap within reach.")).toBeVisible();
  await expect(page.getByRole("textbox")).toHaveCount(0);
  await axe(page);
});
