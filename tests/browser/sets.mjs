// What begins and ends sets: decisions, corners, constraints, blocks; and what a set keeps awake and in focus.

import assert from "node:assert/strict";
import { test } from "node:test";

import {
  LEFT, MADE, assertSoon, button, computed, count, endSet, exported, firstVisit, go, heading, kept, press, toTheTable,
} from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { passesAt } from "./help/place.mjs";
import { serve } from "./help/server.mjs";

async function page(t, more) {
  const { address } = await serve(t);
  const page = (await launch(t, more)).pages()[0];
  return { page, address };
}

/** A proof of the first ladder there is. */
async function proof(t) {
  const { page: one, address } = await page(t);
  await firstVisit(one, address);
  await go(one, "Ladders");
  await one.getByRole("button", { name: /^Prove: rung/ }).first().click();
  await button(one, MADE).waitFor();
  await computed(one);
  return one;
}

const rung = async (one) => / rung ([\d.]+)/.exec(await one.locator("main h1").first().textContent())?.[1];

test("what is decided at a set's end is what goes on, and nothing else closes it", async (t) => {
  const one = await proof(t);
  const first = await rung(one);
  await count(one, passesAt(50), 50);
  let sheet = await endSet(one);
  await sheet.getByRole("button", { name: "Take the pass" }).waitFor();
  for (let time = 0; time < 3; time++) await one.keyboard.press("Escape");
  await one.waitForTimeout(200);
  assert.ok(await sheet.getByRole("button", { name: "Take the pass" }).isVisible(), "it was closed unanswered");
  await sheet.getByRole("button", { name: "Not yet" }).click();
  await sheet.getByRole("button", { name: `Again: rung ${first}`, exact: true }).click();
  await assertSoon(one, async () => (await kept(one)) === `${passesAt(50)} of 50`, "the sheet does not go on");
  assert.equal(await rung(one), first);
  sheet = await endSet(one);
  await sheet.getByRole("button", { name: "Take the pass" }).click();
  const on = sheet.getByRole("button", { name: /^Rung / });
  const next = /^Rung ([\d.]+)$/.exec(await on.textContent())[1];
  assert.ok(Number(next) > Number(first), next);
  assert.match(await sheet.textContent(), new RegExp(`at rung ${next}\\.`));
  await on.click();
  await assertSoon(one, async () => (await rung(one)) === next, "it does not go on at that rung");
  // tests/reference/promotion_table.csv, row 50: 13 or fewer step back.
  await count(one, 13, 50);
  sheet = await endSet(one);
  await sheet.getByRole("button", { name: "Step back" }).click();
  await sheet.getByRole("button", { name: `Rung ${Number(next) - 1}`, exact: true }).waitFor();
});

test("a visit is not ended over a pass that nobody was asked about", async (t) => {
  const one = await proof(t);
  await count(one, passesAt(50), 50);
  await button(one, "Leave").click();
  await button(one, "End the visit").click();
  const sheet = one.getByRole("dialog", { name: "End the visit" });
  await sheet.getByRole("button", { name: "End the visit" }).click();
  assert.match(await sheet.getByRole("alert").textContent(), /has passed, at \d+ of 50: end the set first/);
  await one.keyboard.press("Escape");
  await button(one, "Go on scoring").click();
  await endSet(one).then((ended) => ended.getByRole("button", { name: "Take the pass" }).waitFor());
});

test("another corner and a constraint begin sets of their own, at once", async (t) => {
  const { page: one, address } = await page(t);
  await toTheTable(one, address);
  await computed(one);
  await press(one, MADE, 2);
  await button(one, "More").click();
  await button(one, "Mirrored").click();
  await assertSoon(one, async () => (await kept(one)) === "0 of 0", "no set begins at the other corner");
  await press(one, LEFT);
  await computed(one);
  await button(one, "More").click();
  const sheet = one.getByRole("dialog", { name: "More" });
  assert.equal(await button(sheet, "Mirrored").getAttribute("aria-pressed"), "true");
  await button(sheet, "3 in a row").click();
  await sheet.getByText(/^What it costs: /).waitFor({ timeout: 60_000 });
  const [before, after] = (await sheet.locator(".price .odds").textContent()).match(/\d\.\d+/g).map(Number);
  assert.ok(Math.abs(after - before ** 3) < 0.02, `${before} to ${after}`);
  await button(sheet, "Put on").click();
  await assertSoon(one, async () => (await kept(one)) === "0 of 0", "no set begins under the constraint");
  await one.getByText(/3 in a row/).first().waitFor();
  // What is shown is the chance of each attempt, and says so.
  await computed(one);
  assert.match(await one.locator(".chance").textContent(), / each$/);
  const sets = (await exportedAfter(one)).filter(({ kind }) => kind === "set_began");
  assert.deepEqual(sets.map(({ body }) => body.task.setup ?? "given"), ["given", "mirrored", "mirrored"]);
});

