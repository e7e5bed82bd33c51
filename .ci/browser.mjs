// The browser that looks at pages: $CHROMIUM, or the first of chromium,
// chromium-browser, google-chrome that is there. It is started once for many pages.
// playwright-core and axe-core come from npm, in the folder LOOK_MODULES.
import { accessSync, constants } from "node:fs";
import { createRequire } from "node:module";
import { delimiter, join } from "node:path";

export const require = createRequire(process.env.LOOK_MODULES ? process.env.LOOK_MODULES + "/" : import.meta.url);

const there = (path) => {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
};

export async function browse() {
  const folders = process.env.PATH.split(delimiter);
  const path = process.env.CHROMIUM || ["chromium", "chromium-browser", "google-chrome"].flatMap((name) => folders.map((f) => join(f, name))).find(there);
  if (!path) {
    console.error("no browser: install chromium, or name one in CHROMIUM");
    process.exit(3);
  }
  return require("playwright-core").chromium.launch({
    executablePath: path,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
}
