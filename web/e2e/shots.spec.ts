/** Runs on the walk: the level run with one hand, taps along a repair, photos, two tapes. */
import type { Page } from "@playwright/test";
import { axe, expect, shot, signIn, test, WIDTHS } from "./office";
import { installed, Walker } from "./walker";

test.use({ officeFor: "worker" });

/** A new site of the usual size; gives the address of its walk behind the `#`. */
async function begin(page: Page): Promise<string> {
  await page.getByRole("button", { name: /on site/i }).click();
  await page.getByRole("button", { name: /^Usual size/ }).click();
  await expect(page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
  return new URL(page.url()).hash.replace(/\/walk.*$/, "/walk");
}

async function goTo(page: Page, hash: string): Promise<void> {
  await page.evaluate((to) => {
    location.hash = to;
  }, hash);
}

/** Rod readings of a court that falls along its lanes, in feet. */
const READINGS = ["4.12", "4.20", "4.31", "4.40", "4.49", "4.61", "4.70", "4.68", "4.59", "4.70", "4.41", "4.30"];

async function startRun(page: Page): Promise<void> {
  await page.getByRole("button", { name: "20 ft" }).click();
  await page.getByRole("button", { name: /^Begin: \d+ points/ }).click();
  await expect(page.getByRole("heading", { name: /^Point 1 of / })).toBeVisible();
}

/** Type a reading; one that is asked about is right. */
async function read(page: Page, reading: string): Promise<boolean> {
  await page.getByRole("textbox", { name: /^Rod at point/ }).fill(reading);
  await page.getByRole("textbox", { name: /^Rod at point/ }).press("Enter");
  const right = page.getByRole("button", { name: "It is right" });
  const isAsked = await right.isVisible();
  if (isAsked) await right.click();
  return isAsked;
}

test("twelve shots with the water so far; a phone that is killed goes on at the thirteenth", async ({
  persistentPhone,
}) => {
  const phone = await persistentPhone();
  const page = await phone.open();
  const walk = await begin(page);
  await installed(page);
  await goTo(page, `${walk}/shots`);
  await startRun(page);

  // The first reading by the thumb, the others by a keyboard.
  for (const key of ["4", "point", "1", "2"]) await page.getByRole("button", { name: key, exact: true }).click();
  await page.getByRole("button", { name: "Keep, next point" }).click();
  await expect(page.getByRole("heading", { name: /^Point 2 of / })).toBeVisible();
  let asked = 0;
  for (const [i, reading] of READINGS.slice(1).entries()) {
    if (await read(page, reading)) asked += 1;
    await expect(page.getByRole("heading", { name: new RegExp(`^Point ${i + 3} of `) })).toBeVisible();
  }
  await expect(page.getByText(/^Preview: /)).toBeVisible();
  // The tenth lies 0.2 ft below its neighbours: it was asked about, and holds water.
  expect(asked).toBeGreaterThan(0);
  await expect(page.getByText(/^Preview: 1 low spot, \d/)).toBeVisible();
  await shot(page, "shots-running-360");

  await page.waitForTimeout(300);
  await phone.kill();
  const again = await phone.open(`${walk}/shots`);
  await expect(again.getByText(/^It goes on where it stopped: 12 of /)).toBeVisible();
  await expect(again.getByRole("heading", { name: /^Point 13 of / })).toBeVisible();
  await expect(again.getByText(/^Preview: 1 low spot, \d/)).toBeVisible();

  // Back one, and read it again: the run goes on behind it.
  await again.getByRole("button", { name: "Back one" }).click();
  await expect(again.getByText("It was 4.30 ft.")).toBeVisible();
  await read(again, "4.31");
  await expect(again.getByRole("heading", { name: /^Point 13 of / })).toBeVisible();
  await again.getByRole("button", { name: "Blocked: skip it" }).click();
  await expect(again.getByRole("heading", { name: /^Point 14 of / })).toBeVisible();

  // The instrument moves: the rod stays at 12 and reads 5.31 there, so the instrument stands a foot higher.
  await again.getByRole("button", { name: "Move the instrument" }).click();
  await again.getByRole("textbox", { name: /^Rod at point 12/ }).fill("5.31");
  await again.getByRole("textbox", { name: /^Rod at point 12/ }).press("Enter");
  const tie = again.getByRole("textbox", { name: /^Rod at point \d+, from the new place/ });
  const label = await tie.evaluate((node) => (node as HTMLInputElement).labels?.[0]?.textContent ?? "");
  const number = Number(/point (\d+)/.exec(label)?.[1]);
  await tie.fill((Number(READINGS[number - 1]) + 1).toFixed(2));
  await tie.press("Enter");
  await expect(again.getByText(/^The tie-back agrees/)).toBeVisible();
  await again.getByRole("button", { name: "Go on" }).click();
  await expect(again.getByRole("heading", { name: /^Point 14 of / })).toBeVisible();
});

test.describe("an office that is told", () => {
  test.use({ officeFor: "test" });

  test("the office reads the heights that the rod said", async ({ page, office }) => {
    await signIn(page, office);
    const walk = await begin(page);
    await goTo(page, `${walk}/shots`);
    await startRun(page);
    for (const reading of READINGS.slice(0, 5)) await read(page, reading);
    await expect(page.getByRole("heading", { name: /^Point 6 of / })).toBeVisible();
    await new Walker(page).arrived();
    const { json: jobs } = await office.api("GET", "/api/jobs");
    const { json: walks } = await office.api("GET", `/api/jobs/${jobs.items[0].id}/walks`);
    const { json: record } = await office.api("GET", `/api/walks/${walks.items[0].id}/record`);
    const shots = Object.values<Record<string, string>>(record.plain.shots);
    // 100 ft less what the rod read; the office takes all five for shots of the pad.
    expect(shots.find(({ point }) => point === "1")).toMatchObject({ rod: "4.12 ft", elevation: "95.88 ft" });
    expect(record.pads[0].shots).toBe(5);
    expect(record.complaints.filter(({ file }: { file: string }) => file.startsWith("shots"))).toEqual([]);
  });
});

test("a reading that nobody can read, and a rod that is too long, are told and kept as typed", async ({ page }) => {
  await page.goto("/");
  const walk = await begin(page);
  await goTo(page, `${walk}/shots`);
  await startRun(page);
  const rod = page.getByRole("textbox", { name: /^Rod at point/ });
  await rod.press("Enter");
  await expect(page.getByText("Type the reading first.")).toBeVisible();
  await rod.fill("4.1.2");
  await rod.press("Enter");
  await expect(page.getByText("This is not read as a length: “4.1.2”.")).toBeVisible();
  await rod.fill("412");
  await rod.press("Enter");
  await expect(page.getByText(/^No rod is that long/)).toBeVisible();
  await expect(rod).toHaveValue("412");
});

test("an old repair by two tapes and by two numbers, tapped along, with a photo of it", async ({ page }) => {
  await page.goto("/");
  const walk = await begin(page);
  await goTo(page, `${walk}/tapes`);
  await page.getByRole("combobox", { name: "What is at that place" }).selectOption("old-repair");
  // 30 ft and 50 ft from the two near corners, 60 ft apart: 16.67 ft across, 24.94 ft along.
  const first = page.getByRole("textbox", { name: "Length of tape 1" });
  await first.fill("30");
  await first.press("Enter");
  const second = page.getByRole("textbox", { name: "Length of tape 2" });
  await second.fill("10");
  await expect(page.getByText(/^The tapes do not meet: they end/)).toBeVisible();
  await second.fill("50");
  await expect(page.getByRole("button", { name: /^Place A$/ })).toHaveAttribute("aria-pressed", "true");
  await second.press("Enter");
  await expect(page.getByText(/^Old repair needs 1 more/)).toBeVisible();
  await page.getByRole("button", { name: "across and along" }).click();
  await page.getByLabel("Across, from left to right (x)").fill("17");
  await page.getByLabel("Along, away from you (y)").fill("60");
  await page.getByLabel("Along, away from you (y)").press("Enter");
  await expect(page.getByText("Old repair is on the plan.")).toBeVisible();
  await axe(page);

  await goTo(page, `${walk}/soundings`);
  await expect(page.getByRole("heading", { name: /^Tap 1 of 1[78]/ })).toBeVisible();
  for (const word of ["Solid", "Hollow", "Hollow", "Don't know", "Solid"])
    await page.getByRole("button", { name: word, exact: true }).first().click();
  await expect(page.getByText(/^2 of 4 taps sound hollow, about 50 %/)).toBeVisible();
  await expect(page.getByText(/Hollow from its start: 2 ft to 6 ft/)).toBeVisible();
  await page.reload();
  await expect(page.getByRole("heading", { name: /^Tap 6 of / })).toBeVisible();
  await axe(page);

  await goTo(page, `${walk}/photos`);
  const picture = await page.screenshot({ type: "jpeg" });
  const files = [1, 2].map(() => ({ name: "image.jpg", mimeType: "image/jpeg", buffer: picture }));
  await page.getByLabel("Choose from this device").setInputFiles(files);
  await expect(page.getByRole("heading", { name: "Photo A" })).toBeVisible();
  await page.getByRole("combobox", { name: "What it shows" }).selectOption({ label: "old repair 1" });
  await page.getByLabel("Note").fill("hollow over the whole width");
  await page.getByRole("button", { name: "Taken from here" }).click();
  const sheet = await page.locator(".plan canvas").first().boundingBox();
  await page.mouse.click((sheet?.x ?? 0) + (sheet?.width ?? 0) / 2, (sheet?.y ?? 0) + (sheet?.height ?? 0) / 2);
  await expect(page.getByText(/^The place where you stood is on the plan/)).toBeVisible();
  await axe(page);
  await page.getByRole("button", { name: "Done with this photo" }).click();
  await expect(page.getByText("Photo A: old repair")).toBeVisible();
  await expect(page.getByText("Photo B: the place in general")).toBeVisible();
  await expect(page.locator(".plan ~ .hand img, .hand img")).toHaveCount(2);
});

for (const width of WIDTHS) {
  test(`every run is for everybody, in both languages, at ${width}`, async ({ phonePage }) => {
    const page = await phonePage(width);
    await page.goto("/");
    const walk = await begin(page);
    for (const language of ["en", "es"] as const) {
      await page.evaluate((to) => {
        const name = "courtwright settings";
        const kept = JSON.parse(localStorage.getItem(name) ?? "{}");
        localStorage.setItem(name, JSON.stringify({ ...kept, language: to, units: "us" }));
      }, language);
      for (const part of ["shots", "soundings", "photos", "tapes"]) {
        await page.goto(`/${walk}/${part}`);
        await page.reload();
        await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
        await expect(page.locator(".plan canvas").first()).toBeVisible();
        await axe(page);
        await shot(page, `${part}-${language}-${width}`);
      }
    }
  });
}
