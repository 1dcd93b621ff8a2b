/** The walk on a phone: the first crack within a minute and before any sign-in, every kind, what is counted, undo, paper. */
import type { Page } from "@playwright/test";
import marks from "../src/data/marks.json" with { type: "json" };
import { axe, expect, type Office, shot, signIn, test, whereIs } from "./office";

const PHONE = { width: 360, height: 740 };
test.use({ viewport: PHONE, officeFor: "worker" });

/** Taps of a thumb, counted. */
class Thumb {
  taps = 0;
  constructor(readonly page: Page) {}

  async on(name: string | RegExp): Promise<void> {
    await this.page
      .getByRole("button", { name, exact: typeof name === "string" })
      .first()
      .click();
    this.taps += 1;
  }

  /** Type on the number pad. */
  async type(number: string): Promise<void> {
    const keys = this.page.locator(".pad .keys").first();
    for (const digit of number) await keys.getByRole("button", { name: digit, exact: true }).click();
    this.taps += number.length;
  }

  /** Touch the plan, at shares of its width and height. */
  async plan(...places: readonly (readonly [x: number, y: number])[]): Promise<void> {
    const box = await whereIs(this.page.locator(".sheet canvas").first());
    for (const [x, y] of places) {
      await this.page.mouse.click(box.x + x * box.width, box.y + y * box.height);
      this.taps += 1;
      // Two touches within a moment at one place would be one double touch.
      await this.page.waitForTimeout(350);
    }
  }
}

/** A new site of the usual size, by a thumb. */
async function newSite(thumb: Thumb): Promise<void> {
  await thumb.on("I am on site");
  await thumb.on(/^Usual size/);
  await expect(thumb.page.locator(".sheet canvas").first()).toBeVisible();
}

const totals = (page: Page) => page.locator(".hand .line button");

/** Wait until the client is kept on the device, then stop the office. */
async function withoutOffice(page: Page, office: Office): Promise<void> {
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
  });
  await office.stop();
}

test.describe("an office that is stopped", () => {
  test.use({ officeFor: "test" });

  test("the first crack stands within a minute, without an office and before any sign-in", async ({ page, office }) => {
    await page.goto("/");
    await withoutOffice(page, office);
    await page.reload();
    const thumb = new Thumb(page);
    const from = Date.now();
    await newSite(thumb);
    await thumb.on("Crack");
    await thumb.on("3/8 in");
    await thumb.plan([0.45, 0.35], [0.55, 0.65]);
    await thumb.on("Finish");
    await expect(totals(page)).toHaveText(/^Court 1: crack \d+ ft$/);
    const seconds = (Date.now() - from) / 1000;
    test.info().annotations.push({ type: "measured", description: `first crack: ${thumb.taps} taps, ${seconds} s` });
    // A tap takes a hand in a glove some four seconds: ten are forty.
    expect(thumb.taps).toBeLessThanOrEqual(8);
    expect(seconds).toBeLessThan(20);
    // It stands after the page is opened again, still without the office.
    await page.reload();
    await expect(totals(page)).toHaveText(/^Court 1: crack \d+ ft$/);
  });
});

test("a crack off the wheel: kind, width, the number; the same again is one tap; undo takes it back", async ({
  page,
}) => {
  await page.goto("/");
  const thumb = new Thumb(page);
  await newSite(thumb);
  const before = thumb.taps;
  await thumb.on("Crack");
  await thumb.on("1/2 in");
  expect(thumb.taps - before).toBe(2);
  await thumb.on("Length off the wheel");
  await thumb.type("140");
  await thumb.on("Count 140 ft");
  await expect(totals(page)).toHaveText("Court 1, counted: crack 140 ft");
  await thumb.on("Same again: crack");
  await expect(page.getByRole("button", { name: "1/2 in", exact: true })).toHaveAttribute("aria-pressed", "true");
  await thumb.on("Leave it");
  await thumb.on("Low spot");
  await thumb.on("One here, counted");
  await expect(totals(page)).toHaveText("Court 1, counted: crack 140 ft, low spot 1");
  await thumb.on("Same again: low spot");
  await expect(totals(page)).toHaveText("Court 1, counted: crack 140 ft, low spot 2");
  await thumb.on("Undo");
  await expect(totals(page)).toHaveText("Court 1, counted: crack 140 ft, low spot 1");
  await thumb.on("Redo");
  await expect(totals(page)).toHaveText("Court 1, counted: crack 140 ft, low spot 2");
});

