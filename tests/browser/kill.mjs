// Kills in the middle of quick taps: what was confirmed is there, and nothing that was not tapped.
// LONGRAIL_KILLS says how many; `cargo xtask soak kills` takes more.

import assert from "node:assert/strict";
import { test } from "node:test";
import { setTimeout } from "node:timers/promises";

import { button, kept, toTheTable } from "./help/app.mjs";
import { launch, processes } from "./help/browser.mjs";
import { folder } from "./help/place.mjs";
import { serve } from "./help/server.mjs";

const KILLS = Number(process.env.LONGRAIL_KILLS ?? 20);
/** From the first tap to the kill, at most. */
const LONGEST_MS = 700;

/** Ways to end, and how much of the browser each takes along. */
const WAYS = {
  /** The page's process fails. */
  "the page crashes": async (page) => {
    const crashed = page.waitForEvent("crash");
    const session = await page.context().newCDPSession(page);
    session.send("Page.crash").catch(() => {});
    await crashed;
  },
  /** Every page's process is killed from outside, as by a system that is short of memory. */
  "the renderer is killed": async (page) => {
    const crashed = page.waitForEvent("crash");
    for (const id of await processes(page.context(), "renderer")) process.kill(id, "SIGKILL");
    await crashed;
  },
  /** The browser with all its processes is killed. */
  "the browser is killed": async (page) => {
    const closed = page.context().waitForEvent("close");
    const [id] = await processes(page.context(), "browser");
    process.kill(id, "SIGKILL");
    await closed;
  },
};

/** The same numbers each time, as a failure must be found again: a linear congruential generator. */
function random(seed) {
  let state = seed;
  return () => (state = (1_103_515_245 * state + 12_345) % 2 ** 31) / 2 ** 31;
}

test(`${KILLS} kills in the middle of quick taps`, async (t) => {
  const { address } = await serve(t);
  const profile = folder(t, "profile");
  const chance = random(20_261_128);
  let context = await launch(t, { profile, errors: "expected" });
  let page = context.pages()[0];
  await toTheTable(page, address);

  // What the page shows as confirmed is told as soon as it is shown.
  let confirmed = 0;
  const listen = async () => {
    await context.exposeBinding("confirmed", (_, tried) => (confirmed = Math.max(confirmed, tried)));
    await context.addInitScript(() => {
      new MutationObserver(() => {
        const shown = document.querySelector(".tally:not(.waits)");
        if (shown) window.confirmed(Number(shown.textContent.match(/\d+/g)[1]));
      }).observe(document, { subtree: true, childList: true, characterData: true, attributeFilter: ["class"] });
    });
  };
  await listen();
  await page.reload();
  await button(page, "Made").waitFor();

  let [base, lost, caught] = [0, 0, 0];
  const names = Object.keys(WAYS);
  for (let round = 0; round < KILLS; round++) {
    const way = names[round % names.length];
    confirmed = base;
    let tapped = 0;
    let stopped = false;
    const taps = (async () => {
      while (!stopped) {
        tapped++;
        await page.keyboard.press("PageDown");
      }
    })().catch(() => {});
    await setTimeout(chance() * LONGEST_MS);
    await WAYS[way](page);
    stopped = true;
    await taps;
    const upper = base + tapped;
    const lower = confirmed;
    if (context.browser()?.isConnected()) {
      await page.close();
      page = await context.newPage();
    } else {
      context = await launch(t, { profile, errors: "expected" });
      await listen();
      page = context.pages()[0];
    }
    await page.goto(`${address}#/table`);
    await button(page, "Made").waitFor();
    const [made, tried] = (await kept(page)).split(" of ").map(Number);
    const says = `${way}, round ${round}: ${tried} on record, ${lower} were confirmed and ${upper} tapped`;
    assert.ok(lower <= tried && tried <= upper, says);
    assert.equal(made, tried, says);
    if (tried < upper) lost++;
    if (lower > base) caught++;
    base = tried;
  }
  t.diagnostic(`${KILLS} kills; in ${lost} a tap that was not confirmed was lost, in ${caught} some were confirmed before`);
  assert.ok(caught > 0, "no kill came after a confirmed tap: the test tests nothing");
});
