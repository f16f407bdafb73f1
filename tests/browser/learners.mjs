// Learners who share a table and a device: everything is whose turn it is.

import assert from "node:assert/strict";
import { test } from "node:test";

import { LEFT, MADE, UNDO, assertSoon, button, computed, endSet, endVisit, exported, go, kept, press, presses, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

/** Ann joins the set of whoever holds the device. */
async function two(t) {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await toTheTable(page, address);
  await computed(page);
  await button(page, "Leave").click();
  await go(page, "Setup");
  await page.getByRole("textbox", { name: "Add a player" }).fill("Ann");
  await page.getByRole("textbox", { name: "Add a player" }).press("Enter");
  // Somebody new is in use, and stands at the same table.
  const name = page.getByRole("textbox", { name: "Name", exact: true });
  await assertSoon(page, async () => (await name.inputValue()) === "Ann", "the form is not that of whoever is in use");
  await page.getByText("Table 1 (in use)").waitFor();
  await button(page, "Use Me").click();
  await page.getByRole("listitem").filter({ hasText: "Me" }).getByText("in use").waitFor();
  await assertSoon(page, async () => (await name.inputValue()) === "Me", "the form is not that of whoever is in use");
  await go(page, "Today");
  await button(page, "Go on scoring").click();
  await button(page, "More").click();
  await page.getByRole("group", { name: "Who joins" }).getByRole("button", { name: "Ann" }).click();
  await page.locator(".turn", { hasText: "Ann shoots" }).waitFor();
  return page;
}

const shown = (page, who, tally) =>
  assertSoon(
    page,
    async () => (await page.locator(".turn", { hasText: `${who} shoots` }).count()) > 0 && (await kept(page)) === tally,
    `it does not come to ${who} with ${tally}`,
  );

const turns = async (page, words) => {
  await button(page, "More").click();
  await page.getByRole("group", { name: "Take turns" }).getByRole("button", { name: words }).click();
  await page.keyboard.press("Escape");
  await page.waitForFunction(() => !document.activeElement.closest("dialog, button"));
};

test("turns: quick taps count for whose turn it is, and undo goes back to whoever shot last", async (t) => {
  const page = await two(t);
  await turns(page, "Each attempt");
  // Ann makes all of hers, the other none, faster than anything is kept.
  await presses(page, "mlmlml");
  await shown(page, "Ann", "3 of 3");
  await press(page, UNDO);
  await shown(page, "Me", "0 of 2");
  await press(page, LEFT);
  await shown(page, "Ann", "3 of 3");
  // Turns outlive a look at another screen.
  await button(page, "Leave").click();
  await button(page, "Go on scoring").click();
  await shown(page, "Ann", "3 of 3");
  await press(page, MADE);
  await shown(page, "Me", "0 of 3");
});

test("undo goes back attempt by attempt, whoever's they were, and turns outlive a page that is loaded again", async (t) => {
  const page = await two(t);
  await turns(page, "Each attempt");
  await presses(page, "mlm");
  await shown(page, "Me", "0 of 1");
  await press(page, UNDO);
  await shown(page, "Ann", "1 of 1");
  await press(page, UNDO);
  await shown(page, "Me", "0 of 0");
  await page.reload();
  await shown(page, "Me", "0 of 0");
  await press(page, MADE);
  await shown(page, "Ann", "1 of 1");
  // Whoever shot last sees that it counted.
  await page.locator(".turn", { hasText: "Me 1 of 1" }).waitFor();
});

test("corner, end and next set are those of whoever shoots; all go home together", async (t) => {
  const page = await two(t);
  await press(page, MADE, 2);
  await button(page, "More").click();
  await button(page, "Mirrored").click();
  await shown(page, "Ann", "0 of 0");
  await press(page, MADE);
  await computed(page);
  const sheet = await endSet(page);
  await sheet.getByText(/^Made 1 of 1 /).waitFor();
  await sheet.getByRole("button", { name: /^(Again: rung|Rung) / }).click();
  await shown(page, "Ann", "0 of 0");
  await press(page, LEFT);
  await button(page, "Leave").click();
  await endVisit(page);
  const events = await exported(page);
  const name = (id) => events.findLast(({ kind, player }) => kind === "profile_changed" && player === id).body.profile.name;
  const of = (kind) => events.filter((event) => event.kind === kind);
  assert.deepEqual(of("session_ended").map(({ player }) => name(player)).sort(), ["Ann", "Me"]);
  const hers = of("attempt").filter(({ player }) => name(player) === "Ann");
  assert.equal(hers.length, 4);
  // What was entered for her is marked so.
  assert.ok(hers.every(({ author, player }) => author !== player && name(author) === "Me"));
});