async function exportedAfter(one) {
  await button(one, "Leave").click();
  return exported(one);
}

test("each purpose has a block of its own, and its clock", async (t) => {
  const { page: one, address } = await page(t);
  await firstVisit(one, address);
  const start = one.getByRole("button", { name: /^Start: drill work, \d+ min$/ });
  await start.waitFor({ timeout: 60_000 });
  const minutes = /(\d+) min/.exec(await start.textContent())[1];
  await start.click();
  await button(one, MADE).waitFor();
  await one.getByText(`of ${minutes} · visit`).waitFor();
  await press(one, MADE);
  await button(one, "Leave").click();
  await button(one, "Test").click();
  await one.getByRole("button", { name: /^Start: test/ }).click();
  await one.getByText(/^Proof\. /).waitFor();
  await press(one, MADE);
  await button(one, "Leave").click();
  await button(one, "Match play").click();
  await one.getByRole("button", { name: /^Start: match play/ }).click();
  await one.getByText(/^Visit for match play/).waitFor();
  const blocks = (await exported(one)).filter(({ kind }) => kind === "block_began");
  assert.deepEqual(blocks.map(({ body }) => body.purpose), ["drill_work", "test", "match_play"]);
});

test("after a tap, the keys of a page-turner are attempts and not that button again", async (t) => {
  const { page: one, address } = await page(t);
  await toTheTable(one, address);
  await computed(one);
  await press(one, LEFT);
  await one.keyboard.press("Space");
  await assertSoon(one, async () => (await kept(one)) === "1 of 2", `Space after Missed left: ${await kept(one)}`);
  await button(one, "More").click();
  await button(one, "Close").click();
  await one.waitForFunction(() => !document.activeElement.closest("dialog, button"));
  await one.keyboard.press("Enter");
  await assertSoon(one, async () => (await kept(one)) === "2 of 3", `Enter after More: ${await kept(one)}`);
  assert.equal(await one.getByRole("dialog").count(), 0);
});

test("the screen is kept awake by one lock while a set is open at the table, and by none afterwards", async (t) => {
  const { page: one, address } = await page(t);
  await one.addInitScript(() => {
    window.held = new Set();
    window.asked = 0;
    const wakeLock = {
      async request() {
        window.asked++;
        const lock = { released: false, async release() { this.released = true; window.held.delete(this); } };
        window.held.add(lock);
        return lock;
      },
    };
    Object.defineProperty(navigator, "wakeLock", { value: wakeLock });
  });
  const held = () => one.evaluate(() => window.held.size);
  await toTheTable(one, address);
  await computed(one);
  await press(one, MADE, 3);
  assert.equal(await held(), 1);
  await button(one, "Leave").click();
  await heading(one, "What are you here for?").waitFor();
  await assertSoon(one, async () => (await held()) === 0, "it stays awake away from the table");
  await button(one, "Go on scoring").click();
  await assertSoon(one, async () => (await held()) === 1, "it does not stay awake");
  // A browser lets go when the page is hidden; it is asked again when it comes back.
  await one.evaluate(() => {
    for (const lock of window.held) lock.released = true;
    window.held.clear();
    document.dispatchEvent(new Event("visibilitychange"));
  });
  await assertSoon(one, async () => (await held()) === 1, "it does not stay awake after coming back");
  await endSet(one).then((sheet) => sheet.getByRole("button", { name: "Back to Today" }).click());
  await assertSoon(one, async () => (await held()) === 0, "it stays awake after the set");
});

test("bounds of speed and a ball in the way are priced, put on, set up, and taken off again", async (t) => {
  const { page: one, address } = await page(t);
  await toTheTable(one, address);
  await computed(one);
  const priced = async (of, values) => {
    await button(one, "More").click();
    const sheet = one.getByRole("dialog", { name: "More" });
    const summary = sheet.getByText(of, { exact: true });
    if (!(await summary.evaluate((summary) => summary.parentElement.open))) await summary.click();
    const form = sheet.locator("details", { hasText: of }).locator("form");
    for (const [label, value] of Object.entries(values)) await form.getByLabel(label).fill(value);
    await button(form, "What it costs").click();
    return sheet;
  };
  let sheet = await priced("A ball in the way", { "Diamonds from head": "4", "Diamonds from right": "" });
  assert.match(await sheet.getByRole("alert").textContent(), /takes both numbers/);
  await one.keyboard.press("Escape");
  sheet = await priced("A ball in the way", { "Diamonds from head": "4", "Diamonds from right": "2,5" });
  await button(sheet, "Put on").click({ timeout: 60_000 });
  await assertSoon(one, async () => (await kept(one)) === "0 of 0", "no set begins with the ball in the way");
  await computed(one);
  await one.locator("p", { hasText: /does not touch the blocker 1/ }).waitFor();
  assert.deepEqual(await one.locator(".places .disc").evaluateAll((discs) => discs.map((disc) => disc.textContent)), ["", "1", "b1"]);
  await one.getByText(/^0\.\d+ without that$/).waitFor();
  // Bounds about the speed that is intended now.
  sheet = await priced("Bounds of speed", {});
  await button(sheet, "Put on").click({ timeout: 60_000 });
  const about = one.locator(".heading p");
  await assertSoon(one, async () => / m\/s$/.test(await about.textContent()), "the bounds are not shown");
  await computed(one);
  for (const [gone, told] of [[/^Take off: a blocker/, /blocker/], [/^Take off: .* m\/s$/, / m\/s$/]]) {
    assert.match(await about.textContent(), told);
    await button(one, "More").click();
    await one.getByRole("button", { name: gone }).click();
    await assertSoon(one, async () => !told.test(await about.textContent()), "it was not taken off");
    await computed(one);
  }
  await button(one, "More").click();
  assert.equal(await one.getByRole("button", { name: /^Take off/ }).count(), 0);
  await one.keyboard.press("Escape");
  const sets = (await exportedAfter(one)).filter(({ kind }) => kind === "set_began");
  const under = sets.map(({ body }) => body.task.constraints ?? "");
  assert.match(under.join(" | "), /^ \| blocker at 4\/2\.5 \| speed \S+ to \S+; blocker at 4\/2\.5 \| speed \S+ to \S+ \| $/);
});

