// A proof: the sheet passes at the counts that were published, once, and whatever comes after.

import assert from "node:assert/strict";
import { test } from "node:test";

import { MADE, assertSoon, button, computed, count, endSet, firstVisit, go, heading, presses } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { passesAt } from "./help/place.mjs";
import { serve } from "./help/server.mjs";

const FIFTY = 50;

/** A proof on the first ladder there is; returns the words of its button: "Prove: rung 3, TITLE". */
async function prove(t) {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await firstVisit(page, address);
  await go(page, "Ladders");
  const start = page.getByRole("button", { name: /^Prove: rung/ }).first();
  await start.waitFor();
  const words = await start.getAttribute("aria-label");
  await start.click();
  await button(page, MADE).waitFor();
  await page.getByText(/^Proof\. /).waitFor();
  await computed(page);
  return { page, words };
}

const title = (words) => words.slice(words.indexOf(", ") + 2);
const rung = (words) => /rung ([\d.]+)/.exec(words)[1];

test("a count that passes by the published table passes, is taken, and stands on its ladder once", async (t) => {
  const { page, words } = await prove(t);
  const made = passesAt(FIFTY);
  await count(page, made, FIFTY);
  await page.getByText(`Entered ${made} of ${FIFTY}.`).waitFor();
  const sheet = await endSet(page);
  await sheet.getByText(new RegExp(`^Made ${made} of ${FIFTY} at rung ${rung(words)} `)).waitFor();
  // It must be answered: there is no way around.
  assert.equal(await button(page, "Back to Today").count(), 0);
  await page.keyboard.press("Escape");
  await button(page, "Take the pass").click();
  await button(page, "Back to Today").click();
  await go(page, "Ladders");
  const ladder = page.getByRole("listitem").filter({ has: heading(page, title(words)) });
  const once = ladder.getByText(/passed once/);
  assert.match(await once.textContent(), new RegExp(`^Rung ${rung(words)} passed once, on \\d{4}-\\d\\d-\\d\\d\\. Odds there now: +0\\.\\d\\d \\(0\\.\\d\\d to 0\\.\\d\\d\\)$`));
  // The same after a load.
  await page.reload();
  await once.waitFor();
  assert.equal(await once.count(), 1);
});

test("one make less than the published count passes nothing", async (t) => {
  const { page } = await prove(t);
  const made = passesAt(FIFTY) - 1;
  await count(page, made, FIFTY);
  await page.getByText(`Entered ${made} of ${FIFTY}.`).waitFor();
  const sheet = await endSet(page);
  await sheet.getByText(`Made ${made} of ${FIFTY}`).waitFor();
  await button(page, "Back to Today").waitFor();
  assert.equal(await button(page, "Take the pass").count(), 0);
});

test("a sheet that passed in the order of its attempts stays passed when misses follow", async (t) => {
  const { page, words } = await prove(t);
  // The first row of the table with a count: so many of so many at once.
  let attempts = 1;
  while (!passesAt(attempts)) attempts++;
  assert.equal(passesAt(attempts), attempts);
  await presses(page, "m".repeat(attempts - 1));
  const before = await page.getByText(/From the start:/).textContent();
  assert.equal(await presses(page, "m"), `${attempts} of ${attempts}`);
  await assertSoon(page, async () => (await page.locator(".says").textContent()) !== before, "nothing is said of the pass");
  // At the end the count alone would be far from it.
  const misses = FIFTY - attempts;
  assert.equal(await presses(page, "lru".repeat(misses).slice(0, misses)), `${attempts} of ${FIFTY}`);
  assert.ok(attempts < passesAt(FIFTY));
  const sheet = await endSet(page);
  await button(page, "Take the pass").click();
  await button(page, "Back to Today").click();
  await sheet.waitFor({ state: "detached" });
  await go(page, "Ladders");
  await page.getByText(`Rung ${rung(words)} passed once, on`).waitFor();
});

test("a pass that is not taken is no pass", async (t) => {
  const { page, words } = await prove(t);
  await count(page, passesAt(FIFTY), FIFTY);
  await page.getByText(/^Entered/).waitFor();
  await endSet(page);
  await button(page, "Not yet").click();
  await button(page, "Back to Today").click();
  await go(page, "Ladders");
  const ladder = page.getByRole("listitem").filter({ has: heading(page, title(words)) });
  await ladder.getByRole("button", { name: /^Prove: rung/ }).waitFor();
  assert.equal(await ladder.getByText(/passed once/).count(), 0);
});
