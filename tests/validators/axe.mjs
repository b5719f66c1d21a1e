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
const NARROW = { width: 320, height: 900 };
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
  const findings = [];
  const page = await browser.newPage();
  const address = pathToFileURL(file).href;
  await page.setRequestInterception(true);
  page.on("request", (request) => {
    const own = request.url() === address || request.url().startsWith("data:");
    if (!own) findings.push(`asks for another file: ${request.url()}`);
    return own ? request.continue() : request.abort();
  });
  page.on("pageerror", (error) => findings.push(`script error: ${error.message}`));
  await page.setViewport(WIDE);
  await page.goto(address, { waitUntil: "load" });
  await page.evaluate(() => document.fonts.ready);
  await page.evaluate(axe.source);
  findings.push(...(await violations(page, "")));
  await page.setViewport(NARROW);
  findings.push(...(await violations(page, " at 320 px")), ...(await sideways(page, "320 px wide")));
  await page.addStyleTag({ content: SPACING });
  findings.push(...(await sideways(page, "320 px wide, with the reader's own text spacing")));
  await page.close();
  return [...new Set(findings)];
}

// Return axe-core's violations: `rule (impact) ×count: help (at places)`.
async function violations(page, where) {
  const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  return violations.map((item) => {
    const places = item.nodes.map((node) => node.target.join(" ")).slice(0, SHOWN).join("; ");
    return `axe ${item.id} (${item.impact})${where} ×${item.nodes.length}: ${item.help} (at ${places})`;
  });
}

// Return what makes the page scroll sideways: the page itself, and the elements that reach beyond the window.
async function sideways(page, where) {
  const { wide, window, places } = await page.evaluate((shown) => {
    const root = document.documentElement;
    const scrolls = (node) => {
      for (let up = node.parentElement; up && up !== document.body; up = up.parentElement)
        if (getComputedStyle(up).overflowX !== "visible") return true; // a box that scrolls or hides for itself
      return false;
    };
    const beyond = [...document.body.querySelectorAll("*")].filter(
      (node) => node.getBoundingClientRect().right > root.clientWidth + 1 && !scrolls(node),
    );
    const name = (node) => node.tagName.toLowerCase() + [...node.classList].map((item) => `.${item}`).join("");
    const deepest = beyond.filter((node) => !beyond.some((other) => other !== node && node.contains(other)));
    const places = [...new Set(deepest.map((node) => `${name(node)} "${node.textContent.trim().slice(0, 30)}"`))];
    return { wide: root.scrollWidth, window: root.clientWidth, places: places.slice(0, shown) };
  }, SHOWN);
  return wide > window ? [`scrolls sideways ${where}: the page is ${wide} px wide (at ${places.join("; ")})`] : [];
}