test("a line that is half drawn when the browser is killed is there when it is opened again", async ({
  persistentPhone,
}) => {
  const phone = await persistentPhone();
  let page = await phone.open();
  let thumb = new Thumb(page);
  await newSite(thumb);
  await thumb.on("Crack");
  await thumb.on("1/2 in");
  await thumb.plan([0.45, 0.35], [0.55, 0.5], [0.5, 0.65]);
  const said = page.locator(".tools").getByRole("status");
  await expect(said).toHaveText(/so far/);
  await thumb.on("Point back");
  await page.mouse.move(0, 0);
  const hash = await page.evaluate(() => location.hash);
  const kept = () =>
    page.evaluate(
      () =>
        new Promise<number>((resolve) => {
          const asked = indexedDB.open("courtwright");
          asked.onsuccess = () => {
            const all = asked.result.transaction("words").objectStore("words").getAll();
            all.onsuccess = () => {
              asked.result.close();
              resolve(all.result.find((one) => one?.points_m)?.points_m.length ?? 0);
            };
          };
        }),
    );
  await expect.poll(kept).toBe(2);
  await phone.kill();

  page = await phone.open(hash);
  thumb = new Thumb(page);
  await expect(page.locator(".tools").getByRole("status")).toHaveText(/so far/);
  await expect(page.getByRole("button", { name: "1/2 in", exact: true })).toHaveAttribute("aria-pressed", "true");
  await shot(page, "walk-half-drawn-360");
  // Another part of the walk has no plan; the line is there after it, too.
  await page.goto(`/${hash}/shots`);
  await expect(page.locator(".tools")).toHaveCount(0);
  await page.goBack();
  await expect(page.locator(".tools").getByRole("status")).toHaveText(/so far/);
  await thumb.plan([0.5, 0.65]);
  await thumb.on("Finish");
  await expect(totals(page)).toHaveText(/^Court 1: crack \d+ ft$/);

  // What was finished, or dropped, is not offered again.
  await expect.poll(kept).toBe(0);
  await thumb.on("Done");
  await thumb.on("Crack");
  await thumb.plan([0.45, 0.35]);
  await expect.poll(kept).toBe(1);
  await thumb.on("Leave it");
  await expect.poll(kept).toBe(0);
  await page.reload();
  await expect(totals(page)).toHaveText(/^Court 1: crack \d+ ft$/);
  await expect(page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
});

test("what was counted is shown from its top", async ({ page }) => {
  await page.goto("/");
  const thumb = new Thumb(page);
  await newSite(thumb);
  await thumb.on("Crack");
  await thumb.on("Length off the wheel");
  await thumb.type("140");
  const pane = page.locator(".doing");
  await page
    .getByRole("button", { name: "Count 140 ft" })
    .evaluate((button) => button.scrollIntoView({ block: "start" }));
  const down = () => pane.evaluate((one) => one.scrollTop);
  expect(await down()).toBeGreaterThan(0);
  await thumb.on("Count 140 ft");
  await expect(page.getByRole("button", { name: "Same again: crack" })).toBeInViewport({ ratio: 1 });
  expect(await down()).toBe(0);
});

test("what is drawn is taken off what was counted", async ({ page }) => {
  await page.goto("/");
  const thumb = new Thumb(page);
  await newSite(thumb);
  await thumb.on("Crack");
  await thumb.on("Length off the wheel");
  await thumb.type("900");
  await thumb.on("Count 900 ft");
  await thumb.on("Same again: crack");
  await thumb.plan([0.45, 0.35], [0.55, 0.65]);
  await thumb.on("Finish");
  await expect(totals(page)).toHaveText(/crack \d+ ft; counted: crack \d+ ft$/);
  const [drawn, counted] = [...((await totals(page).textContent()) ?? "").matchAll(/(\d+) ft/g)].map((found) =>
    Number(found[1]),
  );
  // Both are rounded to whole feet.
  expect(Math.abs((drawn ?? 0) + (counted ?? 0) - 900)).toBeLessThanOrEqual(1);
});

test("every kind of mark can be drawn, and every fact of it is reached and may be unknown", async ({ page }) => {
  test.setTimeout(180_000);
  await page.goto("/");
  const thumb = new Thumb(page);
  await newSite(thumb);
  const large = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
  for (const kind of marks) {
    const name = large(kind.label.en);
    if (!(await page.getByRole("button", { name, exact: true }).isVisible())) await thumb.on("All kinds");
    await thumb.on(name);
    const places = {
      point: [[0.5, 0.4]],
      line: [
        [0.46, 0.3],
        [0.54, 0.5],
      ],
      polygon: [
        [0.46, 0.3],
        [0.54, 0.3],
        [0.5, 0.5],
      ],
    } as const;
    const shape = kind.geometry[0] as keyof typeof places;
    await thumb.plan(...places[shape]);
    if (shape !== "point") await thumb.on("Finish");
    await expect(page.getByRole("button", { name: `Same again: ${kind.label.en}` })).toBeVisible();
    if (await page.getByRole("button", { name: "More facts" }).isVisible()) await thumb.on("More facts");
    for (const property of kind.properties) {
      const group = page.getByRole("group", { name: new RegExp(`^${large(property.label.en)}`) }).first();
      await group.getByRole("button", { name: "Don't know" }).click();
      await expect(group.getByRole("button", { name: "Don't know" })).toHaveAttribute("aria-pressed", "true");
    }
    await thumb.on("Done");
  }
  await page.getByRole("link", { name: "Everything on this pad" }).click();
  await expect(page.locator(".doing ul.lines > li")).toHaveCount(marks.length);
});

test("before you leave: blanks are answered on the spot, and come back by undo", async ({ page }) => {
  await page.goto("/");
  const thumb = new Thumb(page);
  await newSite(thumb);
  await thumb.on("Still to check");
  const told = page.getByText(/Still blank of Pad 1: \d/);
  const blank = async () => Number(((await told.textContent()) ?? "").match(/: (\d+)\./)?.[1]);
  const before = await blank();
  const coated = page.getByRole("group", { name: "The pad is coated" });
  await coated.getByRole("button", { name: "Yes" }).click();
  await expect.poll(blank).toBe(before - 1);
  await expect(coated.getByRole("button", { name: "Yes" })).toHaveAttribute("aria-pressed", "true");
  await page
    .getByRole("group", { name: "Number of coats on the pad" })
    .getByRole("button", { name: "Don't know" })
    .click();
  await expect.poll(blank).toBe(before - 2);
  await thumb.on("Undo");
  await expect.poll(blank).toBe(before - 1);
  await thumb.on("Back to the walk");
  await thumb.on("Price now");
  await expect(page.getByText("There is no price yet")).toBeVisible();
});

test("a battery of three by two taped numbers, with a second pad later; next court goes round", async ({ page }) => {
  await page.goto("/");
  const thumb = new Thumb(page);
  await thumb.on("I am on site");
  await thumb.on("3");
  await thumb.on(/^Across/);
  await thumb.type("156");
  await thumb.on("Next");
  await thumb.type("120");
  await expect(page.getByText("3 courts on a pad of 156 ft by 120 ft.")).toBeVisible();
  await thumb.on("Draw this pad");
  await thumb.on("Next court");
  await expect(totals(page)).toHaveText("Court 2: nothing yet");
  await page.getByRole("link", { name: "Pads and courts" }).click();
  await thumb.on("Another pad");
  await thumb.on(/^Usual size/);
  await expect(totals(page)).toHaveText("Pad 2, Court 1: nothing yet");
  await thumb.on("Next court");
  await expect(totals(page)).toHaveText("Pad 1, Court 1: nothing yet");
});

test.describe("an office that is asked", () => {
  test.use({ officeFor: "test" });

  test("with signal: the walk is sent, the office's price and what to measure next are shown with their time", async ({
    page,
    office,
  }) => {
    test.setTimeout(180_000);
    await signIn(page, office);
    const thumb = new Thumb(page);
    await newSite(thumb);
    await thumb.on("Crack");
    await thumb.on("1/2 in");
    await thumb.on("Length off the wheel");
    await thumb.type("140");
    await thumb.on("Count 140 ft");
    await thumb.on("Done");
    await thumb.on("Still to check");
    const coating = { "The pad is coated": "Yes", "What the pad is made of": "Asphalt" };
    for (const [fact, answer] of Object.entries(coating))
      await page.getByRole("group", { name: fact }).getByRole("button", { name: answer, exact: true }).click();
    await thumb.on("Ask the office");
    await expect(page.getByText(/^The office's answer of /)).toBeVisible({ timeout: 60_000 });
    await thumb.on("Back to the walk");
    await thumb.on("Price now");
    await thumb.on("Ask the office");
    await expect(page.getByText(/^Reckoned at the office, /)).toBeVisible({ timeout: 90_000 });
    await expect(page.locator(".doing ul.lines li").first()).toHaveText(/^Pad 1/);
    // More was found since: the price is told to be old, and asked again it says what moved it.
    await thumb.on("Back to the walk");
    await thumb.on("Crack");
    await thumb.on("1/2 in");
    await thumb.on("Length off the wheel");
    await thumb.type("60");
    await thumb.on("Count 60 ft");
    await thumb.on("Done");
    await thumb.on("Price now");
    await expect(page.getByText(/The walk has changed since/)).toBeVisible();
    await thumb.on("Ask the office");
    await expect(page.getByRole("heading", { name: /^Since the price before/ })).toBeVisible({ timeout: 90_000 });
    await expect(page.getByText(/^Pad 1: likely \$[\d,]+, now \$[\d,]+$/)).toBeVisible();
    await expect(page.getByText(/140 lf.*; now .*200 lf/).first()).toBeVisible();
    await shot(page, "walk-price-told");
  });
});

for (const [language, colours] of [
  ["en", "day"],
  ["es", "sun"],
  ["es", "dark"],
] as const) {
  test(`for everybody: ${language}, ${colours}`, async ({ page }) => {
    test.setTimeout(180_000);
    await page.addInitScript((kept) => localStorage.setItem("courtwright settings", JSON.stringify(kept)), {
      language,
      colours,
    });
    await page.goto("/");
    await page.locator("button.next").click();
    await axe(page);
    await shot(page, `walk-new-${language}-${colours}`);
    await page.locator(".foot .next").click();
    await expect(page.locator(".sheet canvas").first()).toBeVisible();
    await axe(page);
    await shot(page, `walk-rest-${language}-${colours}`);
    await page.locator(".keys button").first().click();
    await axe(page);
    await new Thumb(page).plan([0.45, 0.35], [0.55, 0.65]);
    await page.locator(".tools .next").click();
    await axe(page);
    await shot(page, `walk-facts-${language}-${colours}`);
    const hash = await page.evaluate(() => location.hash);
    for (const part of ["check", "price", "pads", "walks", "all", "sheet", "new"]) {
      await page.goto(`/${hash}/${part}`);
      await expect(page.locator("h1").last()).toBeVisible();
      await axe(page);
      await shot(page, `walk-${part}-${language}-${colours}`);
    }
  });
}

test.describe("at a desk", () => {
  test.use({ viewport: { width: 1440, height: 900 } });

  test("a keyboard is enough: add, say a width, same again, undo", async ({ page }) => {
    await page.goto("/");
    await page.getByRole("button", { name: "I am on site" }).focus();
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: /^Usual size/ }).focus();
    await page.keyboard.press("Enter");
    await expect(page.locator(".sheet canvas").first()).toBeVisible();
    await page.keyboard.press("2");
    await expect(page.getByRole("heading", { name: "Low spot on Court 1" })).toBeVisible();
    await page.getByRole("button", { name: "One here, counted" }).focus();
    await page.keyboard.press("Enter");
    await page.keyboard.press("s");
    await expect(totals(page)).toHaveText("Court 1, counted: low spot 2");
    await page.keyboard.press("u");
    await expect(totals(page)).toHaveText("Court 1, counted: low spot 1");
    await page.keyboard.press("c");
    await expect(page.getByRole("heading", { name: "Before you leave" })).toBeVisible();
    await axe(page);
    await shot(page, "walk-desk-check");
  });
});
