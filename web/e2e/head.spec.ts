/** The head of a screen on a phone: two rows, and all that it has to say behind one button. */
import type { Page } from "@playwright/test";
import { demoJob } from "./offered";
import { axe, expect, shot, signIn, test } from "./office";
import { installed } from "./walker";

/** Where it is now noon or a little later: hours of two digits take most room. */
function noon(): string {
  const ahead = 12 - new Date().getUTCHours();
  return `Etc/GMT${ahead > 0 ? "-" : "+"}${Math.abs(ahead)}`;
}

test.use({ viewport: { width: 360, height: 760 }, timezoneId: noon() });

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

const AWAY = {
  en: {
    sent: /^At the office, /,
    short: /^Sent \S+ [AP]M; not reached$/,
    long: /All of it was at the office at .+, which is not reached now and is tried again at /,
  },
  es: {
    sent: /^En la oficina, /,
    short: /^Enviado .+; ahora no$/,
    long: /Todo estaba en la oficina \(.+\); ahora no se llega a ella y se intenta de nuevo a las /,
  },
} as const;

for (const language of ["en", "es"] as const)
  test(`where all was sent and the office is away, one sentence says both: ${language}`, async ({ office, page }) => {
    const kept = JSON.stringify({ language, colours: "day", units: "us" });
    await page.addInitScript((text) => localStorage.setItem("courtwright settings", text), kept);
    const id = await demoJob(office);
    await signIn(page, office);
    await installed(page);
    // The walk takes on the name of its job once it is open: a change like any other, and it has to arrive first.
    const arrived = page.waitForResponse((one) => one.request().method() === "POST" && one.url().endsWith("/updates"));
    await page.goto(`/#/jobs/${id}/walk`);
    const head = page.getByRole("banner");
    await arrived;
    await expect(head.getByRole("status")).toHaveText(AWAY[language].sent);
    await office.stop();
    await page.reload();
    await expect(head.getByRole("status")).toHaveText(AWAY[language].short, { timeout: 20_000 });
    expect(await head.getByRole("status").evaluate((one) => one.scrollWidth - one.clientWidth)).toBeLessThanOrEqual(0);
    await head.getByRole("button", { name: WORDS[language].more }).click();
    await expect(head).toContainText(AWAY[language].long);
    await expect(head).not.toContainText(WORDS[language].reached);
    await shot(page, `head-away-${language}`);
  });
