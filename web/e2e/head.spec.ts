/** The head of a screen on a phone: two rows, and all that it has to say behind one button. */
import type { Page } from "@playwright/test";
import { demoJob } from "./offered";
import { axe, expect, shot, signIn, test } from "./office";
import { installed } from "./walker";

test.use({ viewport: { width: 360, height: 760 } });

const WORDS = {
  en: {
    more: "More",
    less: "Less",
    settings: "Settings",
    here: /^On this phone, \d+ changes$/,
    reached: "The office is not reached",
    done: "Done",
    one: "One here, counted",
  },
  es: {
    more: "Más",
    less: "Menos",
    settings: "Ajustes",
    here: /^En este teléfono, \d+ cambios$/,
    reached: "No se llega a la oficina",
    done: "Listo",
    one: "Uno aquí, contado",
  },
} as const;

/** Keys of the walk that are cut off by the foot of the screen, or lie below it. */
function hiddenKeys(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const foot = document.querySelector(".doing")?.getBoundingClientRect().bottom ?? 0;
    return [...document.querySelectorAll(".keys > *")]
      .filter((key) => key.getBoundingClientRect().bottom > foot + 0.5)
      .map((key) => key.textContent ?? "");
  });
}

for (const language of ["en", "es"] as const) {
  test(`two rows in a walk leave the thumb its keys, and what is behind the button is read: ${language}`, async ({
    office,
    page,
  }) => {
    const words = WORDS[language];
    const kept = JSON.stringify({ language, colours: "day", units: "us" });
    await page.addInitScript((text) => localStorage.setItem("courtwright settings", text), kept);
    const id = await demoJob(office);
    await signIn(page, office);
    await page.goto(`/#/jobs/${id}/walk`);
    await expect(page.locator(".sheet canvas").first()).toBeVisible();
    const head = page.getByRole("banner");
    await expect(head.getByRole("status")).toHaveText(language === "en" ? /^At the office, / : /^En la oficina, /);
    await office.stop();
    await page.locator(".keys button").nth(1).click();
    await page.getByRole("button", { name: words.one }).click();
    await page.getByRole("button", { name: words.done }).click();
    await expect(head.getByRole("status")).toHaveText(words.here, { timeout: 20_000 });
    await expect(page.locator(".doing .keys > *")).toHaveCount(12);

    await shot(page, `head-${language}`);
    expect((await head.boundingBox())?.height).toBeLessThanOrEqual(102);
    expect(await head.getByRole("status").evaluate((one) => one.scrollWidth - one.clientWidth)).toBeLessThanOrEqual(0);
    expect(await hiddenKeys(page)).toEqual([]);
    await axe(page);

    await expect(head.getByRole("link", { name: words.settings })).toHaveCount(0);
    await head.getByRole("button", { name: words.more }).click();
    await expect(head).toContainText(words.reached);
    await expect(head.getByRole("link", { name: words.settings })).toBeVisible();
    await axe(page);
    await shot(page, `head-open-${language}`);
    await head.getByRole("button", { name: words.less }).click();
    await expect(head.getByRole("link", { name: words.settings })).toHaveCount(0);
  });
}

test("where all was sent and the office is away, one sentence says both", async ({ office, page }) => {
  const id = await demoJob(office);
  await signIn(page, office);
  await installed(page);
  await page.goto(`/#/jobs/${id}/walk`);
  const head = page.getByRole("banner");
  await expect(head.getByRole("status")).toHaveText(/^At the office, /);
  await office.stop();
  await page.reload();
  await expect(head.getByRole("status")).toHaveText(/^Sent \S+ [AP]M; not reached now$/, { timeout: 20_000 });
  expect(await head.getByRole("status").evaluate((one) => one.scrollWidth - one.clientWidth)).toBeLessThanOrEqual(0);
  await head.getByRole("button", { name: "More" }).click();
  await expect(head).toContainText(
    /All of it was at the office at .+, which is not reached now and is tried again at /,
  );
  await expect(head).not.toContainText("The office is not reached");
  await shot(page, "head-away-360");
});
