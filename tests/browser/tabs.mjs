// Two windows of one profile score the same set.

import assert from "node:assert/strict";
import { test } from "node:test";

import { LEFT, MADE, UNDO, assertSoon, button, computed, endSet, heading, kept, press, presses, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

async function two(t) {
  const { address } = await serve(t);
  const context = await launch(t);
  const one = context.pages()[0];
  await toTheTable(one, address);
  await computed(one);
  const other = await context.newPage();
  await other.goto(`${address}#/table`);
  await button(other, MADE).waitFor();
  return [one, other];
}

const both = (pages, tally) =>
  Promise.all(pages.map((page, number) => assertSoon(page, async () => (await kept(page)) === tally, `window ${number + 1} does not come to ${tally}`)));

test("taps in turn and at the same time, in two windows: each shows what both have scored, and none is lost", async (t) => {
  const pages = await two(t);
  const [one, other] = pages;
  let [made, tried] = [0, 0];
  for (let turn = 0; turn < 5; turn++) {
    await press(one, MADE);
    [made, tried] = [made + 1, tried + 1];
    await both(pages, `${made} of ${tried}`);
    await press(other, LEFT);
    tried++;
    await both(pages, `${made} of ${tried}`);
  }
  // What one entered, the other takes back.
  await press(one, UNDO);
  await both(pages, `${made} of ${tried - 1}`);
  await press(other, UNDO);
  [made, tried] = [made - 1, tried - 2];
  await both(pages, `${made} of ${tried}`);
  await Promise.all([presses(one, "mml".repeat(10)), presses(other, "mlm".repeat(10))]);
  const all = `${made + 40} of ${tried + 60}`;
  await both(pages, all);
  await one.reload();
  await both(pages, all);
  const sheet = await endSet(other);
  await sheet.getByText(`Made ${all}`).waitFor();
});

test("one window ends the set while the other taps: the other is told, and everything confirmed counts", async (t) => {
  const [one, other] = await two(t);
  await press(one, MADE, 2);
  await button(one, "More").click();
  const end = await button(one, "End the set").elementHandle();
  const taps = async () => {
    for (let tap = 0; tap < 30; tap++) await other.keyboard.press("PageDown");
  };
  await Promise.all([taps(), end.evaluate((button) => button.click())]);
  const sheet = one.getByRole("dialog", { name: "The set" });
  const [, made, tried] = /^Made (\d+) of (\d+)/.exec(await sheet.getByRole("paragraph").first().textContent()).map(Number);
  assert.ok(tried >= 2 && made === tried, `${made} of ${tried}`);
  await t.test("the other window's table is empty", () => heading(other, "No set is open.").waitFor({ timeout: 3_000 }));
  // Whichever was on its way is refused with a word, and the window goes on.
  await other.getByRole("link", { name: "Today", exact: true }).first().click();
  await heading(other, "What are you here for?").waitFor();
  await sheet.getByRole("button", { name: "Back to Today" }).click();
  await other.getByRole("navigation").getByRole("link", { name: "Evidence" }).click();
  await other.getByText(`: ${made} of ${tried} made`).waitFor();
});

test("sheets stay open while the other window scores", async (t) => {
  const [one, other] = await two(t);
  await t.test("More", async () => {
    await button(one, "More").click();
    await one.getByRole("textbox", { name: "Made", exact: true }).fill("3");
    await press(other, MADE);
    await both([one], "1 of 1");
    assert.ok(await one.getByRole("dialog", { name: "More" }).isVisible(), "the sheet has closed by itself");
    assert.equal(await one.getByRole("textbox", { name: "Made", exact: true }).inputValue(), "3");
  });
  await t.test("the end of a visit", async () => {
    await one.keyboard.press("Escape");
    await button(one, "Leave").click();
    await button(one, "End the visit").click();
    const line = one.getByRole("dialog").getByRole("textbox", { name: "One line on it" });
    await line.fill("The long ones went.");
    const tally = await kept(other);
    await press(other, MADE);
    await assertSoon(one, async () => (await one.getByText(`: ${tally}`).count()) === 0, "Today does not hear of the tap");
    assert.ok(await line.isVisible(), "the sheet has closed by itself");
    assert.equal(await line.inputValue(), "The long ones went.");
  });
});

test("a tap in a window that has not heard of the set's end yet is refused, and says so", async (t) => {
  const [one, other] = await two(t);
  await press(other, MADE);
  // The other window hears nothing, as one that slept.
  await other.evaluate(() => {
    window.held = [];
    const { postMessage } = Worker.prototype;
    Worker.prototype.postMessage = function (message) {
      if (window.held) window.held.push(() => postMessage.call(this, message));
      else postMessage.call(this, message);
    };
  });
  await button(other, MADE).click();
  const sheet = await endSet(one);
  await sheet.getByText("Made 1 of 1").waitFor();
  await other.evaluate(() => {
    const { held } = window;
    window.held = null;
    for (const send of held) send();
  });
  await other.getByRole("alert").waitFor();
  assert.match(await other.getByRole("alert").textContent(), /set/);
  await t.test("its table is empty", () => heading(other, "No set is open.").waitFor({ timeout: 3_000 }));
});
