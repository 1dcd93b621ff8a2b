import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vitest/config";
import { offline } from "./build/offline.ts";

/** Where the service finds the client, and the wheel takes it from. */
const OUT = "../src/courtwright/api/static";

export default defineConfig({
  plugins: [svelte(), offline()],
  build: {
    outDir: OUT,
    emptyOutDir: true,
    // Tells a test which scripts a page begins with.
    manifest: true,
    target: "es2022",
    // The pages forbid what is inline.
    assetsInlineLimit: 0,
    rollupOptions: { input: { index: "index.html", offer: "offer.html" } },
  },
  server: { proxy: { "/api": "http://127.0.0.1:8800" } },
  // Tests run what a browser runs.
  resolve: process.env.VITEST ? { conditions: ["browser"] } : {},
  test: {
    include: ["tests/**/*.test.ts"],
    environment: "happy-dom",
    setupFiles: ["tests/setup.ts"],
  },
});
