// Looks at HTML reports as people do: look.mjs FILE.html...
//
// In a real browser, at the widths of a phone, a tablet and a desk, light and dark,
// at double size, with everything unfolded too: no page may scroll sideways, log
// anything or ask for anything, axe-core may find no fault, and the tab key must
// reach all that can be activated.
import { readFileSync } from "node:fs";
import { resolve, basename } from "node:path";
import { browse, require } from "./browser.mjs";

const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const widths = [320, 390, 768, 1280];
const browser = await browse();
let bad = 0;

for (const file of process.argv.slice(2)) {
  const url = "file://" + resolve(file);
  const small = readFileSync(file).length < 2e6; // others are looked at once, as axe takes minutes for them
  const complain = (text) => {
    bad = 1;
    console.log(`${basename(file)}: ${text}`);
  };
  for (const scheme of ["light", "dark"]) {
    const context = await browser.newContext({ colorScheme: scheme });
    const page = await context.newPage();
    page.on("console", (m) => complain(`console: ${m.text()}`));
    page.on("pageerror", (e) => complain(`error: ${e.message}`));
    page.on("request", (r) => r.url().split("#")[0] === url || complain(`asks for ${r.url()}`));
    await page.goto(url);
    for (const unfolded of small ? [false, true] : [false]) {
      await page.evaluate((open) => document.querySelectorAll("details").forEach((d) => (d.open = open)), unfolded);
      for (const [width, zoom] of [...widths.map((w) => [w, 1]), [640, 2]]) {
        await page.setViewportSize({ width, height: 900 });
        const over = await page.evaluate(() => {
          const wide = document.documentElement.clientWidth;
          const names = [];
          if (document.scrollingElement.scrollWidth > wide)
            for (const e of document.querySelectorAll("body *:not(svg *)"))
              if (e.getBoundingClientRect().right > wide + 1) names.push(e.tagName + "." + (e.getAttribute("class") || ""));
          return { wide: document.scrollingElement.scrollWidth, names: names.slice(0, 5) };
        });
        if (over.wide > width) complain(`${scheme}, ${width} px${zoom > 1 ? " (1280 at 200 %)" : ""}${unfolded ? ", unfolded" : ""}: ${over.wide} px wide: ${over.names}`);
        const rules = small ? rulesAt(scheme, width, unfolded) : null;
        if (!rules) continue;
        await page.evaluate(axe);
        const found = await page.evaluate((runOnly) => axe.run(document, { resultTypes: ["violations"], ...runOnly }), rules);
        for (const v of found.violations)
          complain(`${scheme}, ${width} px${unfolded ? ", unfolded" : ""}: ${v.id}: ${v.help}: ${v.nodes.length} times, as ${v.nodes[0].html.slice(0, 160)} (${v.nodes[0].failureSummary.replace(/\s+/g, " ").slice(0, 200)})`);
      }
    }
    if (scheme === "light" && small) await keyboard(page, complain);
    await context.close();
  }
}
await browser.close();
process.exit(bad);

// rulesAt tells what axe-core looks for; null for nothing. It takes most of the time, so it
// looks where there is most to see, unfolded, on a phone and on a desk; and dark, where nothing
// but colours differs, for what colours can do wrong.
function rulesAt(scheme, width, unfolded) {
  if (!unfolded || (width !== 390 && width !== 1280)) return null;
  if (scheme === "light") return {};
  return width === 1280 ? { runOnly: { type: "rule", values: ["color-contrast", "link-in-text-block"] } } : null;
}

// keyboard goes through the page by the tab key and expects to meet everything that
// can be activated, each with a line around it.
async function keyboard(page, complain) {
  await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
  const all = await page.evaluate(() => {
    const list = [...document.querySelectorAll("a[href], input, summary")].filter((e) => e.getClientRects().length > 0);
    list.forEach((e, i) => (e.dataset.stop = i));
    return list.length;
  });
  const met = new Set();
  let bare = "";
  for (let i = 0; i < Math.min(all, 400) + 2; i++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const e = document.activeElement;
      const s = getComputedStyle(e);
      return { stop: e.dataset.stop, ring: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) > 0, name: e.outerHTML.slice(0, 120) };
    });
    if (at.stop === undefined) continue;
    met.add(at.stop);
    if (!at.ring) bare ||= at.name;
  }
  if (met.size < Math.min(all, 400)) complain(`keyboard: ${met.size} of ${all} are reached`);
  if (bare) complain(`keyboard: no line around ${bare}`);
}
