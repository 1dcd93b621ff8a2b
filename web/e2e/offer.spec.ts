/** From a walk to a sealed acceptance: the office on a laptop, the owner on a phone. */

import { demoJob, openOffers, sentOffer } from "./offered";
import { axe, expect, shot, test } from "./office";

test.use({ viewport: { width: 1440, height: 900 } });

test("an offer is made, looked at, sent, asked about, accepted and sealed", async ({ office, page, phonePage }) => {
  test.setTimeout(180_000);
  const wrong: string[] = [];
  page.on("console", (told) => {
    if (told.type() === "error") wrong.push(told.text());
  });
  await demoJob(office);
  await openOffers(page, office, { job: "Bellwether Green", offer: "Offer" });
  await axe(page);
  await shot(page, "offer-empty-1440");
  await page.getByRole("button", { name: "Make the offer" }).click();
  const preview = page.getByRole("group", { name: "The paper, as the customer gets it" });
  await expect(page.getByText(/^\d+ pages\.$/)).toBeVisible({ timeout: 90_000 });
  // Pages are really drawn: their middle is not one colour.
  const inks = await preview
    .locator("canvas")
    .first()
    .evaluate((canvas: HTMLCanvasElement) => {
      const data = canvas.getContext("2d")?.getImageData(0, 0, canvas.width, canvas.height).data ?? [];
      return new Set(Array.from({ length: data.length / 400 }, (_, i) => data[i * 400])).size;
    });
  expect(inks).toBeGreaterThan(5);
  await axe(page);
  await shot(page, "offer-draft-1440");
  await page.getByRole("button", { name: "Send: make the link" }).click();
  const address = await page.locator("code").textContent({ timeout: 15_000 });
  expect(address).toContain("/offer#");
  await axe(page);
  await shot(page, "offer-sent-1440");

  const owner = await phonePage(360);
  await owner.goto(address ?? "");
  await expect(owner.getByRole("heading", { level: 1, name: /Bellwether Green/ })).toBeVisible();
  expect(owner.url()).not.toContain("#");
  await owner.getByLabel("Your question").fill("Do we lose a season?");
  await owner.getByRole("button", { name: "Send the question" }).click();
  await expect(owner.getByText("Not answered yet.")).toBeVisible();

  await page.getByRole("button", { name: "Look again" }).click();
  await page.getByLabel("Your answer").fill("No: three weeks in June.");
  await page.getByRole("button", { name: "Answer", exact: true }).click();
  await expect(page.getByText("At the office…")).toBeHidden();
  await owner.reload();
  await expect(owner.getByText("No: three weeks in June.")).toBeVisible();

  await owner.getByRole("group", { name: "Pad: upper" }).getByRole("radio").first().check();
  await owner.getByRole("group", { name: "Pad: lower" }).getByRole("radio").first().check();
  await owner.getByLabel("Your name, as you sign").fill("Rosa Quintero");
  await owner.getByRole("checkbox").check();
  await owner.getByRole("button", { name: "Look over what you accept" }).click();
  await expect(owner.getByText("I, Rosa Quintero, accept:")).toBeVisible();
  await axe(owner);
  await shot(owner, "owner-review-360");
  await owner.getByRole("button", { name: "I accept" }).click();
  await expect(owner.getByText(/^Accepted by Rosa Quintero/)).toBeVisible();
  await expect(owner.getByText(/^Its seal code is [0-9A-Z-]{10,}/)).toBeVisible();
  await axe(owner);
  await expect(async () => {
    await owner.reload();
    await expect(owner.getByRole("link", { name: /sealed/ })).toBeVisible({ timeout: 2_000 });
  }).toPass({ timeout: 60_000 });
  await shot(owner, "owner-accepted-360");

  await page.getByRole("button", { name: "Look again" }).click();
  await page.reload();
  await expect(page.getByText(/^Accepted by Rosa Quintero/)).toBeVisible();
  await expect(page.getByText(/All is as it was sealed/)).toBeVisible();
  await axe(page);
  await shot(page, "offer-accepted-1440");
  expect(wrong).toEqual([]);
});

