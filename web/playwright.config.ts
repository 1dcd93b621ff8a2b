import { existsSync } from "node:fs";
import { defineConfig } from "@playwright/test";

const CHROMIUM = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
if (CHROMIUM === undefined) throw new Error("There is no Chromium to open pages in: sudo apt-get install chromium");

/** Quiet, and speaking with nobody but us. */
export const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

export default defineConfig({
  testDir: "e2e",
  outputDir: "test-results",
  fullyParallel: true,
  workers: 2,
  timeout: 90_000,
  // On a machine with much other work a press may come late: once more, and it is told as flaky.
  retries: 1,
  expect: { timeout: 10_000 },
  reporter: "line",
  use: { launchOptions: { executablePath: CHROMIUM, args: FLAGS }, locale: "en-US", timezoneId: "America/New_York" },
});
