/** Prevailing wage: said on the call or beside the price, and the office prices with it. */
import { demoJob } from "./offered";
import { axe, expect, shot, signIn, test } from "./office";

test.use({ viewport: { width: 360, height: 760 } });

test("what is said on the call stands beside the price, and what is set there is in the walk", async ({
  office,
  page,
}) => {
  const job = await demoJob(office);
  const { json: walks } = await office.api("GET", `/api/jobs/${job}/walks`);
  const told = async () => (await office.api("GET", `/api/walks/${walks.items[0].id}/record`)).json.plain.walk;
  await signIn(page, office);
  const wage = page.getByRole("group", { name: "Prevailing wage (public work)" });
  const pressed = (name: string) => wage.getByRole("button", { name, pressed: true, exact: true });
  await page.goto(`/#/jobs/${job}/call`);
  // The demo's walk came with an answer of its own.
  await expect(pressed("Applies")).toBeVisible();
  await wage.getByRole("button", { name: "Does not apply" }).click();
  await expect(pressed("Does not apply")).toBeVisible();
  await wage.scrollIntoViewIfNeeded();
  await shot(page, "wage-call-360");
  await expect.poll(async () => (await told()).prevailing_wage, { timeout: 20_000 }).toBe(false);

  await page.goto(`/#/jobs/${job}/price`);
  await expect(pressed("Does not apply")).toBeVisible();
  await axe(page);
  await shot(page, "wage-price-360");
  // Pressed again, it is taken back: nobody knows.
  await pressed("Does not apply").click();
  await expect(pressed("Don't know")).toBeVisible();
  await expect.poll(async () => (await told()).prevailing_wage, { timeout: 20_000 }).toBe("unknown");
  await wage.getByRole("button", { name: "Applies", exact: true }).click();
  await expect.poll(async () => (await told()).prevailing_wage, { timeout: 20_000 }).toBe(true);
  const { json } = await office.api("GET", `/api/jobs/${job}`);
  expect(json.call.wage).toBe("true");
});