test("an offer is set by hand: what it says is read by the customer, why it says so by nobody", async ({
  office,
  page,
  phonePage,
}) => {
  test.setTimeout(240_000);
  const job = await demoJob(office);
  await openOffers(page, office, { job: "Bellwether Green", offer: "Offer" });
  await page.getByRole("button", { name: "Make the offer" }).click();
  await expect(page.getByText(/^\d+ pages\.$/)).toBeVisible({ timeout: 90_000 });
  await page.getByText("Set by hand: words, options, prices").click();
  await page.getByLabel("On the first page").fill("The gate sticks; we bring a plane.");
  await page.getByLabel("At the end, before the acceptance").fill("Ask for Rosa.\nShe was on the site.");
  const upper = page.getByRole("region", { name: "Options on pad upper" });
  const first = upper.getByRole("checkbox", { checked: true }).first();
  const title = (await first.locator("xpath=following-sibling::span[1]").textContent()) ?? "";
  await upper.getByText(`Price and note: ${title}`).click();
  await upper.getByLabel(`Firm price set by hand: ${title}`).fill("about 90");
  await expect(page.getByText(`Pad upper, ${title}: give the price as a whole amount`)).toBeVisible();
  await upper.getByLabel(`Firm price set by hand: ${title}`).fill("98,765");
  const write = page.getByRole("button", { name: "Write the papers with this" });
  await expect(write).toBeDisabled();
  await upper.getByLabel(`Why this price: ${title}`).fill("zebra-price: their cousin works for us");
  await upper.getByLabel(`A note beside it for the customer: ${title}`).fill("The same blue as before.");
  // A choice that differs from what a paper shows asks for its reason, and says so until it is given.
  const held = upper.getByRole("checkbox", { checked: true }).nth(1);
  const heldTitle = (await held.locator("xpath=following-sibling::span[1]").textContent()) ?? "";
  await upper.getByLabel(heldTitle, { exact: false }).first().uncheck();
  await upper.getByLabel(`Why it is held back: ${heldTitle}`).fill("zebra-held: we have no crew for it");
  // What is ruled out stands there with its reason, and nothing to press.
  await upper.getByText("What cannot be offered on pad upper, and why").click();
  await expect(upper.getByText(/^Asphalt overlay and new color: .+ the base has to be rebuilt/)).toBeVisible();
  await axe(page);
  await shot(page, "offer-by-hand-1440");
  // What is typed outlives a look elsewhere.
  await page.reload();
  await page.getByText("Set by hand: words, options, prices").click();
  await expect(page.getByLabel("On the first page")).toHaveValue("The gate sticks; we bring a plane.");
  await write.click();
  await expect(page.getByText("At the office…")).toBeHidden({ timeout: 90_000 });
  await page.getByRole("button", { name: "Send: make the link" }).click();
  const address = (await page.locator("code").textContent({ timeout: 30_000 })) ?? "";

  const owner = await phonePage(360);
  const got: string[] = [];
  owner.on("response", async (answer) => {
    if (answer.url().includes("/api/customer")) got.push(await answer.text().catch(() => ""));
  });
  await owner.goto(address);
  await expect(owner.getByText("The gate sticks; we bring a plane.")).toBeVisible();
  await expect(owner.getByText("The same blue as before.")).toBeVisible();
  await expect(owner.getByText("She was on the site.")).toBeVisible();
  await expect(owner.getByText("$98,765").first()).toBeVisible();
  const offered = owner.getByRole("group", { name: "Pad: upper" });
  await expect(offered.getByText(title).first()).toBeVisible();
  await expect(offered.getByText(heldTitle)).toHaveCount(0);
  await axe(owner);
  await shot(owner, "owner-by-hand-360");
  const told = got.join("\n") + (await owner.content());
  expect(got.length).toBeGreaterThan(0);
  expect(told).toContain("98765");
  expect(told).not.toContain("zebra");
  const { json } = await office.api("GET", `/api/jobs/${job}/offers`);
  expect(JSON.stringify(json.items[0].reasons)).toContain("zebra-held");
});

