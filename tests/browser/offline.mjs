// Without a network: after one load nothing needs it any more.

import assert from "node:assert/strict";
import { test } from "node:test";

import { LEFT, MADE, begin, button, endSet, firstVisit, go, heading, kept, keptForUse, press, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

/** Chromium says so of requests that it expects to fail here, such as the look for a newer version. */
const OFFLINE = { errors: "expected" };

/** In the middle of a set: the page is loaded anew, scored on and ended, and every screen is there. */
async function goOn(page) {
  const before = await kept(page);
  await page.reload();
  await button(page, MADE).waitFor();
  assert.equal(await kept(page), before);
  await press(page, MADE, 2);
  await press(page, LEFT);
  const [made, tried] = before.split(" of ").map(Number);
  assert.equal(await kept(page), `${made + 2} of ${tried + 3}`);
  const sheet = await endSet(page);
  await sheet.getByText(`Made ${made + 2} of ${tried + 3}`).waitFor();
  await sheet.getByRole("button", { name: "Back to Today" }).click();
  for (const screen of ["Ladders", "Evidence", "Setup", "Table", "Today"]) {
    await go(page, screen);
  }
  assert.equal(await page.getByRole("alert").count(), 0);
}

test("a load in the middle of a set, with no network: the tally is there, and the set goes on to its end", async (t) => {
  const { address } = await serve(t);
  const context = await launch(t, OFFLINE);
  const page = context.pages()[0];
  await toTheTable(page, address);
  await press(page, MADE, 3);
  await press(page, LEFT);
  await keptForUse(page);
  await context.setOffline(true);
  await goOn(page);
});

test("a whole first visit and set without a network, after one load with it", async (t) => {
  const server = await serve(t);
  const context = await launch(t, OFFLINE);
  const page = context.pages()[0];
  await page.goto(server.address);
  await button(page, "Go on").waitFor();
  await keptForUse(page);
  await context.setOffline(true);
  await server.kill();
  await firstVisit(page, server.address);
  await begin(page);
  await press(page, MADE, 4);
  await goOn(page);
});

test("with the server gone, and the browser started anew, everything is there", async (t) => {
  const server = await serve(t);
  const first = await launch(t, OFFLINE);
  await toTheTable(first.pages()[0], server.address);
  await press(first.pages()[0], MADE, 5);
  await keptForUse(first.pages()[0]);
  await first.close();
  await server.kill();
  const page = (await launch(t, { ...OFFLINE, profile: first.profile })).pages()[0];
  await page.goto(server.address);
  await button(page, "Go on scoring").click();
  assert.equal(await kept(page), "5 of 5");
  await goOn(page);
  for (const screen of ["Ladders", "Evidence", "Setup", "Table"]) {
    await go(page, screen);
    await page.reload();
    await go(page, screen);
  }
  // An address with a place in it leads there, as from the server.
  await page.goto(`${server.address}ladders`);
  await heading(page, "Ladders").waitFor();
});
