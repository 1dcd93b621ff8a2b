/** The sheet in a real browser: drawn on with a mouse, a finger and a cross, picked from, moved, read without looking. */
import type { Locator, Page } from "@playwright/test";
import { axe, expect, shot, test, whereIs } from "./office";

test.use({ officeFor: "worker" });

async function begin(page: Page): Promise<Locator> {
  await page.goto("/");
  await page.getByRole("button", { name: /on site/i }).click();
  await page.getByRole("button", { name: /^Usual size/ }).click();
  const sheet = page.getByRole("application");
  await expect(sheet.locator("canvas").first()).toBeAttached();
  return sheet;
}

async function at(sheet: Locator, x: number, y: number): Promise<[number, number]> {
  const box = await whereIs(sheet);
  return [box.x + x * box.width, box.y + y * box.height];
}

const told = (page: Page) => page.locator(".tools").getByRole("status");

test("at a desk", async ({ page }) => {
  await page.setViewportSize({ width: 1440, height: 900 });
  const sheet = await begin(page);
  await page.getByRole("button", { name: "Crack", exact: true }).first().click();
  await expect(told(page)).toHaveText("Touch where it begins, then each bend.");
  for (const [x, y] of [
    [0.42, 0.3],
    [0.46, 0.5],
    [0.44, 0.7],
  ] as const) {
    await page.mouse.move(...(await at(sheet, x, y)));
    await page.mouse.click(...(await at(sheet, x, y)));
    await page.waitForTimeout(400);
  }
  await expect(told(page)).toHaveText(/^\d+' [\d/-]+" so far\. Touch twice to finish\.$/);
  const three = await told(page).textContent();
  await page.mouse.click(...(await at(sheet, 0.6, 0.7)));
  await expect(told(page)).not.toHaveText(three ?? "");
  await page.getByRole("button", { name: "Point back" }).click();
  await page.mouse.move(...(await at(sheet, 0.44, 0.7)));
  await shot(page, "plan-drawing-1440");
  await page.getByRole("button", { name: "Finish" }).click();
  await expect(page.getByRole("button", { name: "Whole", exact: true })).toBeVisible();
  await shot(page, "plan-drawn-1440");
  await axe(page);

  // The crack is picked from the sheet, and one of its points is pulled 100 pixels to the right.
  await page.getByRole("button", { name: "Done" }).click();
  await page.mouse.click(...(await at(sheet, 0.44, 0.4)));
  const length = page
    .getByRole("main")
    .getByRole("status")
    .getByText(/crack \d+ ft/)
    .first();
  const before = await length.textContent();
  await page.getByRole("button", { name: "Move its points" }).click();
  await expect(told(page)).toHaveText("Pull a point to move it.");
  const [x, y] = await at(sheet, 0.46, 0.5);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 60, y, { steps: 5 });
  await page.mouse.move(x + 100, y, { steps: 5 });
  await page.mouse.up();
  await expect(length).not.toHaveText(before ?? "");
  await shot(page, "plan-moved-1440");
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(length).toHaveText(before ?? "");
});

test("with the keys the sheet moves and a drawing is left", async ({ page }) => {
  await page.setViewportSize({ width: 1440, height: 900 });
  const sheet = await begin(page);
  await sheet.focus();
  const picture = () => sheet.screenshot();
  await page.waitForTimeout(300);
  const still = await picture();
  await page.keyboard.press("ArrowRight");
  await page.waitForTimeout(300);
  expect((await picture()).equals(still)).toBe(false);
  await page.getByRole("button", { name: "Crack", exact: true }).first().click();
  await expect(told(page)).not.toBeEmpty();
  await sheet.focus();
  await page.keyboard.press("Escape");
  await expect(told(page)).toHaveCount(0);
});

test("what is drawn is read, chosen and moved without the drawing", async ({ page }) => {
  await page.setViewportSize({ width: 1440, height: 900 });
  const sheet = await begin(page);
  await page.getByRole("button", { name: "Crack", exact: true }).first().click();
  await page.mouse.click(...(await at(sheet, 0.45, 0.4)));
  await page.waitForTimeout(400);
  await page.mouse.click(...(await at(sheet, 0.5, 0.6)));
  await page.getByRole("button", { name: "Finish" }).click();
  await page.getByRole("button", { name: "Done" }).click();
  await page.getByRole("button", { name: "In words" }).focus();
  await page.keyboard.press("Enter");
  await page.getByText("What the lines mean").click();
  await expect(page.getByText("crack, width not measured")).toBeVisible();
  await page.getByText("What is drawn").click();
  await page.getByRole("button", { name: /^crack, \d+ ft long, at \d+ ft across/ }).click();
  await page.getByRole("button", { name: "Move its points" }).first().click();
  await expect(told(page)).toHaveText("Pull a point to move it.");
  await shot(page, "plan-words-1440");
  await axe(page);
});

test.describe("on a phone", () => {
  test.use({ viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });

  test("a finger draws, a double touch ends it; gloves aim with a cross", async ({ page }) => {
    const sheet = await begin(page);
    await page.getByRole("button", { name: "Crack", exact: true }).first().click();
    await page.touchscreen.tap(...(await at(sheet, 0.42, 0.35)));
    await page.waitForTimeout(450);
    await page.touchscreen.tap(...(await at(sheet, 0.55, 0.6)));
    await expect(told(page)).toHaveText(/so far/);
    await shot(page, "plan-drawing-360");
    await page.touchscreen.tap(...(await at(sheet, 0.55, 0.6)));
    const total = page.getByText(/crack \d+ ft/).first();
    await expect(total).toBeVisible();
    await page.getByRole("button", { name: /^Same again/ }).click();
    await page.getByRole("button", { name: "With a cross" }).click();
    await expect(told(page)).toHaveText("Move the sheet under the cross.");
    const first = await total.textContent();
    await page.getByRole("button", { name: "Point here" }).click();
    const [x, y] = await at(sheet, 0.5, 0.5);
    const session = await page.context().newCDPSession(page);
    const touch = (type: "touchStart" | "touchMove" | "touchEnd", dy: number) =>
      session.send("Input.dispatchTouchEvent", { type, touchPoints: type === "touchEnd" ? [] : [{ x, y: y + dy }] });
    await touch("touchStart", 0);
    for (let dy = 5; dy <= 60; dy += 5) await touch("touchMove", -dy);
    await touch("touchEnd", -60);
    await shot(page, "plan-cross-360");
    await page.getByRole("button", { name: "Point here" }).click();
    await page.getByRole("button", { name: "Finish" }).click();
    await expect(total).not.toHaveText(first ?? "");
    await axe(page);
  });
});