test("a sent offer is revised, declined, opened again and accepted on paper; its links end", async ({
  office,
  page,
  phonePage,
}) => {
  test.setTimeout(240_000);
  const job = await demoJob(office);
  const { path } = await sentOffer(office, job);
  await openOffers(page, office, { job: "Bellwether Green", offer: "Offer" });
  const owner = await phonePage(360);
  await owner.goto(path);
  await expect(owner.getByRole("heading", { level: 1, name: /Bellwether Green/ })).toBeVisible();

  // A revision takes the place of the first, and tells what is different.
  await page.getByRole("button", { name: "Revise it" }).click();
  await expect(page.getByRole("heading", { name: "Offer 1, revision 2: draft" })).toBeVisible({ timeout: 90_000 });
  await expect(page.getByText("Nothing that the customer reads.")).toBeVisible({ timeout: 90_000 });
  await page.getByText("Set by hand: words, options, prices").click();
  await page.getByLabel("Before everything else").fill("Thank you for the coffee.");
  await page.getByRole("button", { name: "Write the papers with this" }).click();
  await expect(page.getByText("Its greeting reads differently.")).toBeVisible({ timeout: 90_000 });
  await axe(page);
  await shot(page, "offer-revised-1440");
  await page.getByRole("button", { name: "Send it as a file instead" }).click();
  await expect(page.getByRole("heading", { name: "Offer 1, revision 2: sent, open" })).toBeVisible();
  await owner.reload();
  await expect(owner.getByText("A newer offer has taken the place of this one.")).toBeVisible();
  await axe(owner);
  await shot(owner, "owner-replaced-360");

  // A link is made and ended: who has it reads no more.
  await page.getByRole("button", { name: "A new link for reading only" }).click();
  const address = (await page.locator("code").textContent()) ?? "";
  const reader = await phonePage(360);
  await reader.goto(address);
  await expect(reader.getByText("Thank you for the coffee.")).toBeVisible();
  await expect(reader.getByRole("button", { name: "Look over what you accept" })).toHaveCount(0);
  await page.getByRole("button", { name: "End this link" }).click();
  await expect(page.getByText(/^Made .* Ended /)).toBeVisible();
  await reader.reload();
  await expect(reader.getByRole("heading", { level: 1 })).toBeVisible();
  await expect(reader.getByText("Thank you for the coffee.")).toHaveCount(0);
  await axe(reader);
  await shot(reader, "owner-closed-360");

  // Declined by word, opened again, and accepted on paper in the end.
  await page.getByText("The customer declined").click();
  await page.getByLabel("Why, if it was told").fill("Not this year.");
  await page.getByRole("button", { name: "Note that it was declined" }).click();
  await expect(page.getByText("Declined: Not this year.")).toBeVisible();
  await page.getByRole("button", { name: "Open it again" }).click();
  await page.getByText("It was accepted on paper").click();
  await page.getByRole("group", { name: "Pad: upper" }).getByRole("radio").first().check();
  await page.getByLabel("Name, as signed").fill("Rosa Quintero");
  await page.getByRole("button", { name: "Record the acceptance" }).click();
  await expect(page.getByText(/^Accepted by Rosa Quintero/)).toBeVisible();
  await expect(page.getByText(/All is as it was sealed/)).toBeVisible();
  await axe(page);
  await shot(page, "offer-on-paper-1440");
});

test("an owner reads and accepts in Spanish", async ({ office, phonePage }) => {
  test.setTimeout(180_000);
  const job = await demoJob(office);
  const { path } = await sentOffer(office, job, { language: "es" });
  const owner = await phonePage(360);
  await owner.goto(path);
  await expect(owner.locator("html")).toHaveAttribute("lang", "es");
  await axe(owner);
  await shot(owner, "owner-es-360");
  await owner
    .getByRole("group", { name: /^Losa: lower/ })
    .getByRole("radio")
    .first()
    .check();
  await owner
    .getByRole("group", { name: /^Losa: upper/ })
    .getByRole("radio")
    .last()
    .check();
  await owner.getByLabel("Su nombre, como firma").fill("Rosa Quintero");
  await owner.getByRole("checkbox").check();
  await owner.getByRole("button", { name: "Revisar lo que acepta" }).click();
  await axe(owner);
  await owner.getByRole("button", { name: "Acepto" }).click();
  await expect(owner.getByText(/^Aceptada por Rosa Quintero/)).toBeVisible();
});
