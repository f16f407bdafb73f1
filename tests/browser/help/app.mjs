// The app as a person uses it: by what is seen, and by the names of controls.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";

export const button = (page, name) => page.getByRole("button", { name, exact: true });
export const heading = (page, name) => page.getByRole("heading", { name, exact: typeof name === "string" });

export const MADE = "Made";
export const LEFT = "Missed left";
export const RIGHT = "Missed right";
/** Where the goal says where the cue ball goes, the button says that as well. */
export const UNSEEN = /side not seen$/;
export const UNDO = "Undo";

/** Answers the questions of the first visit, and waits for Today. */
export async function firstVisit(page, address, { name, sentence } = {}) {
  await page.goto(address);
  await button(page, "Go on").waitFor();
  if (name) await page.getByRole("textbox", { name: "Who plays?" }).fill(name);
  if (sentence) await page.getByRole("radio", { name: sentence }).check();
  await button(page, "Go on").click();
  await heading(page, "What are you here for?").waitFor();
}

/** Begins what Today offers first. */
export async function begin(page) {
  // While its ladder is being worked out the button changes its words: whichever is there is pressed.
  await page.getByRole("button", { name: /^(Start:|Begin: )/ }).first().click();
  await button(page, MADE).waitFor();
}

/** From nothing to an open set. */
export async function toTheTable(page, address) {
  await firstVisit(page, address);
  await begin(page);
}

/** Waits until nothing is being computed, so that it neither slows nor changes what is measured. */
export async function computed(page) {
  const computing = page.getByRole("status").filter({ hasText: /^Computing/ });
  await assertSoon(page, async () => (await computing.count()) === 0, "something is still being computed", 60_000);
}

export async function assertSoon(page, check, why, limit = 10_000) {
  const until = Date.now() + limit;
  while (!(await check())) {
    if (Date.now() > until) assert.fail(why);
    await page.waitForTimeout(50);
  }
}

/** The tally as it is shown: made, tried, and whether something waits to be kept. */
export function tally(page) {
  return page.locator(".tally").evaluate((shown) => {
    const [made, tried] = shown.textContent.match(/\d+/g).map(Number);
    return { made, tried, waits: shown.classList.contains("waits") };
  });
}

/** Waits until nothing waits, and returns the count as text: "3 of 5". */
export async function kept(page) {
  await page.locator(".tally:not(.waits)").waitFor();
  const { made, tried } = await tally(page);
  return `${made} of ${tried}`;
}

/** Presses a button of the table, and waits until the press is kept. */
export async function press(page, name, times = 1) {
  for (let time = 0; time < times; time++) {
    await button(page, name).click();
    await page.locator(".tally:not(.waits)").waitFor();
  }
}

/** Presses as fast as the page takes it, and waits at the end. A letter a press: m, l, r, u (not seen), b (back). */
export async function presses(page, letters) {
  const keys = { m: "PageDown", l: "ArrowLeft", r: "ArrowRight", u: "ArrowDown", b: "Backspace" };
  for (const letter of letters) await page.keyboard.press(keys[letter]);
  return kept(page);
}

/**
 * Opens a sheet by its button and does something in it; returns when that is done. A sheet that closes by itself, because
 * something was computed meanwhile, is opened again: score.mjs has the tests that it should not.
 */
async function inSheet(page, name, act) {
  for (let time = 1; ; time++) {
    await button(page, name).first().click();
    const sheet = page.getByRole("dialog", { name });
    try {
      return await act(sheet, { timeout: 3_000 });
    } catch (error) {
      if (time === 5 || (await sheet.isVisible())) throw error;
    }
  }
}

/** Enters a count through More, which closes when it is kept. */
export function count(page, made, tried, { refused = false } = {}) {
  return inSheet(page, "More", async (sheet, limit) => {
    await sheet.getByRole("textbox", { name: "Made", exact: true }).fill(String(made), limit);
    await sheet.getByRole("textbox", { name: "of", exact: true }).fill(String(tried), limit);
    await sheet.getByRole("button", { name: "Enter", exact: true }).click(limit);
    if (!refused) await sheet.waitFor({ state: "hidden" });
  });
}

/** Ends the set through More, and returns the sheet that says what came of it. */
export async function endSet(page) {
  await inSheet(page, "More", (sheet, limit) => sheet.getByRole("button", { name: "End the set" }).click(limit));
  const sheet = page.getByRole("dialog", { name: "The set" });
  await sheet.waitFor();
  return sheet;
}

/** Ends the open visit, on Today. */
export async function endVisit(page) {
  await inSheet(page, "End the visit", (sheet, limit) => sheet.getByRole("button", { name: "End the visit" }).click(limit));
  await page.getByText(/^Visit for /).waitFor({ state: "detached", timeout: 60_000 });
}

/** Goes to a screen by its place in the navigation. */
export async function go(page, screen) {
  await page.getByRole("navigation", { name: "Screens" }).getByRole("link", { name: screen, exact: true }).click();
  const title = { Today: "What are you here for?", Table: "No set is open." }[screen] ?? screen;
  await heading(page, title).waitFor();
}

/** Everything on record, as a backup has it: events in the order of their numbers. */
export async function exported(page) {
  await go(page, "Setup");
  const saved = page.waitForEvent("download");
  await button(page, "Save a backup file").click();
  const lines = readFileSync(await (await saved).path(), "utf8").trimEnd().split("\n");
  return lines.map((line) => JSON.parse(line)).sort((a, b) => a.sequence - b.sequence);
}

/** The service worker is in charge: from now on nothing needs the network. */
export async function keptForUse(page) {
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === "activated");
}

/** Middle and 95th percentile of times, in words. */
export function times(list) {
  const sorted = [...list].sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)];
  const [middle, most, greatest] = [at(0.5), at(0.95), at(1)];
  return { middle, most, says: `middle ${middle.toFixed(1)} ms, 95 % ${most.toFixed(1)} ms, greatest ${greatest.toFixed(1)} ms` };
}
