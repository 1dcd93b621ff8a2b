/** A phone without room: it is said before anything is lost, and the walk can be saved as a file all the same. */
import { readFile } from "node:fs/promises";
import { setTimeout as wait } from "node:timers/promises";
import { expect, shot, signIn, test } from "./office";
import { installed, Walker } from "./walker";

test("without room the phone says so, saves a file, and goes on when room is made", async ({
  office,
  persistentPhone,
}) => {
  const phone = await persistentPhone();
  const page = await phone.open();
  await installed(page);
  const walker = new Walker(page);
  const hash = await walker.begin();
  await walker.count("11.5");
  await walker.acknowledged(10);

  const devtools = await page.context().newCDPSession(page);
  const limit = (quotaSize?: number) =>
    devtools.send("Storage.overrideQuotaForOrigin", {
      origin: office.url,
      ...(quotaSize === undefined ? {} : { quotaSize }),
    });
  await limit(1);
  // The browser looks at how much is left when it opens its files, and for a while believes what it saw.
  await page.goto("about:blank");
  await wait(4_000);
  await page.goto(`/${hash}`);
  await walker.acknowledged(10);
  await walker.count("22.5");
  await expect(walker.says).toHaveText("Not saved: no room on this phone.");
  await expect(page.getByRole("banner")).toContainText("Save the walk as a file now, or make room.");
  await shot(page, "no-room-360");

  const saving = page.waitForEvent("download");
  await page.getByRole("banner").getByRole("button", { name: "Save the walk as a file" }).click();
  const file = await readFile(await (await saving).path());
  const job = (await office.api("POST", "/api/jobs", { json: { name: "by file" } })).json.id;
  const headers = { "content-type": "application/octet-stream" };
  const taken = (await office.api("POST", `/api/jobs/${job}/walks/file`, { body: new Uint8Array(file), headers })).json;
  const { plain } = (await office.api("GET", `/api/walks/${taken.walk.id}/record`)).json;
  const lengths = Object.values(plain.tallies as Record<string, { length: string }>).map((one) =>
    Number.parseFloat(one.length),
  );
  expect(lengths.sort()).toEqual([11.5, 22.5]);

  await limit();
  await expect(walker.says).toHaveText(/^On this phone, \d+ changes/, { timeout: 30_000 });
  await page.reload();
  await walker.total("34");
  await signIn(page, office);
  await walker.arrived();
});

test("the settings tell how much room there is on the device, a computer here, and whether the browser may clear it", async ({
  page,
}) => {
  for (const language of ["en", "es"] as const) {
    await page.goto("/");
    const kept = JSON.stringify({ language, units: "us", colours: "day" });
    await page.evaluate((text) => localStorage.setItem("courtwright settings", text), kept);
    await page.goto("/#/settings");
    await page.reload();
    const room = page.locator("section").filter({
      has: page.getByRole("heading", {
        name: language === "en" ? "Room on this computer" : "Lugar en esta computadora",
      }),
    });
    const { allowed_mb, isKept } = await page.evaluate(async () => ({
      allowed_mb: Math.round(((await navigator.storage.estimate()).quota ?? 0) / 1e6).toLocaleString(),
      isKept: await navigator.storage.persisted(),
    }));
    const told = {
      en: [
        `MB of ${allowed_mb} MB are used on this computer.`,
        "The browser does not clear it by itself.",
        "The browser may clear it",
      ],
      es: [
        `MB de ${allowed_mb} MB en esta computadora.`,
        "El navegador no lo borra por sí mismo.",
        "El navegador puede borrarlo",
      ],
    }[language] as [string, string, string];
    await expect(room).toContainText(told[0]);
    await expect(room).toContainText(isKept ? told[1] : told[2]);
    await shot(page, `settings-${language}`);
  }
});
