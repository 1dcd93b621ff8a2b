/** Looking at a page: as a picture, and with the eyes of a screen reader. */
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import AxeBuilder from "@axe-core/playwright";
import type { Locator, Page } from "@playwright/test";

/** Take a picture of the whole page into the folder that `COURTWRIGHT_PICTURES` names; nobody looks at any other. */
export async function shot(page: Page, name: string): Promise<void> {
  const folder = process.env.COURTWRIGHT_PICTURES;
  if (folder === undefined) return;
  await mkdir(folder, { recursive: true });
  await page.screenshot({ path: join(folder, `${name}.png`), fullPage: true, animations: "disabled" });
}

/** In which a screen is looked at: language, and width of the window [px]. */
export const FORMS = [
  ["en", 360],
  ["es", 360],
  ["en", 1440],
] as const;

/** Open the page anew in one of the forms; Spanish with metres. */
export async function takeForm(page: Page, [language, width]: (typeof FORMS)[number]): Promise<void> {
  await page.evaluate(
    (text) => localStorage.setItem("courtwright settings", text),
    JSON.stringify({ language, colours: "day", units: language === "es" ? "metric" : "us" }),
  );
  await page.setViewportSize({ width, height: width < 820 ? 760 : 900 });
  await page.reload();
}

/** How far a page can be moved sideways: nought, as it should. [px] */
export function sideways(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** Where something is once it stays there: a plan that has just been laid may be laid anew while it is measured. */
export async function whereIs(one: Locator): Promise<Box> {
  let last: Box | null = null;
  for (const until = Date.now() + 10_000; Date.now() < until; ) {
    const now = await one.boundingBox();
    if (now !== null && JSON.stringify(now) === JSON.stringify(last)) return now;
    last = now;
  }
  throw new Error(`${one} does not stay where it is`);
}

/** Axe for a page without frames of other sites: it is judged in the page itself, and only what is wrong is told. */
function looker(page: Page, options: Parameters<AxeBuilder["options"]>[0]): AxeBuilder {
  return new AxeBuilder({ page }).setLegacyMode().options({ ...options, resultTypes: ["violations"] });
}

/** Look for what a person with a screen reader, a keyboard or weak eyes would stumble over; throws it in words. */
export async function axe(page: Page): Promise<void> {
  // A screen that is still being opened has no heading yet.
  await page.locator("h1").first().waitFor();
  let told = await stumbles(page);
  // On a slow machine a screen may be looked at while it is being laid: what stays is wrong.
  for (let again = 0; told.length > 0 && again < 2; again++) {
    await page.waitForTimeout(500);
    told = await stumbles(page);
  }
  if (told.length > 0)
    throw new Error(`${told.length} places of ${page.url()} are not for everybody:\n${told.join("\n")}`);
}

async function stumbles(page: Page): Promise<string[]> {
  // Words have seven times the light of what is under them, as the look asks, and a thumb finds what it presses.
  const rules = { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } };
  const { violations } = await looker(page, { rules }).analyze();
  const told: string[] = [];
  for (const one of violations)
    for (const node of one.nodes) {
      const at = node.target.join(" ");
      if (one.id === "target-size" && (await isOnlyUnderTheFoot(page, at))) continue;
      told.push(`${one.id}: ${one.help}\n  at ${at}\n  ${node.failureSummary ?? ""}`);
    }
  return told;
}

/** What the foot of a screen happens to cover is judged again where a thumb would scroll it to. */
async function isOnlyUnderTheFoot(page: Page, at: string): Promise<boolean> {
  await page.locator(at).evaluate((node) => node.scrollIntoView({ block: "center" }));
  const again = await looker(page, { runOnly: ["target-size"] })
    .include(at)
    .analyze();
  return again.violations.length === 0;
}
