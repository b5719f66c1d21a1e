// Takes HTML files, gives what is wrong in each as one JSON object: file -> findings. Looked at as a reader's browser
// shows the page: axe-core's rules on a wide and on a 320-pixel window (WCAG 1.4.10), the same narrow window with the
// text spacing of WCAG 1.4.12, and no request beyond the file itself. Usage: node axe.mjs PACKAGES CHROMIUM FILE…
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [packages, chromium, ...files] = process.argv.slice(2);
const need = createRequire(`${packages}/package.json`); // the packages lie outside this file's own folders
const puppeteer = need("puppeteer-core");
const axe = need("axe-core");

const WIDE = { width: 1280, height: 900 };
const NARROW = { width: 320, height: 900, isMobile: true }; // as a phone: a page without a viewport line is shown wide
const SHOWN = 3; // places named for one rule; the count stands for the rest
const SPACING = `* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important }
p { margin-bottom: 2em !important }`;

const browser = await puppeteer.launch({
  executablePath: chromium,
  headless: true,
  args: [
    "--no-sandbox", // runs as root in a container; the files are our own
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
  ],
});

const result = {};
try {
  for (const file of files) result[file] = await look(file);
} finally {
  await browser.close();
}
console.log(JSON.stringify(result));

// Return the findings of one file, each a line.
async function look(file) {
  const findings = new Set();
  const wide = await open(file, WIDE, findings);
  const seen = new Set();
  for (const line of await violations(wide, "", seen)) findings.add(line);
  await wide.close();
  const narrow = await open(file, NARROW, findings);
  for (const line of await violations(narrow, " at 320 px only", seen)) findings.add(line);
  for (const line of await reflow(narrow, "at 320 px")) findings.add(line);
  await narrow.addStyleTag({ content: SPACING });
  for (const line of await reflow(narrow, "at 320 px with wider text spacing")) findings.add(line);
  await narrow.close();
  return [...findings];
}

// Return the file shown in a window of that size, axe-core at hand; what it asks for beyond itself is a finding.
async function open(file, viewport, findings) {
  const page = await browser.newPage();
  const address = pathToFileURL(file).href;
  await page.setViewport(viewport);
  await page.setRequestInterception(true);
  page.on("request", (request) => {
    const own = request.url() === address || request.url().startsWith("data:");
    if (!own) findings.add(`asks for another file: ${request.url()}`);
    return own ? request.continue() : request.abort();
  });
  page.on("pageerror", (error) => findings.add(`script error: ${error.message}`));
  await page.goto(address, { waitUntil: "load" });
  await page.evaluate(() => document.fonts.ready);
  await page.evaluate(axe.source);
  return page;
}

// Return axe-core's violations of rules not yet seen: `rule (impact) ×count: help (at places)`.
async function violations(page, where, seen) {
  const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  const fresh = violations.filter((item) => !seen.has(item.id));
  for (const item of fresh) seen.add(item.id);
  return fresh.map((item) => {
    const at = places(item.nodes.map((node) => node.target.join(" ")));
    return `${item.id} (${item.impact})${where} ×${item.nodes.length}: ${item.help} (at ${at})`;
  });
}

// Return what is lost in a narrow window: the page scrolls sideways, or a box cuts off what it holds.
async function reflow(page, where) {
  const seen = await page.evaluate((width) => {
    const name = (node) =>
      node.tagName.toLowerCase() + [...node.classList].map((item) => `.${item}`).join("") +
      ` "${node.textContent.trim().replace(/\s+/g, " ").slice(0, 30)}"`;
    const all = [...document.body.querySelectorAll("*")];
    const style = new Map(all.map((node) => [node, getComputedStyle(node)]));
    const boxed = (node) => {
      for (let up = node.parentElement; up && up !== document.body; up = up.parentElement)
        if (style.get(up).overflowX !== "visible") return true; // it scrolls or hides inside a box of its own
      return false;
    };
    const beyond = all.filter((node) => node.getBoundingClientRect().right > width + 1 && !boxed(node));
    const deepest = beyond.filter((node) => !beyond.some((other) => other !== node && node.contains(other)));
    const cut = all.filter(
      (node) =>
        node.clientWidth > 2 && node.clientHeight > 2 && // smaller: words kept for screen readers only
        !node.closest("svg") &&
        ((/hidden|clip/.test(style.get(node).overflowX) && node.scrollWidth > node.clientWidth + 1) ||
          (/hidden|clip/.test(style.get(node).overflowY) && node.scrollHeight > node.clientHeight + 1)),
    );
    return {
      page: Math.max(document.documentElement.scrollWidth, document.body.scrollWidth),
      beyond: [...new Set(deepest.map(name))],
      cut: [...new Set(cut.map(name))],
    };
  }, NARROW.width);
  const found = [];
  if (seen.page > NARROW.width || seen.beyond.length)
    found.push(`scrolls sideways ${where}: the page is ${seen.page} px wide (at ${places(seen.beyond)})`);
  if (seen.cut.length) found.push(`cuts off what a box holds ${where} ×${seen.cut.length} (at ${places(seen.cut)})`);
  return found;
}

// Return the first few places, joined.
function places(all) {
  return all.slice(0, SHOWN).join("; ") || "the whole page";
}
