/** After the build: the service worker with the list of what it keeps, and a compressed sibling of every text. */
import { readdir, readFile, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { brotliCompress, gzip } from "node:zlib";
import { build, type Plugin } from "vite";
import { injectManifest } from "workbox-build";

const TEXTS = /\.(js|css|html|svg|json|webmanifest|mjs)$/;

/** Not kept beforehand: the customer's page has no worker, and papers are read where the office is reached. */
const NOT_KEPT = ["offer.html", "assets/offer-*", "assets/pdf*"];

export function offline(): Plugin {
  let out = "";
  return {
    name: "courtwright-offline",
    apply: "build",
    configResolved(config) {
      out = resolve(config.root, config.build.outDir);
    },
    async closeBundle() {
      await buildWorker(out);
      await compressAll(out);
    },
  };
}

async function buildWorker(out: string): Promise<void> {
  const made = join(out, ".sw");
  await build({
    configFile: false,
    logLevel: "warn",
    publicDir: false,
    define: { "process.env.NODE_ENV": '"production"' },
    build: {
      outDir: made,
      emptyOutDir: true,
      target: "es2022",
      lib: { entry: "src/sw.ts", formats: ["iife"], name: "sw", fileName: () => "sw.js" },
    },
  });
  const { warnings } = await injectManifest({
    swSrc: join(made, "sw.js"),
    swDest: join(out, "sw.js"),
    globDirectory: out,
    globPatterns: ["**/*.{js,css,html,json,webmanifest,svg,png,woff2}"],
    globIgnores: [...NOT_KEPT, "sw.js", ".sw/**", ".vite/**"],
    // Names under assets/ carry a hash of their content.
    dontCacheBustURLsMatching: /^assets\//,
    maximumFileSizeToCacheInBytes: 4_000_000,
  });
  await rm(made, { recursive: true });
  if (warnings.length > 0) throw new Error(warnings.join("\n"));
}

async function compressAll(out: string): Promise<void> {
  const entries = await readdir(out, { recursive: true, withFileTypes: true });
  const texts = entries
    .filter((one) => one.isFile() && TEXTS.test(one.name))
    .map((one) => join(one.parentPath, one.name));
  await Promise.all(
    texts.map(async (path) => {
      const content = await readFile(path);
      await writeFile(`${path}.br`, await promisify(brotliCompress)(content));
      await writeFile(`${path}.gz`, await promisify(gzip)(content, { level: 9 }));
    }),
  );
}
