// Setup: tables that are measured bit by bit, and what is typed meanwhile.

import assert from "node:assert/strict";
import { test } from "node:test";

import { LEFT, MADE, assertSoon, begin, button, exported, firstVisit, go, press, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

async function page(t) {
  const { address } = await serve(t);
  return { page: (await launch(t)).pages()[0], address };
}

/** A table's card, unfolded, with the speed of its cloth. */
async function cloth(page, name) {
  const card = page.locator(".table-card", { hasText: name });
  if (!(await card.evaluate((card) => card.open))) await card.locator("> summary").click();
  const part = card.locator(".part", { hasText: "Speed of the cloth" });
  if (!(await part.evaluate((part) => part.open))) await part.locator("summary").click();
  const field = (label) => card.getByRole("textbox", { name: label });
  return { card, way: field("It went, m"), seconds: part.getByRole("textbox", { name: "Seconds" }) };
}

async function add(page, name) {
  await button(page, "Add a table").click();
  const sheet = page.getByRole("dialog", { name: "Add a table" });
  await sheet.getByRole("textbox", { name: "What you call it" }).fill(name);
  await sheet.getByRole("button", { name: "Save" }).click();
  await sheet.waitFor({ state: "hidden" });
  await page.getByText(`${name} (in use)`).waitFor();
}

test("what is typed of a table stays while it is put in use and while another one is saved", async (t) => {
  const { page: one, address } = await page(t);
  await firstVisit(one, address);
  await go(one, "Setup");
  await add(one, "Hall");
  const first = await cloth(one, "Table 1");
  await first.way.fill("2.54");
  await first.seconds.fill("7.2");
  await first.card.getByRole("button", { name: "Use", exact: true }).click();
  await one.getByText("Table 1 (in use)").waitFor();
  assert.deepEqual([await first.way.inputValue(), await first.seconds.inputValue()], ["2.54", "7.2"]);
  const second = await cloth(one, "Hall");
  await second.way.fill("2.54");
  await second.seconds.fill("6");
  await second.card.getByRole("button", { name: "Save" }).click();
  await one.getByText("Saved.").waitFor();
  assert.deepEqual([await first.way.inputValue(), await first.seconds.inputValue()], ["2.54", "7.2"]);
  // What is wrong with the next is told without what was said of the last.
  await first.way.fill("fast");
  await first.card.getByRole("button", { name: "Save" }).click();
  await one.getByRole("alert").waitFor();
  assert.equal(await one.getByText("Saved.").count(), 0);
});

test("a table that was measured late is another one with another cloth, once no set is open on it", async (t) => {
  const { page: one, address } = await page(t);
  await toTheTable(one, address);
  await press(one, MADE);
  await button(one, "Leave").click();
  await go(one, "Setup");
  const save = async (seconds) => {
    const { card, way, seconds: field } = await cloth(one, "Table 1");
    await way.fill("2.54");
    await field.fill(seconds);
    await card.getByRole("button", { name: "Save" }).click();
  };
  await save("7.2");
  await one.getByText("Saved.", { exact: true }).waitFor();
  await save("5");
  await one.getByText("A set is open on it: end that set first.").waitFor();
  await go(one, "Today");
  await begin(one).catch(() => button(one, "Go on scoring").click());
  await press(one, LEFT);
  await button(one, "More").click();
  await button(one, "End the set").click();
  await button(one, "Back to Today").click();
  await go(one, "Setup");
  await save("5");
  await one.getByText(/^Saved as another table/).waitFor();
  const kinds = (await exported(one)).map(({ kind }) => kind).filter((kind) => kind.startsWith("card_"));
  assert.deepEqual(kinds, ["card_added", "card_changed", "card_retired", "card_added"]);
});

test("what was chosen under another rung stays while ladders arrive, and is what begins", async (t) => {
  const { page: one, address } = await page(t);
  await firstVisit(one, address);
  await go(one, "Ladders");
  const ladder = one.locator(".ladder").first();
  await ladder.getByText("Another rung").click();
  const field = (name) => ladder.getByRole("combobox", { name });
  await field("Rung").selectOption("4");
  await field("Warm-up attempts first").selectOption("5");
  // A dozen of them arrive, one after the other.
  await assertSoon(one, async () => (await one.locator(".ladder .odds").count()) > 4, "no ladders arrive", 60_000);
  assert.deepEqual([await field("Rung").inputValue(), await field("Warm-up attempts first").inputValue()], ["4", "5"]);
  await ladder.getByRole("button", { name: /^Work: Another rung/ }).click();
  await one.locator("h1", { hasText: "rung 4" }).waitFor();
  await one.getByText("5 of the warm-up to come").waitFor();
});
