/** A phone: a browser with a folder of its own, that can be killed and opened again. */
import { readdirSync, readFileSync } from "node:fs";
import { rm } from "node:fs/promises";
import { join } from "node:path";
import { type BrowserContext, chromium, type Page } from "@playwright/test";
import config, { FLAGS } from "../playwright.config";

export class Phone {
  readonly folder: string;
  readonly #url: string;
  readonly #width: number;
  #context: BrowserContext | null = null;

  /** A phone that keeps what it has in a folder and opens an office's address. */
  constructor(folder: string, url: string, width = 360) {
    this.folder = folder;
    this.#url = url;
    this.#width = width;
  }

  /** Open the browser, with what it kept before, at a place of the client. */
  async open(hash = ""): Promise<Page> {
    // A killed browser leaves its lock.
    for (const name of ["SingletonLock", "SingletonCookie", "SingletonSocket"])
      await rm(join(this.folder, name), { force: true });
    const executablePath = config.use?.launchOptions?.executablePath;
    this.#context = await chromium.launchPersistentContext(this.folder, {
      ...(executablePath === undefined ? {} : { executablePath }),
      args: FLAGS,
      baseURL: this.#url,
      viewport: { width: this.#width, height: 760 },
      locale: "en-US",
      timezoneId: "America/New_York",
    });
    const page = this.#context.pages()[0] ?? (await this.#context.newPage());
    await page.goto(`/${hash}`);
    return page;
  }

  get context(): BrowserContext {
    if (this.#context === null) throw new Error("the phone is not open");
    return this.#context;
  }

  /** Kill the browser with everything it started, as a battery that runs out does. */
  async kill(): Promise<void> {
    const context = this.context;
    this.#context = null;
    const closed = new Promise<void>((resolve) => context.once("close", () => resolve()));
    const pid = browserOf(this.folder);
    if (pid === undefined) throw new Error(`no browser runs on ${this.folder}`);
    // Playwright starts a browser as the head of its group.
    process.kill(-pid, "SIGKILL");
    await closed;
    while (browserOf(this.folder) !== undefined) await new Promise((resolve) => setTimeout(resolve, 20));
  }

  async close(): Promise<void> {
    await this.#context?.close();
    this.#context = null;
  }
}

/** The process id of the browser itself, not of one of its parts, that runs on a folder. */
function browserOf(folder: string): number | undefined {
  const flag = `--user-data-dir=${folder}`;
  for (const name of readdirSync("/proc")) {
    if (!/^\d+$/.test(name)) continue;
    try {
      const words = readFileSync(`/proc/${name}/cmdline`, "utf8").split("\0");
      if (words.includes(flag) && !words.some((word) => word.startsWith("--type="))) return Number(name);
    } catch {
      // It ended while it was looked at.
    }
  }
  return undefined;
}