test("a table card takes what was measured, in either unit, and asks before it goes", async (t) => {
  const { page: one, address } = await page(t);
  await firstVisit(one, address);
  await go(one, "Setup");
  const card = one.locator(".table-card");
  const open = async () => {
    if (!(await card.getByLabel("What you call it").isVisible())) await card.locator("> summary").click();
    for (const part of ["Mouths of the pockets", "One by one", "Speed of the cloth", "Rebound of the rails", "An odd cue ball"]) {
      const summary = card.getByText(part, { exact: true });
      if (!(await summary.evaluate((summary) => summary.parentElement.open))) await summary.click();
    }
  };
  const saved = async (says) => {
    await button(card, "Save").click();
    await one.getByText(says).first().waitFor();
    await button(one, "Close").click();
  };
  await open();
  await card.getByLabel("All corners, mm").fill("114,3");
  await card.getByLabel("Foot, left").fill("2+3.5");
  await card.getByLabel("It went, m").fill("2.54");
  await button(card, "Save").click();
  await one.getByText(/takes both numbers/).waitFor();
  assert.equal(await card.getByLabel("All corners, mm").inputValue(), "114,3");
  await card.getByLabel("Seconds").first().fill("7.2");
  await card.getByLabel("Mark to nose, m").fill("1.27");
  await card.getByLabel("Seconds").nth(1).fill("1.6");
  await card.getByLabel("Back, m").fill("1");
  await card.getByLabel("Diameter, mm").fill("57.15");
  await card.getByLabel("Weight, g").fill("180");
  await card.getByLabel("Potted balls").selectOption({ label: "are kept until paid for again" });
  await saved("Saved.");
  await one.getByLabel("Inches and miles an hour").check();
  await one.locator("form").first().getByRole("button", { name: "Save" }).click();
  await card.getByLabel("All corners, in").waitFor({ state: "attached" });
  await open();
  // WPA's corner mouth and ball: 4.5 in, 2.25 in.
  assert.equal(await card.getByLabel("Head, left").inputValue(), "4.5");
  assert.equal(await card.getByLabel("Foot, left").inputValue(), "2+0.1378");
  assert.equal(await card.getByLabel("Diameter, in").inputValue(), "2.25");
  await card.getByLabel("Where it stands").fill("the cellar");
  await saved("Saved.");
  // What is out of range is said in the units of the form.
  await card.getByLabel("Mark to nose, in").fill("-3");
  await button(card, "Save").click();
  await one.getByText("From the mark to the nose is -3 in; it must be 11.81 to 98.03 in.").waitFor();
  await card.getByLabel("Mark to nose, in").fill("50");
  // The only table stays; another one may go once no set is open on it.
  const retire = async () => {
    await button(card, "No longer offer it").first().click();
    const sheet = one.getByRole("dialog", { name: "No longer offer it" });
    await sheet.getByText(/stays on record/).waitFor();
    await button(sheet, "No longer offer it").click();
  };
  await retire();
  await one.getByText("It is the only table: add another one first.").waitFor();
  const cards = (await exported(one)).filter(({ kind }) => kind.startsWith("card_"));
  assert.equal(cards.some(({ kind }) => kind === "card_retired" && cards.length === 2), false);
  const last = cards.filter(({ kind }) => kind !== "card_retired").at(-1).body.card;
  assert.deepEqual(last.mouths["foot-left"], { fit: { balls: 2, room_mm: 3.5 } });
  assert.deepEqual([last.cloth, last.rails, last.potted, last.place], [
    { distance_m: 2.54, seconds: 7.2 }, { away_m: 1.27, seconds: 1.6, back_m: 1 }, "kept", "the cellar",
  ]);
});
