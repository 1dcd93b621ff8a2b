/** The screens of the office and of the phone, for tests that go through all of them. */
import { expect, type Page } from "@playwright/test";

/** Addresses behind the `#`; `{job}` stands for the job with the demo site. */
export const SCREENS: Readonly<Record<string, string>> = {
  jobs: "#/",
  settings: "#/settings",
  guide: "#/guide",
  company: "#/company",
  people: "#/company/people",
  rates: "#/company/rates",
  call: "#/jobs/{job}/call",
  walk: "#/jobs/{job}/walk",
  "walk-check": "#/jobs/{job}/walk/check",
  "walk-sheet": "#/jobs/{job}/walk/sheet",
  "survey-file": "#/jobs/{job}/walk/survey",
  verdict: "#/jobs/{job}/verdict",
  remedies: "#/jobs/{job}/remedies",
  "new-surface": "#/jobs/{job}/remedies/surface",
  price: "#/jobs/{job}/price",
  offer: "#/jobs/{job}/offer",
};

/** Screens that show an answer of the office's, and what they say once it is there. */
const JUDGED = /\/(verdict|remedies|price|surface)$/;
const ANSWERED = /The office's answer of |Respuesta de la oficina de /;
/** What a screen says while it is being opened, or the office is still at work on its answer. */
const UNREADY = /is working on it|está calculando|Opening…|Abriendo…/;
/** A screen that has not changed for so long stands. */
const STILL_MS = 120;

/** Go to a screen, and wait until it stands: it has its heading and its answer, and changes no more. */
export async function open(page: Page, hash: string, job: string): Promise<void> {
  await page.evaluate(
    (to) => {
      location.hash = to;
    },
    hash.replace("{job}", job),
  );
  await still(page);
  const main = page.getByRole("main");
  await expect(page.getByRole("heading", { level: 1 })).toHaveCount(1);
  if (JUDGED.test(hash)) await expect(main).toContainText(ANSWERED, { timeout: 60_000 });
  await expect(main).not.toContainText(UNREADY, { timeout: 60_000 });
  await still(page);
}

async function still(page: Page): Promise<void> {
  const isStill = await page.evaluate(
    ([quiet, most]) =>
      new Promise<boolean>((told) => {
        const later = (stands: boolean, wait: number) => setTimeout(() => told(stands), wait);
        later(false, most);
        let stands = later(true, quiet);
        const changed = () => {
          clearTimeout(stands);
          stands = later(true, quiet);
        };
        new MutationObserver(changed).observe(document.body, {
          attributes: true,
          characterData: true,
          childList: true,
          subtree: true,
        });
      }),
    [STILL_MS, 20_000] as const,
  );
  expect(isStill, `${page.url()} goes on changing`).toBe(true);
}
