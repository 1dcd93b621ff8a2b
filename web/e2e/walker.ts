/** Somebody who walks a site with a phone in the hand: presses what is on the screen, and reads what it says. */
import { setTimeout as wait } from "node:timers/promises";
import { expect, type Page } from "@playwright/test";

const AT_THE_OFFICE = /^At the office, /;

export class Walker {
  readonly page: Page;

  constructor(page: Page) {
    this.page = page;
  }

  /** What the line under the head says. */
  get says() {
    return this.page.getByRole("banner").getByRole("status").first();
  }

  /** Begin a job on site, with one pad of the usual size; gives its address behind the `#`. */
  async begin(): Promise<string> {
    await this.page.getByRole("button", { name: "On site" }).click();
    await this.page.getByRole("button", { name: /^Usual size/ }).click();
    await expect(this.page.getByRole("button", { name: "Crack", exact: true })).toBeVisible();
    return new URL(this.page.url()).hash;
  }

  /** Count a length of crack off the wheel. */
  async count(feet: string): Promise<void> {
    await this.page.getByRole("button", { name: "Crack", exact: true }).click();
    await this.page.getByRole("button", { name: "Length off the wheel" }).click();
    await this.page.getByRole("textbox", { name: "Length off the wheel" }).fill(feet);
    await this.page.getByRole("button", { name: /^Count \d/ }).click();
    await this.page.getByRole("button", { name: "Done" }).click();
  }

  /** How many changes the phone says it has and the office lacks; null while it says something else. */
  async changes(): Promise<number | null> {
    const found = /^On this (?:phone|computer), (\d+) changes?/.exec((await this.says.textContent()) ?? "");
    return found === null ? null : Number(found[1]);
  }

  /** Wait until the phone says that it has more than before; returns how many. */
  async acknowledged(before: number): Promise<number> {
    const until = Date.now() + 10_000;
    for (;;) {
      const now = await this.changes();
      if (now !== null && now > before) return now;
      if (Date.now() > until) throw new Error(`the phone says: ${(await this.says.textContent()) ?? ""}`);
      await wait(20);
    }
  }

  /** Wait until the totals of the court tell so much crack. */
  async total(feet: string): Promise<void> {
    const told = this.page.getByRole("main").getByRole("status").getByText(`counted: crack ${feet} ft`);
    await expect(told.first()).toBeVisible({ timeout: 30_000 });
  }

  /** Wait until all is at the office. */
  async arrived(): Promise<void> {
    await expect(this.says).toHaveText(AT_THE_OFFICE, { timeout: 60_000 });
  }

  async hasArrived(): Promise<boolean> {
    return AT_THE_OFFICE.test((await this.says.textContent()) ?? "");
  }
}

/** Wait until the client is kept on the device, so that it opens without the office. */
export async function installed(page: Page): Promise<void> {
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
}

/** Numbers between 0 and 1 that are the same for the same seed. */
export function chances(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** `COURTWRIGHT_SOAK=1` asks for the long form of a test. */
export const isLong = process.env.COURTWRIGHT_SOAK === "1";
