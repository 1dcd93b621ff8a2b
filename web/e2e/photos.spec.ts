/** Photos of one walk on two phones: each sees the office's, and tells which of its own are still to be sent. */
import type { Page } from "@playwright/test";
import { demoJob } from "./offered";
import { axe, expect, shot, signIn, test } from "./office";

/** Take a photo, of which no other has the bytes, and go back to the list. */
async function take(page: Page, colour: string): Promise<void> {
  const made = await page.evaluate(async (fill) => {
    const canvas = new OffscreenCanvas(640, 480);
    const pen = canvas.getContext("2d");
    if (pen !== null) {
      pen.fillStyle = fill;
      pen.fillRect(0, 0, 640, 480);
    }
    const file = await canvas.convertToBlob({ type: "image/jpeg" });
    return [...new Uint8Array(await file.arrayBuffer())];
  }, colour);
  const files = { name: "image.jpg", mimeType: "image/jpeg", buffer: Buffer.from(made) };
  await page.getByLabel("Choose from this device").setInputFiles(files);
  await page.getByRole("button", { name: "Done with this photo" }).click();
}

/** Whether the picture of a photo of the list is really drawn. */
function drawn(page: Page, letter: string): Promise<boolean> {
  const image = page
    .getByRole("listitem")
    .filter({ hasText: `Photo ${letter}:` })
    .locator("img");
  return image.evaluateAll((all) => all.some((one) => (one as HTMLImageElement).naturalWidth > 0));
}

test("photos of another phone are seen with signal, and told of without; what waits here is told apart", async ({
  office,
  phonePage,
}) => {
  const mine = await phonePage();
  const theirs = await phonePage();
  const walk = `/#/jobs/${await demoJob(office)}/walk/photos`;
  for (const page of [mine, theirs]) {
    await signIn(page, office);
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    await page.goto(walk);
    await expect(page.getByRole("heading", { level: 1, name: "Photos" })).toBeVisible();
  }
  const rows = (page: Page) => page.locator(".hand ol.lines > li");
  const before = await rows(mine).count();
  const [first, second] = [before, before + 1].map((n) => String.fromCharCode(65 + n)) as [string, string];

  await take(mine, "#7a2a4a");
  await expect(rows(mine)).toHaveCount(before + 1);
  await expect(rows(mine).last()).toContainText("At the office.", { timeout: 30_000 });
  // Without being asked for: the other phone hears of it at its next round.
  await expect(rows(theirs)).toHaveCount(before + 1, { timeout: 30_000 });
  await expect(rows(theirs).last()).toContainText("At the office.", { timeout: 30_000 });
  await rows(theirs).last().scrollIntoViewIfNeeded();
  await expect.poll(() => drawn(theirs, first)).toBe(true);
  await axe(theirs);
  await shot(theirs, "photos-of-another");

  await office.stop();
  await take(mine, "#2d3c2a");
  await expect(rows(mine).last()).toContainText("On this phone, not at the office yet.");
  expect(await drawn(mine, second)).toBe(true);
  await shot(mine, "photos-waiting");
  await theirs.reload();
  await expect(theirs.getByText("The office is not reached: photos of other devices are shown")).toBeVisible();
  await expect(rows(theirs).last()).toContainText("Not on this phone.");
  await axe(theirs);
  await shot(theirs, "photos-without-signal");

  await office.start();
  await mine.getByRole("button", { name: "More" }).click();
  await mine.getByRole("button", { name: "Try now" }).click();
  await expect(rows(mine).last()).toContainText("At the office.", { timeout: 30_000 });
  await theirs.reload();
  await expect(rows(theirs)).toHaveCount(before + 2, { timeout: 30_000 });
  await rows(theirs).last().scrollIntoViewIfNeeded();
  await expect.poll(() => drawn(theirs, second), { timeout: 30_000 }).toBe(true);
  await expect(theirs.getByText("The office is not reached: photos")).toHaveCount(0);
});
