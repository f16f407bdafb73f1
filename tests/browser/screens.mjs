// Every screen and every sheet, dark and in daylight colours: axe's rules, whether everything fits, and a picture of each in
// target/browser-shots.

import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { test } from "node:test";

import { DESK, PHONE, launch } from "./help/browser.mjs";
import { root } from "./help/place.mjs";
import { serve } from "./help/server.mjs";
import { walk } from "./help/walk.mjs";

/** The size of letters that browsers begin with. */
const USUAL_PX = 16;
/** Rooms in which everything must fit, with the size of text. */
const ROOMS = {
  "320 pixels wide": [{ width: 320, height: 640 }, USUAL_PX],
  "text at 200 %": [PHONE, 2 * USUAL_PX],
  "held sideways": [{ width: 844, height: 390 }, USUAL_PX],
};
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

const PICTURES = join(root, "target/browser-shots");

/** Of these there are pictures. */
const PICTURED = [
  "the first visit", "Today", "Table, in a set of work", "Table, in a proof", "More", "the end of a set", "Ladders", "Evidence", "Setup",
];

/** Pictures of what is shown, on a phone and on a desk. */
async function picture(page, where, theme, again) {
  if (!PICTURED.includes(where)) return page.setViewportSize(PHONE);
  mkdirSync(PICTURES, { recursive: true });
  const name = where.toLowerCase().replace(/[^a-z]+/g, "-");
  for (const viewport of [DESK, PHONE]) {
    await page.setViewportSize(viewport);
    // The picture of the table is drawn anew for another shape of screen, by the worker.
    if (/^(Table|More)/.test(where)) {
      await page.waitForFunction((wide) => {
        const [, , width, height] = document.querySelector(".scorer .picture svg").getAttribute("viewBox").split(" ").map(Number);
        return width > height === wide;
      }, viewport === DESK);
    }
    if (again && (await page.getByRole("dialog").count()) === 0) await again();
    await page.screenshot({ path: join(PICTURES, `${name}-${theme}-${viewport.width}.png`) });
  }
  return undefined;
}

/** What axe finds here, in words. */
async function axe(page, where, runOnly, found) {
  // What sticks to an edge lies over the page wherever that is scrolled to; that it hides no focus is a test of its own.
  const rail = (position) =>
    page.evaluate((position) => {
      for (const one of document.querySelectorAll("nav, .at-hand")) one.style.setProperty("position", position);
    }, position);
  await rail("static");
  const { violations } = await page.evaluate((runOnly) => window.axe.run({ runOnly, resultTypes: ["violations"] }), runOnly);
  await rail("");
  for (const { id, nodes, help } of violations) {
    const words = nodes.map(({ target, any, all }) => `${target.join(" ")} (${[...any, ...all].map(({ message }) => message).join("; ")})`);
    found.push(`${where}: ${id}: ${help}: ${words.join(", ")}`);
  }
}

/** What does not fit: the page scrolls sideways, controls lie over each other, or their text is cut off. */
function misfits(page) {
  return page.evaluate(() => {
    const found = [];
    const { scrollWidth, clientWidth } = document.scrollingElement;
    if (scrollWidth > clientWidth) {
      const out = (one) => one.getBoundingClientRect().right > clientWidth + 1 && !one.closest(".wide-table");
      const first = [...document.querySelectorAll("body *")].filter(out).slice(0, 3);
      const names = first.map((one) => `${one.tagName}.${one.className} ${one.textContent.slice(0, 30)}`);
      found.push(`the page is ${scrollWidth} wide in ${clientWidth}: ${names.join("; ")}`);
    }
    const sheet = [...document.querySelectorAll("dialog[open]")].at(-1);
    if (sheet && sheet.scrollWidth > sheet.clientWidth) found.push(`the sheet is ${sheet.scrollWidth} wide in ${sheet.clientWidth}`);
    // What sticks to an edge lies over whatever is scrolled below it; but at the table nobody scrolls.
    const sticks = (one) => one !== null && (["sticky", "fixed"].includes(getComputedStyle(one).position) || sticks(one.parentElement));
    const shown = (one) => one.checkVisibility({ visibilityProperty: true, opacityProperty: true });
    const counts = (one) => sheet || (!one.closest("dialog") && (one.closest(".scorer") || !sticks(one)));
    const all = [...(sheet ?? document).querySelectorAll("button, a, select, input, summary")];
    const controls = all.filter((one) => shown(one) && counts(one));
    const name = (one) => one.ariaLabel ?? (one.textContent.trim().slice(0, 30) || one.closest("label")?.textContent.slice(0, 30));
    const boxes = controls.map((one) => [one, one.getBoundingClientRect()]).filter(([, box]) => box.width > 0 && box.height > 0);
    boxes.forEach(([one, a], index) => {
      if (one.matches("button, a") && one.scrollWidth > one.clientWidth + 1) found.push(`${name(one)}: its text is cut off`);
      for (const [other, b] of boxes.slice(index + 1)) {
        if (one.contains(other) || other.contains(one)) continue;
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > 1 && down > 1) found.push(`${name(one)} and ${name(other)} lie over each other`);
      }
    });
    return found;
  });
}

test("every screen and every sheet", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.addInitScript({ content: AXE });
  const session = await page.context().newCDPSession(page);
  // As somebody sets it in the browser, for all pages.
  const letters = (standard) => session.send("Page.setFontSizes", { fontSizes: { standard, fixed: standard } });
  const rules = [];
  const fits = Object.fromEntries(Object.keys(ROOMS).map((name) => [name, []]));
  let looked = 0;
  await walk(page, address, async (where, again) => {
    looked++;
    for (const viewport of [DESK, PHONE]) {
      await page.setViewportSize(viewport);
      await axe(page, `${where}, ${viewport.width} wide`, TAGS, rules);
    }
    for (const [name, [viewport, size]] of Object.entries(ROOMS)) {
      await page.setViewportSize(viewport);
      await letters(size);
      fits[name].push(...(await misfits(page)).map((what) => `${where}: ${what}`));
    }
    await letters(USUAL_PX);
    await picture(page, where, "dark", again);
  });
  t.diagnostic(`${looked} screens and sheets; pictures are in target/browser-shots`);
  await t.test("axe finds nothing", () => assert.deepEqual(rules, []));
  for (const [name, found] of Object.entries(fits)) {
    await t.test(`everything fits: ${name}`, () => assert.deepEqual(found, []));
  }
});

test("every screen and every sheet in daylight colours: axe finds no contrast too low", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.addInitScript({ content: AXE });
  await page.addInitScript(() => localStorage.setItem("longrail light", "yes"));
  const found = [];
  await walk(page, address, async (where, again) => {
    assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), "light");
    // The themes differ in colours only.
    await axe(page, where, { type: "rule", values: ["color-contrast"] }, found);
    await picture(page, where, "daylight", again);
  });
  assert.deepEqual(found, []);
});

