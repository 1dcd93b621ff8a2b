/** An area is said with one key where it is all of a court or pad; its unit stands beside it before anything is typed. */
import { axe, expect, shot, test } from "./office";
import { Walker } from "./walker";

test.use({ viewport: { width: 360, height: 740 }, officeFor: "worker" });

test("a worn patch is all of the court in one press, and its area can be typed over", async ({ page }) => {
  await page.goto("/");
  const walker = new Walker(page);
  await walker.begin();
  await page.getByRole("button", { name: "All kinds" }).click();
  await page.getByRole("button", { name: "Worn patch" }).click();
  await page.getByRole("button", { name: "Area", exact: true }).click();
  const area = page.getByRole("group", { name: "Area", exact: true });
  await expect(area.getByText("sf", { exact: true })).toBeVisible();
  await axe(page);
  await shot(page, "area-360");
  // 60 ft by 120 ft is the usual pad of one court.
  await page.getByRole("button", { name: "Whole court, 7200 sf" }).click();
  const typed = page.getByRole("textbox", { name: "Area" });
  await expect(typed).toHaveValue("7200");
  await expect(page.getByRole("main").getByRole("status").first()).toContainText("worn patch 7200 sf");
  await shot(page, "area-facts-360");
  await typed.clear();
  await typed.pressSequentially("650");
  await expect(typed).toHaveValue("650");
  await expect(page.getByRole("main").getByRole("status").first()).toContainText("worn patch 650 sf");
});

test("a fact that asks for an area takes the whole court with one key, in Spanish and metres too", async ({ page }) => {
  const settings = JSON.stringify({ language: "es", units: "metric", colours: "day" });
  await page.addInitScript((text) => localStorage.setItem("courtwright settings", text), settings);
  await page.goto("/");
  await page.getByRole("button", { name: "Estoy en el sitio" }).click();
  await page.getByRole("button", { name: /^Tamaño usual/ }).click();
  await page.getByRole("button", { name: "Qué falta revisar" }).click();
  const asked = page.getByRole("group", { name: /^Área de parches antiguos que fallaron/ });
  await expect(asked.getByRole("button", { name: "Otro, en m²" })).toBeVisible();
  const whole = asked.getByRole("button", { name: /^Toda la cancha, 66\d\.\d m²$/ });
  await whole.click();
  await expect(whole).toHaveAttribute("aria-pressed", "true");
  await asked.scrollIntoViewIfNeeded();
  await shot(page, "area-asked-360");
});
