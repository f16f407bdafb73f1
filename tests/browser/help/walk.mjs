// A walk through every screen and every sheet.

import { LEFT, MADE, UNSEEN, begin, button, computed, count, endSet, go, heading, press, presses } from "./app.mjs";

/**
 * Goes to each and looks at it. `look` gets its name and a way to open it again, if it is a sheet that closed while it was
 * looked at. The names are those of the pictures.
 */
export async function walk(page, address, look) {
  await page.goto(address);
  await heading(page, "Longrail").waitFor();
  await look("the first visit");
  await button(page, "Go on").click();
  await heading(page, "What are you here for?").waitFor();
  await page.getByRole("button", { name: /^Start:/ }).waitFor({ timeout: 60_000 });
  await page.getByText(/^Ladders to begin/).click();
  await look("Today");
  await begin(page);
  await computed(page);
  await look("Table, before a set of work");
  await presses(page, "mmlmrmmmumlmmmrmmlmmmmummrmlmmmmrmmlm");
  await look("Table, in a set of work");
  await press(page, LEFT);
  await look("Table, after a miss");
  const more = () => button(page, "More").click();
  await more();
  await look("More", more);
  await page.keyboard.press("Escape");
  const sheet = await endSet(page);
  await look("the end of a set");
  await sheet.getByRole("button", { name: "Back to Today" }).click();
  await go(page, "Today");
  const visit = () => button(page, "End the visit").click();
  await visit();
  await look("the end of a visit", visit);
  await page.keyboard.press("Escape");
  await go(page, "Ladders");
  await computed(page);
  await page.getByText(/^Ladders to begin \(/).click();
  await look("Ladders");
  await page.getByRole("button", { name: /^Prove: rung/ }).first().click();
  await button(page, MADE).waitFor();
  await look("Table, before a proof");
  await count(page, 13, 21);
  await presses(page, "mlmmrmlmmrmlmm");
  await press(page, UNSEEN);
  await press(page, MADE);
  await look("Table, in a proof");
  await button(page, "Leave").click();
  await go(page, "Evidence");
  await page.getByRole("table").waitFor();
  await look("Evidence");
  await go(page, "Setup");
  for (const card of await page.locator(".table-card").all()) {
    await card.locator("> summary").click();
    for (const part of await card.locator("form summary").all()) if (await part.isVisible()) await part.click();
  }
  await look("Setup");
  for (const [name, title] of [["Add a table", "Add a table"], ["Erase this player", "Erase this player"]]) {
    const open = () => button(page, name).click();
    await open();
    await page.getByRole("dialog", { name: title }).waitFor();
    await look(title, open);
    await page.keyboard.press("Escape");
  }
  // A word of trouble stands above all screens.
  await page.getByRole("textbox", { name: "Name", exact: true }).fill("");
  await button(page, "Save").first().click();
  await page.getByRole("alert").waitFor();
  await look("Setup, with trouble");
}
