// Opens HTML reports in a real browser and prints them: pages.mjs FILE.html...
//
// A page passes if the browser logs nothing for it, if it prints on at most the
// pages that it promises, on Letter and on A4, and if each sheet for the stand
// begins on a page of its own and takes the pages that it promises, with nothing
// else on them.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { browse } from "./browser.mjs";

const papers = [
  ["Letter", "8.5in", "11in"],
  ["A4", "210mm", "297mm"],
];
const browser = await browse();
const work = mkdtempSync(join(tmpdir(), "pages-"));
let bad = 0;

for (const file of process.argv.slice(2)) {
  const complain = (text) => {
    bad = 1;
    console.log(`${file}: ${text}`);
  };
  try {
    await look(file, complain);
  } catch (e) {
    complain(e.message);
  }
}
rmSync(work, { recursive: true });
await browser.close();
process.exit(bad);

async function look(file, complain) {
  const html = readFileSync(file, "utf8");
  const promised = Number(/<meta name="pages-at-most" content="(\d+)">/.exec(html)?.[1] ?? Infinity);
  const sheets = [...html.matchAll(/data-pages-at-most="(\d+)"/g)].map((m) => Number(m[1]));
  const page = await browser.newPage();
  page.on("console", (m) => complain(`console: ${m.text()}`));
  page.on("pageerror", (e) => complain(`error: ${e.message}`));
  await page.goto("file://" + resolve(file));
  if (!(await page.evaluate(() => document.body.innerText.trim()))) complain("the browser made no page of it");
  for (const [paper, width, height] of papers) {
    const texts = await printed(page, { width, height });
    if (texts.length > promised) complain(`${texts.length} pages on ${paper}, ${promised} promised`);
    const { taken, faults } = sheetsOf(texts);
    faults.forEach(complain);
    if (taken.length !== sheets.length || taken.some((n, i) => n > sheets[i])) complain(`pages of sheets on ${paper}: ${taken} are taken, ${sheets} promised`);
    console.log(`${file}: ${paper}, ${texts.length} pages${promised < Infinity ? ` of ${promised} promised` : ""}`);
  }
  await page.close();
}

// printed prints a page, with the margins of a browser where it has none of its own,
// and returns what stands on each sheet of paper.
async function printed(page, paper) {
  const pdf = join(work, "page.pdf");
  const margin = "0.4in";
  await page.pdf({ path: pdf, ...paper, preferCSSPageSize: true, margin: { top: margin, right: margin, bottom: margin, left: margin }, timeout: 120_000 });
  const text = execFileSync("pdftotext", ["-layout", pdf, "-"], { encoding: "utf8", maxBuffer: 1 << 30, stdio: ["ignore", "pipe", "ignore"] });
  return text.split("\f").slice(0, -1);
}

// sheetsOf counts the pages that each sheet for the stand takes: it goes on until the
// next one or what is headed "in detail".
function sheetsOf(texts) {
  const taken = [];
  const faults = [];
  let on = false;
  texts.forEach((text, i) => {
    text = text.replace(/\s+/g, " ").trim();
    const begins = text.split("pedals for the stand").length - 1;
    if (begins > 1) faults.push(`two sheets on page ${i + 1}`);
    if (begins > 0) {
      taken.push(1);
      on = true;
    } else if (text.slice(0, 400).includes(" in detail") || text.includes("Reading the file")) {
      on = false;
    } else if (on && text) {
      taken[taken.length - 1]++;
    }
  });
  return { taken, faults };
}
