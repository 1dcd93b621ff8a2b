/** At the desk everything is done without a mouse. */
import type { Page } from "@playwright/test";
import { demoJob } from "./offered";
import { expect, signIn, test } from "./office";

test.use({ viewport: { width: 1440, height: 900 } });

/** Press Tab until what has the focus is called so; throws what it met instead. */
async function tabTo(page: Page, name: RegExp, tag = ""): Promise<void> {
  const met: string[] = [];
  for (let presses = 0; presses < 150; presses++) {
    await page.keyboard.press("Tab");
    const [called, isSeen, is] = await page.evaluate(() => {
      const one = document.activeElement as HTMLElement | null;
      if (one === null || one === document.body) return ["", false, ""] as const;
      const label = one.id === "" ? null : document.querySelector(`label[for="${CSS.escape(one.id)}"]`);
      const called =
        one.getAttribute("aria-label") ?? label?.textContent ?? one.closest("label")?.textContent ?? one.textContent;
      const style = getComputedStyle(one);
      return [
        (called ?? "").trim().replace(/\s+/g, " "),
        style.outlineStyle !== "none" || one.matches(".sheet *, main"),
        one.tagName,
      ] as const;
    });
    met.push(called);
    if (name.test(called) && (tag === "" || is === tag)) {
      expect(isSeen, `where the focus is cannot be seen: ${called}`).toBe(true);
      return;
    }
  }
  throw new Error(`no ${name} among ${met.join(" | ")}`);
}

async function press(page: Page, name: RegExp): Promise<void> {
  await tabTo(page, name);
  await page.keyboard.press("Enter");
}

test("a site is begun, counted, undone and judged by keys", async ({ office, page }) => {
  await signIn(page, office);
  await press(page, /^I am on site$/);
  await press(page, /^Usual size/);
  await expect(page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
  await press(page, /^Crack$/);
  await press(page, /^Length off the wheel$/);
  await tabTo(page, /^Length off the wheel$/, "INPUT");
  await page.keyboard.type("140");
  await press(page, /^Count \d/);
  await expect(page.getByText(/counted: crack 140 ft/).first()).toBeVisible();
  await press(page, /^Verdict$/);
  await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
});

test("an offer is made, read and sent by keys", async ({ office, page }) => {
  test.setTimeout(120_000);
  const id = await demoJob(office);
  await signIn(page, office);
  await page.goto(`${office.url}/#/jobs/${id}/offer`);
  await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
  await press(page, /^Make the offer$/);
  await expect(page.getByText(/^\d+ pages\.$/)).toBeVisible({ timeout: 90_000 });
  await press(page, /^Send: make the link$/);
  await expect(page.locator("code")).toContainText("/offer#", { timeout: 15_000 });
});
