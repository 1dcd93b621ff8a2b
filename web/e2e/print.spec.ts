/** Paper: every screen can be printed, and nothing on it is there to be pressed but what says something. */
import type { Page } from "@playwright/test";
import { open, SCREENS } from "./every_screen";
import { demoToRead } from "./offered";
import { expect, shot, signIn, test } from "./office";

test.use({ officeFor: "worker" });

/** Controls that would be printed, but for what was chosen and lines that tell something. */
function controls(page: Page): Promise<string[]> {
  return page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>("button, .button, input[type=file]")]
      .filter((one) => one.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true }))
      .filter((one) => one.getBoundingClientRect().width > 1)
      .filter((one) => !one.matches("[aria-pressed=true], [aria-checked=true], .told"))
      .map((one) => one.textContent?.trim() || one.outerHTML.slice(0, 80)),
  );
}

test("no screen prints what can only be pressed", async ({ office, page }) => {
  test.setTimeout(180_000);
  const id = await demoToRead(office);
  await signIn(page, office);
  const screens = { ...SCREENS, "walk-all": "#/jobs/{job}/walk/all", "walk-photos": "#/jobs/{job}/walk/photos" };
  let onScreens = 0;
  for (const [name, hash] of Object.entries(screens)) {
    await test.step(name, async () => {
      await page.emulateMedia({ media: "screen" });
      await open(page, hash, id);
      onScreens += (await controls(page)).length;
      await page.emulateMedia({ media: "print" });
      expect(await controls(page), name).toEqual([]);
      await shot(page, `print-${name}`);
    });
  }
  // They are there on screens: the list above did not find nothing because it looks for nothing.
  expect(onScreens).toBeGreaterThan(50);
});

test("what was chosen and what was found is printed", async ({ office, page }) => {
  const id = await demoToRead(office);
  await signIn(page, office);
  await page.goto(`/#/jobs/${id}/walk/all`);
  const rows = page.locator(".doing ul.lines > li");
  await expect(rows.first()).toBeVisible();
  const words = (await rows.allInnerTexts()).filter((text) => text.trim() !== "");
  await page.goto("/#/settings");
  await page.emulateMedia({ media: "print" });
  await expect(page.getByText("Feet and inches")).toBeVisible();
  await expect(page.getByText("Metres")).toBeHidden();
  await page.goto(`/#/jobs/${id}/walk/all`);
  await expect(rows.first()).toBeVisible();
  expect((await rows.allInnerTexts()).filter((text) => text.trim() !== "")).toEqual(words);
});
