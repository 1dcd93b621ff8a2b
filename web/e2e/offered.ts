/** An office with a job whose walk is the demo site, for tests of offers. */
import type { Page } from "@playwright/test";
import { expect, type Office, signIn } from "./office";

/** Put the demo site into a new job; returns the job's id. */
export async function demoJob(office: Office): Promise<string> {
  const { json: job } = await office.api("POST", "/api/jobs", { json: { name: "Bellwether Green" } });
  const { bytes } = await office.api("GET", "/api/demo/site.zip");
  const headers = { "content-type": "application/zip" };
  const body = bytes as Uint8Array<ArrayBuffer>;
  await office.api("POST", `/api/jobs/${job.id}/walks/file`, { body, headers });
  return job.id;
}

const read = new WeakMap<Office, Promise<string>>();

/** The job with the demo site and a sent offer that tests share which only read; made by whoever comes first. */
export function demoToRead(office: Office): Promise<string> {
  let made = read.get(office);
  if (made === undefined) {
    made = demoJob(office).then(async (id) => {
      await sentOffer(office, id);
      return id;
    });
    read.set(office, made);
  }
  return made;
}

/** Open the offers of the one job as a person does: from the list, by its stage. */
export async function openOffers(page: Page, office: Office, names: { job: string; offer: string }): Promise<void> {
  await signIn(page, office);
  await page.getByRole("link", { name: names.job }).first().click();
  await page.getByRole("link", { name: names.offer, exact: true }).click();
  await expect(page.getByRole("heading", { level: 1, name: names.offer })).toBeVisible();
}

/** Make an offer and a link past the browser; returns the address of the link and the offer's id. */
export async function sentOffer(
  office: Office,
  job: string,
  values: object = {},
): Promise<{ id: string; path: string }> {
  const { json: walks } = await office.api("GET", `/api/jobs/${job}/walks`);
  // The day where the browsers are, as a screen would give it.
  const issued_on = new Intl.DateTimeFormat("en-CA", { timeZone: "America/New_York" }).format();
  const wanted = { walk_id: walks.items[0].id, issued_on, ...values };
  const { json: draft } = await office.api("POST", `/api/jobs/${job}/offers`, { json: wanted });
  const headers = { "if-match": `"${draft.version}"` };
  const { json: task } = await office.api("POST", `/api/offers/${draft.id}/papers`, { headers });
  await expect
    .poll(async () => (await office.api("GET", `/api/tasks/${task.id}`)).json.state, { timeout: 60_000 })
    .toBe("done");
  const { json: written } = await office.api("GET", `/api/offers/${draft.id}`);
  await office.api("POST", `/api/offers/${draft.id}/send`, { headers: { "if-match": `"${written.version}"` } });
  const { json: made } = await office.api("POST", `/api/offers/${draft.id}/links`, { json: {} });
  return { id: draft.id, path: made.path };
}
