/** A whole job by the screens alone: one court to be resurfaced, from opening the phone to an accepted offer. */
import { expect, shot, test } from "./office";
import { installed } from "./walker";

test.use({ viewport: { width: 360, height: 740 } });

test("one court: walked without signing in, judged, offered, sent and accepted", async ({
  office,
  page,
  phonePage,
}) => {
  test.setTimeout(150_000);
  page.setDefaultTimeout(15_000);
  const steps: string[] = [];
  let from = Date.now();
  const done = (step: string) => {
    steps.push(`${step}: ${((Date.now() - from) / 1000).toFixed(1)} s`);
    from = Date.now();
  };
  const press = (name: string | RegExp) =>
    page
      .getByRole("button", { name, exact: typeof name === "string" })
      .first()
      .click();

  await page.goto("/");
  await installed(page);
  await press("I am on site");
  await press(/^Across/);
  await page.getByRole("textbox", { name: /^Across/ }).fill("60");
  await press(/^Along/);
  await page.getByRole("textbox", { name: /^Along/ }).fill("120 ft");
  await press("Draw this pad");
  await expect(page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
  done("pad taped");

  await press("Crack");
  await press("1/16 in");
  await press("Length off the wheel");
  await page.getByRole("textbox", { name: "Length off the wheel" }).fill("80");
  await press("Count 80 ft");
  await press("Done");
  await press("All kinds");
  await press("Worn patch");
  await press("Area");
  await page.getByRole("textbox", { name: "Area" }).fill("6000 sf");
  await press(/^Count \d/);
  done("walked");

  await page.getByRole("link", { name: "Call", exact: true }).click();
  await page.getByLabel("Name of the job").fill("Orchard Lane, one court");
  await page.getByLabel("Address").fill("14 Orchard Lane, Millbrook");
  await page.getByRole("button", { name: "Home", exact: true }).click();
  done("named");

  await press("More");
  await page.getByRole("link", { name: "Settings" }).click();
  await page.getByRole("link", { name: "Sign in", exact: true }).click();
  await page.getByLabel("Email address").fill(office.email);
  await page.getByLabel("Password").fill(office.password);
  await press("Sign in");
  await expect(page.getByRole("heading", { level: 1, name: "Sign in" })).toBeHidden();
  await page.getByRole("link", { name: "Jobs", exact: true }).click();
  await page.getByRole("link", { name: /Orchard Lane/ }).click();
  done("signed in");

  await page.getByRole("link", { name: "Verdict", exact: true }).click();
  await expect(page.getByRole("main")).toContainText(/can be saved/, { timeout: 60_000 });
  await shot(page, "whole-verdict");
  done("judged");
  await page.getByRole("link", { name: "Price", exact: true }).click();
  await expect(page.getByRole("main")).toContainText(/\$\d/, { timeout: 60_000 });
  await shot(page, "whole-price");
  done("priced");

  await page.getByRole("link", { name: "Offer", exact: true }).click();
  await press("Make the offer");
  await expect(page.getByText(/^\d+ pages?\.$/)).toBeVisible({ timeout: 90_000 });
  done("papers made");
  // A small job is decided from one page and its terms: what we advise alone.
  await page.getByText("Set by hand: words, options, prices").click();
  await press("Offer only what we advise");
  const options = page.getByRole("region", { name: /^Options on pad/ });
  await expect(options.getByRole("checkbox", { checked: true })).toHaveCount(1);
  await expect(options.getByText("New color surface (we advise it)")).toBeVisible();
  await press("Write the papers with this");
  await expect(page.getByText(/^[123] pages?\.$/)).toBeVisible({ timeout: 90_000 });
  done("cut to one page and its terms");
  await press("Send: make the link");
  const address = await page.locator("code").textContent({ timeout: 15_000 });
  await shot(page, "whole-sent");
  done("sent");

  const owner = await phonePage(360);
  await owner.goto(address ?? "");
  await expect(owner.getByRole("heading", { level: 1 })).toContainText("Orchard Lane");
  await owner.getByRole("radio").first().check();
  await owner.getByLabel("Your name, as you sign").fill("June Abernathy");
  await owner.getByRole("checkbox").check();
  await owner.getByRole("button", { name: "Look over what you accept" }).click();
  await owner.getByRole("button", { name: "I accept" }).click();
  await expect(owner.getByText(/^Accepted by June Abernathy/)).toBeVisible();
  await shot(owner, "whole-accepted");
  done("accepted");
  for (const description of steps) test.info().annotations.push({ type: "measured", description });

  const { json: jobs } = await office.api("GET", "/api/jobs");
  expect(jobs.items.map((job: { name: string }) => job.name)).toEqual(["Orchard Lane, one court"]);
  const { json: walks } = await office.api("GET", `/api/jobs/${jobs.items[0].id}/walks`);
  const { json: record } = await office.api("GET", `/api/walks/${walks.items[0].id}/record`);
  expect(record.complaints.filter((one: { weight: string }) => one.weight === "error")).toEqual([]);
});
