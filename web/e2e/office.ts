/**
 * What every test in a real browser begins with: a real office, phones, pictures.
 *
 *     import { axe, expect, shot, signIn, test } from "./office";
 *
 *     test("a job is opened", async ({ office, page }) => {
 *       await signIn(page, office);            // or page.goto("/") to come without signing in
 *       …
 *       const { json } = await office.api("GET", "/api/jobs");   // as the head, past the browser
 *       await office.stop();                   // really stopped; office.start() is on the same port
 *       await axe(page);
 *       await shot(page, "jobs-360");
 *     });
 *
 * - `office`: `url`, `email`, `password`, `folder`, `start()`, `stop()`, `kill()`, `api()`, `ask()`, `addEstimator()`, `log`.
 *   One for each test; `test.use({ officeFor: "worker" })` takes the one that all such tests share (starting takes about
 *   2 s): for tests that neither stop it, nor change the company, nor count its jobs.
 * - `page` opens paths of the office: `page.goto("/#/settings")`. Its size: `test.use({ viewport: { width: 360, height: 760 } })`.
 * - `phonePage(width)`: a further device, with cookies and storage of its own; touch below 820 px.
 * - `persistentPhone()`: a browser with a folder: `open(hash)`, `kill()` (SIGKILL to all of it), `open()` again.
 * - `axe(page)` throws in words; `shot(page, name)` takes a picture if `COURTWRIGHT_PICTURES` names a folder.
 * - `COURTWRIGHT_CLIENT=folder` serves another build of the client: `npx vite build --outDir folder` first.
 */
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test as base, type Page } from "@playwright/test";
import { Phone } from "./phone";
import { HEAD, Office, type Who } from "./server";

export { expect } from "@playwright/test";
export { axe, shot, whereIs } from "./looking";
export { Phone } from "./phone";
export { ESTIMATOR, HEAD, Office, type Who } from "./server";

/** Widths in which screens are looked at: a phone, a tablet, a laptop. */
export const WIDTHS = [360, 820, 1440] as const;

interface ForTest {
  officeFor: "test" | "worker";
  office: Office;
  phonePage: (width?: number) => Promise<Page>;
  persistentPhone: (width?: number) => Promise<Phone>;
}

interface ForWorker {
  sharedOffice: () => Promise<Office>;
}

export const test = base.extend<ForTest, ForWorker>({
  officeFor: ["test", { option: true }],

  sharedOffice: [
    // biome-ignore lint/correctness/noEmptyPattern: Playwright reads what a fixture needs from its first parameter
    async ({}, use) => {
      const opened: Promise<Office>[] = [];
      await use(() => {
        if (opened[0] === undefined) opened[0] = Office.open();
        return opened[0];
      });
      for (const office of opened) await (await office).close();
    },
    { scope: "worker", timeout: 90_000 },
  ],

  office: async ({ officeFor, sharedOffice }, use, info) => {
    const office = officeFor === "worker" ? await sharedOffice() : await Office.open();
    await use(office);
    if (info.status !== info.expectedStatus) await info.attach("office.log", { body: office.log });
    if (officeFor === "test") await office.close();
  },

  baseURL: async ({ office }, use) => use(office.url),

  phonePage: async ({ browser, office }, use) => {
    const opened: { close(): Promise<void> }[] = [];
    await use(async (width = 360) => {
      const isPhone = width < 820;
      const viewport = { width, height: isPhone ? 760 : 900 };
      const context = await browser.newContext({ baseURL: office.url, viewport, isMobile: isPhone, hasTouch: isPhone });
      opened.push(context);
      return context.newPage();
    });
    for (const one of opened) await one.close();
  },

  persistentPhone: async ({ office }, use) => {
    const phones: Phone[] = [];
    await use(async (width = 360) => {
      const phone = new Phone(await mkdtemp(join(tmpdir(), "courtwright-phone-")), office.url, width);
      phones.push(phone);
      return phone;
    });
    for (const phone of phones) {
      await phone.close();
      await rm(phone.folder, { recursive: true, force: true });
    }
  },
});

/** Sign in, as the head unless told, and open the client (again). */
export async function signIn(page: Page, office: Office, who: Who = HEAD): Promise<void> {
  const data = { email: who.email, password: who.password };
  const answer = await page.context().request.post(new URL("/api/session", office.url).href, { data });
  if (!answer.ok()) throw new Error(`signing in: ${answer.status()} ${await answer.text()}`);
  if (page.url().startsWith(office.url)) await page.reload();
  else await page.goto(new URL("/", office.url).href);
}
