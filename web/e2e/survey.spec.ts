/** A survey file becomes the heights of a pad: from a list with odd columns to a verdict that uses it. */
import { readFile, writeFile } from "node:fs/promises";
import type { Page } from "@playwright/test";
import { sideways } from "./looking";
import { axe, expect, type Office, shot, signIn, test } from "./office";

/** A new site of the usual size; gives the address of its walk behind the `#`. */
async function begin(page: Page): Promise<string> {
  await page.getByRole("button", { name: /on site/i }).click();
  await page.getByRole("button", { name: /^Usual size/ }).click();
  await expect(page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
  return new URL(page.url()).hash.replace(/\/walk.*$/, "/walk");
}

/** A coordinate of a walk in feet, whatever it was typed in. */
function feet(typed = ""): number {
  return Number.parseFloat(typed) / (/ m$/.test(typed) ? 0.3048 : 1);
}

/** The corner of the pad with the least coordinates, and its size, as the walk has them [ft]. */
async function padAt(office: Office): Promise<{ walk: string; x: number; y: number; across: number; along: number }> {
  const { json: jobs } = await office.api("GET", "/api/jobs");
  const { json: walks } = await office.api("GET", `/api/jobs/${jobs.items[0].id}/walks`);
  const walk: string = walks.items[0].id;
  const { json: record } = await office.api("GET", `/api/walks/${walk}/record`);
  const [pad] = Object.values<{ outline: string[][] }>(record.plain.pads);
  const [xs, ys] = [0, 1].map((i) => (pad?.outline ?? []).map((place) => feet(place[i])));
  const [x, y] = [Math.min(...(xs ?? [])), Math.min(...(ys ?? []))];
  return { walk, x, y, across: Math.max(...(xs ?? [])) - x, along: Math.max(...(ys ?? [])) - y };
}

/**
 * A surveyor's list in which nothing stands where one looks for it: a title, words nobody knows, semicolons, decimal
 * commas, heights in inches before places in feet. The pad falls 1 % along, with a bowl in its middle.
 */
function oddList(pad: { x: number; y: number; across: number; along: number }): string {
  const rows: string[] = [];
  const german = (value: number, digits: number) => value.toFixed(digits).replace(".", ",");
  for (let i = 0; i <= 6; i++)
    for (let j = 0; j <= 12; j++) {
      const [u, v] = [i / 6, j / 12];
      const fall = 1200 - 0.12 * v * pad.along - 9 * Math.exp(-40 * ((u - 0.5) ** 2 + (v - 0.5) ** 2));
      const [x, y] = [pad.x + 1 + u * (pad.across - 2), pad.y + 1 + v * (pad.along - 2)];
      rows.push(`K${rows.length + 1};${german(fall, 3)};${german(y, 2)};${german(x, 2)}`);
    }
  return `Bestand Platz\nKennung;Kote;Hochwert;Rechtswert\n${rows.join("\n")}\n`;
}

const asFile = (name: string, text: string) => ({ name, mimeType: "text/plain", buffer: Buffer.from(text) });

test("a list with odd columns is told, taken, undone, and the verdict uses its heights", async ({
  page,
  office,
}, info) => {
  test.setTimeout(180_000);
  await signIn(page, office);
  const walk = await begin(page);
  await page.goto(`/${walk}`);
  await page.getByRole("link", { name: "Survey file" }).click();
  await expect(page.getByRole("heading", { level: 1, name: "Survey file" })).toBeVisible();
  await axe(page);
  // An empty list, so that the office has the walk before the real one is made to fit it.
  await page.getByLabel("Choose a file").setInputFiles(asFile("none.csv", "nothing, to, see\n"));
  await expect(page.getByText(/No point lies on/)).toBeVisible({ timeout: 30_000 });
  const pad = await padAt(office);
  const list = oddList(pad);

  await page.getByLabel("Choose another file").setInputFiles(asFile("platz.txt", list));
  await expect(page.getByText(/“platz.txt” is a list of points/)).toBeVisible({ timeout: 30_000 });
  await expect(page.getByRole("combobox", { name: "Columns are parted by" })).toHaveValue("semicolon");
  await expect(page.getByRole("combobox", { name: "Decimal mark" })).toHaveValue("comma");
  await expect(page.getByRole("cell", { name: "Rechtswert" })).toBeVisible();
  await expect(page.getByRole("button", { name: "Take these heights" })).toHaveCount(0);
  await axe(page);
  await shot(page, "survey-untold-1280");

  await page.getByRole("combobox", { name: /^Across, or easting/ }).selectOption({ label: "4: Rechtswert" });
  await page.getByRole("combobox", { name: /^Along, or northing/ }).selectOption({ label: "3: Hochwert" });
  await page.getByRole("combobox", { name: /^Height \(z\)/ }).selectOption({ label: "2: Kote" });
  await page.getByRole("combobox", { name: "Unit of heights" }).selectOption("inches");
  await expect(page.getByText(/^91 heights are of Pad/)).toBeVisible({ timeout: 30_000 });
  await expect(page.getByText(/Places are read in feet, heights in inches/)).toBeVisible();
  await axe(page);
  await shot(page, "survey-told-1280");
  await page.getByRole("button", { name: "Take these heights" }).click();
  await expect(page.getByText(/The heights of Pad .* come from “platz.txt”/)).toBeVisible();
  await page.getByRole("button", { name: "Undo", exact: true }).click();
  await expect(page.getByText(/The heights of Pad/)).toHaveCount(0);
  await page.getByRole("button", { name: "Redo" }).or(page.getByLabel("Choose a file")).first().waitFor();
  await page.getByLabel("Choose a file").setInputFiles(asFile("platz.txt", list));
  await page.getByRole("combobox", { name: /^Across, or easting/ }).selectOption({ label: "4: Rechtswert" });
  await page.getByRole("combobox", { name: /^Along, or northing/ }).selectOption({ label: "3: Hochwert" });
  await page.getByRole("combobox", { name: /^Height \(z\)/ }).selectOption({ label: "2: Kote" });
  await page.getByRole("combobox", { name: "Unit of heights" }).selectOption("inches");
  await expect(page.getByText(/^91 heights are of Pad/)).toBeVisible({ timeout: 30_000 });
  await page.getByRole("button", { name: "Take these heights" }).click();

  // The office has it once it is told: record, ground and the exported folder say the same.
  await expect
    .poll(async () => (await office.api("GET", `/api/walks/${pad.walk}/record`)).json.pads[0].shots, {
      timeout: 30_000,
    })
    .toBe(91);
  const zip = (await office.api("GET", `/api/walks/${pad.walk}/site.zip`)).bytes as Uint8Array;
  const path = info.outputPath("site.zip");
  await writeFile(path, zip);
  expect(Buffer.from(await readFile(path)).includes(Buffer.from(list))).toBe(true);

  await page.getByRole("link", { name: "To the verdict" }).click();
  await page
    .getByRole("button", { name: "Ask the office" })
    .or(page.getByText(/The office's answer of/))
    .first()
    .waitFor();
  const ask = page.getByRole("button", { name: "Ask the office" });
  if (await ask.isVisible()) await ask.click();
  // A bowl of 9 in over a fall of 1 %: along its middle its floor lies 4-3/4 in under the brim, at 64 ft and 90 ft.
  await expect(page.getByText(/^Water stands up to [45](-\d+\/\d+)? in deep/).first()).toBeVisible({ timeout: 60_000 });
  await shot(page, "survey-verdict-1280");
});

test("what is no survey is refused in words, and without signal the screen says so", async ({ page, office }) => {
  test.setTimeout(90_000);
  await signIn(page, office);
  const walk = await begin(page);
  await page.goto(`/${walk}/survey`);
  const pdf = { name: "plan.pdf", mimeType: "application/pdf", buffer: Buffer.from("%PDF-1.7 nothing") };
  await page.getByLabel("Choose a file").setInputFiles(pdf);
  await expect(page.getByRole("alert")).toBeVisible({ timeout: 30_000 });
  await expect(page.getByRole("button", { name: "Take these heights" })).toHaveCount(0);
  await axe(page);
  await shot(page, "survey-refused-1280");
  await office.stop();
  await page.getByLabel("Choose another file").setInputFiles(asFile("points.csv", "x,y,z\n1,1,1\n"));
  await expect(page.getByText(/^The office is not reached, and only the office reads survey files/)).toBeVisible({
    timeout: 30_000,
  });
  await office.start();
});

test("a list in a map is placed by two corners, on a phone, in Spanish too", async ({ page, office }) => {
  test.setTimeout(120_000);
  await page.setViewportSize({ width: 360, height: 760 });
  await signIn(page, office);
  const walk = await begin(page);
  await page.goto(`/${walk}/survey`);
  await page.getByLabel("Choose a file").setInputFiles(asFile("none.csv", "nothing, to, see\n"));
  await expect(page.getByText(/No point lies on/)).toBeVisible({ timeout: 30_000 });
  const { x, y, across, along } = await padAt(office);
  // The pad's corner of least coordinates lies at 2000, 7000; its length runs east: x runs south.
  const rows = [0.1, 0.5, 0.9].flatMap((u) =>
    [0.1, 0.5, 0.9].map((v, i) => `${2000 + v * along},${7000 - u * across},${100 + i / 4}`),
  );
  await page.getByLabel("Choose another file").setInputFiles(asFile("map.csv", `e,n,z\n${rows.join("\n")}\n`));
  await expect(page.getByText(/Its points run from/)).toBeVisible({ timeout: 30_000 });
  await page.getByText("Where the pad lies in the survey").click();
  await page.getByRole("button", { name: "by two corners" }).click();
  for (const [n, at, [east, north]] of [
    [1, [x, y], [2000, 7000]],
    [2, [x, y + along], [2000 + along, 7000]],
  ] as const) {
    const corner = page.getByRole("combobox", { name: `Corner ${n}` });
    const corners = await padCorners(office);
    const index = corners.findIndex(([a, b]) => Math.abs(a - at[0]) < 0.1 && Math.abs(b - at[1]) < 0.1);
    await corner.selectOption(String(index));
    await page.getByLabel(`Easting of corner ${n}`).fill(String(east));
    await page.getByLabel(`Northing of corner ${n}`).fill(String(north));
  }
  await expect(page.getByText(/^9 heights are of Pad/)).toBeVisible({ timeout: 30_000 });
  await axe(page);
  await shot(page, "survey-placed-360");
  expect(await sideways(page)).toBe(0);
  await page.getByRole("button", { name: "Take these heights" }).press("Enter");
  await expect(page.getByText(/The heights of Pad .* come from “map.csv”/)).toBeVisible();
  await page.evaluate(() =>
    localStorage.setItem("courtwright settings", JSON.stringify({ language: "es", colours: "day", units: "metric" })),
  );
  await page.reload();
  await expect(page.getByText(/Las alturas de .* vienen de «map.csv»/)).toBeVisible();
  await axe(page);
  await shot(page, "survey-taken-es-360");
  await page.getByRole("button", { name: "Quitar estas alturas" }).click();
  await expect(page.getByText(/^Están quitadas/)).toBeVisible();
});

async function padCorners(office: Office): Promise<(readonly [number, number])[]> {
  const { walk } = await padAt(office);
  const { json: record } = await office.api("GET", `/api/walks/${walk}/record`);
  const [pad] = Object.values<{ outline: string[][] }>(record.plain.pads);
  return (pad?.outline ?? []).map(([x, y]) => [feet(x), feet(y)] as const);
}
