/**
 * Every screen, in both languages and all sets of colours: for screen readers, for eyes that need contrast, for thumbs,
 * at twice the size of letters. `COURTWRIGHT_PICTURES=folder` keeps a picture of each at three widths.
 */
import type { Page } from "@playwright/test";
import { open, SCREENS } from "./every_screen";
import { sideways } from "./looking";
import { demoToRead } from "./offered";
import { axe, expect, shot, signIn, test, WIDTHS } from "./office";

test.use({ officeFor: "worker" });

const LANGUAGES = ["en", "es"] as const;
/** The sets of colours, by the paper that each is known by. */
const COLOURS = { day: "rgb(251, 250, 246)", dark: "rgb(22, 26, 24)", sun: "rgb(255, 255, 255)" } as const;
type Colours = keyof typeof COLOURS;

async function set(page: Page, language: string): Promise<void> {
  const kept = JSON.stringify({ language, colours: "day", units: "us" });
  await page.evaluate((text) => localStorage.setItem("courtwright settings", text), kept);
  await page.reload();
}

/** Let axe look at a screen in a set of colours, which is one word on the page. */
async function seen(page: Page, colours: Colours): Promise<void> {
  const paper = await page.evaluate((name) => {
    document.documentElement.dataset.colours = name;
    return getComputedStyle(document.body).backgroundColor;
  }, colours);
  expect(paper).toBe(COLOURS[colours]);
  await axe(page);
}

/** Controls that a thumb in a glove misses, and what runs off to the side. */
async function tooSmall(page: Page): Promise<string[]> {
  return page.evaluate(() =>
    [
      ...document.querySelectorAll<HTMLElement>(
        "button, select, textarea, input:not([type=checkbox], [type=radio], .unseen)",
      ),
    ]
      .filter((one) => one.checkVisibility({ visibilityProperty: true }))
      .map((one) => ({ one, box: one.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 1 && (box.height < 47.5 || box.width < 47.5))
      .map(
        ({ one, box }) => `${one.textContent?.trim() || one.id}: ${Math.round(box.width)} × ${Math.round(box.height)}`,
      ),
  );
}

for (const language of LANGUAGES) {
  test(`every screen is for everybody: ${language}`, async ({ office, page }) => {
    test.setTimeout(240_000);
    const id = await demoToRead(office);
    await page.setViewportSize({ width: 360, height: 760 });
    await signIn(page, office);
    await set(page, language);
    for (const [name, hash] of Object.entries(SCREENS)) {
      await test.step(name, async () => {
        await open(page, hash, id);
        for (const colours of Object.keys(COLOURS) as Colours[]) await test.step(colours, () => seen(page, colours));
        expect(await tooSmall(page), name).toEqual([]);
        expect(await sideways(page), `${name} runs off to the side`).toBeLessThanOrEqual(0);
      });
    }
  });
}

test("twice the size of letters hides nothing and runs off nowhere", async ({ office, page }) => {
  test.setTimeout(180_000);
  const id = await demoToRead(office);
  // A screen of 1440 × 900 at 200 %, and a phone of 640 at 200 %.
  for (const [width, height] of [
    [720, 450],
    [320, 640],
  ] as const) {
    await page.setViewportSize({ width, height });
    await signIn(page, office);
    await set(page, "en");
    for (const [name, hash] of Object.entries(SCREENS)) {
      await test.step(`${name} at ${width}`, async () => {
        await open(page, hash, id);
        expect(await sideways(page), `${name} runs off to the side`).toBeLessThanOrEqual(0);
      });
    }
  }
});

test("every screen is looked at", async ({ office, page }) => {
  test.skip(process.env.COURTWRIGHT_PICTURES === undefined, "COURTWRIGHT_PICTURES names no folder");
  test.setTimeout(240_000);
  const id = await demoToRead(office);
  await signIn(page, office);
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: width < 820 ? 760 : 900 });
    await set(page, "en");
    for (const [name, hash] of Object.entries(SCREENS)) {
      await open(page, hash, id);
      // Plans and pages of papers are drawn a moment after the words.
      await page.waitForTimeout(1500);
      await shot(page, `${name}-${width}`);
    }
  }
});
