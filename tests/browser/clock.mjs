// A device's clock that is years off, and comes back: attempts keep their order.
//
// The workers take the time from the browser, which cannot be told another one; the host under test hands out a worker
// whose clock can be shifted while it runs.

import assert from "node:assert/strict";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { LEFT, MADE, UNDO, button, computed, endSet, endVisit, firstVisit, go, kept, press, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { folder, longrail } from "./help/place.mjs";
import { host } from "./help/server.mjs";

const YEAR_MS = 365.25 * 86_400_000;

/** Runs before the scripts of page and workers; both hear of a shift by a channel. */
const SHIFTED = `
let shift = 0;
const Real = Date;
globalThis.Date = class extends Real {
  constructor(...parts) {
    super(...(parts.length > 0 ? parts : [Real.now() + shift]));
  }
  static now() {
    return Real.now() + shift;
  }
};
new BroadcastChannel("shift").onmessage = event => (shift = event.data);
`;

async function shifted(t) {
  const files = join(folder(t, "app"), "files");
  longrail(folder(t, "home"), "app", "export", files);
  const script = join(files, "worker.js");
  writeFileSync(script, SHIFTED + readFileSync(script, "utf8"));
  for (const packed of [".br", ".gz"]) rmSync(script + packed);
  const { address } = await host(t, files, "app");
  const page = (await launch(t)).pages()[0];
  await page.addInitScript({ content: SHIFTED });
  const shift = async (years) => {
    await page.evaluate((by) => {
      const channel = new BroadcastChannel("shift");
      channel.postMessage(by);
      channel.close();
    }, years * YEAR_MS);
    // The worker hears of it at about the time when the page does.
    await page.waitForFunction((there) => Math.abs(Date.now() - there) < 60_000, Date.now() + years * YEAR_MS);
    await page.waitForTimeout(100);
  };
  return { address, page, shift };
}

test("the clock goes three years ahead and back in the middle of a set: order, tally and undo hold", async (t) => {
  const { address, page, shift } = await shifted(t);
  await toTheTable(page, address);
  await computed(page);
  await press(page, MADE, 2);
  await shift(3);
  await press(page, LEFT);
  await press(page, MADE);
  await shift(-10);
  await press(page, LEFT);
  assert.equal(await kept(page), "3 of 5");
  // Undo takes back what was entered last, not what seems the latest.
  await press(page, UNDO);
  await page.getByText("Took back:").waitFor();
  assert.equal(await kept(page), "3 of 4");
  await press(page, UNDO);
  assert.equal(await kept(page), "2 of 3");
  await press(page, MADE);
  await shift(0);
  await press(page, UNDO, 2);
  assert.equal(await kept(page), "2 of 2");
  await press(page, MADE, 2);
  await page.reload();
  assert.equal(await kept(page), "4 of 4");
  await press(page, UNDO);
  const sheet = await endSet(page);
  await sheet.getByText("Made 3 of 3").waitFor();
  await sheet.getByRole("button", { name: "Back to Today" }).click();
  // On record, the stamps rise from each event to the next, whatever the clock said.
  await go(page, "Setup");
  const saved = page.waitForEvent("download");
  await button(page, "Save a backup file").click();
  const events = readFileSync(await (await saved).path(), "utf8").trimEnd().split("\n").map((line) => JSON.parse(line));
  events.sort((a, b) => a.sequence - b.sequence);
  events.slice(1).forEach(({ clock, sequence }, index) => {
    const before = events[index].clock;
    assert.ok(clock.ms > before.ms || (clock.ms === before.ms && clock.count > before.count), `event ${sequence}: ${JSON.stringify([before, clock])}`);
  });
  const years = events.map(({ wall }) => new Date(wall.ms).getFullYear());
  assert.ok(Math.max(...years) >= new Date().getFullYear() + 2, "the clock was not ahead");
});

test("a visit begun with the clock years ahead can be ended and gone on with when the clock is right", async (t) => {
  const { address, page, shift } = await shifted(t);
  await firstVisit(page, address);
  await shift(5);
  await page.getByRole("button", { name: /^(Start:|Begin: )/ }).first().click();
  await button(page, MADE).waitFor();
  await press(page, MADE, 3);
  await shift(0);
  await press(page, LEFT);
  assert.equal(await kept(page), "3 of 4");
  const sheet = await endSet(page);
  await sheet.getByText("Made 3 of 4").waitFor();
  await sheet.getByRole("button", { name: "Back to Today" }).click();
  await endVisit(page);
  // The clock was indeed ahead.
  await go(page, "Evidence");
  const year = new Date().getFullYear();
  await page.getByText(new RegExp(`^${year + 5}-|^${year + 4}-`)).first().waitFor();
  await go(page, "Today");
  await page.getByRole("button", { name: /^(Start:|Begin: )/ }).first().click();
  await button(page, MADE).waitFor();
  await press(page, MADE);
  assert.equal(await kept(page), "1 of 1");
  await endSet(page).then((again) => again.getByRole("button", { name: "Back to Today" }).click());
  await go(page, "Evidence");
  assert.equal(await page.getByRole("alert").count(), 0);
});

test("a visit that was left can be gone on with, says so, and ends when the next begins", async (t) => {
  const { address, page, shift } = await shifted(t);
  await toTheTable(page, address);
  await press(page, MADE, 3);
  await shift(1 / 365.25);
  await button(page, "Leave").click();
  await page.getByText("A visit was left open.").waitFor();
  await button(page, "Go on scoring").click();
  await page.getByText("nothing was noted here for half a day").waitFor();
  assert.equal(await kept(page), "3 of 3");
  await press(page, LEFT);
  assert.equal(await kept(page), "3 of 4");
  assert.equal(await page.getByText("nothing was noted here").count(), 0);
  // Left once more: what begins then is another visit.
  await shift(2 / 365.25);
  await button(page, "Leave").click();
  await page.getByText("A visit was left open.").waitFor();
  await page.getByRole("button", { name: /^(Start:|Begin: )/ }).first().click();
  await button(page, MADE).waitFor();
  assert.equal(await kept(page), "0 of 0");
});
