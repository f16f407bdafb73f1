// Whoever uses it, and however: the keyboard alone, a small screen, no motion. screens.mjs has axe's rules.

import assert from "node:assert/strict";
import { test } from "node:test";

import { LEFT, MADE, UNDO, UNSEEN, assertSoon, begin, button, computed, endSet, firstVisit, heading, kept, press, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

test("a set on a narrow and low screen, and all of scoring on it at once when held sideways", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t, { viewport: { width: 320, height: 568 } })).pages()[0];
  await toTheTable(page, address);
  await computed(page);
  for (const name of [MADE, LEFT, UNSEEN, MADE]) await press(page, name);
  assert.equal(await kept(page), "2 of 4");
  const { width, height } = { width: 844, height: 390 };
  await page.setViewportSize({ width, height });
  const places = async () => {
    const boxes = {};
    for (const name of ["Leave", "More", "Missed left", "Made", "Missed right", "Undo", UNSEEN]) {
      const box = await button(page, name).boundingBox();
      assert.ok(box.x >= 0 && box.y >= 0 && box.x + box.width <= width && box.y + box.height <= height, `${name}: ${JSON.stringify(box)}`);
      boxes[name] = box;
    }
    return boxes;
  };
  const before = await places();
  // What is told in a bar moves nothing from under the thumb, and is over with the next tap.
  await press(page, UNDO, 5);
  await page.locator(".bar.trouble").waitFor();
  assert.deepEqual(await places(), before);
  for (const name of [MADE, LEFT, UNSEEN, MADE]) await press(page, name);
  await page.locator(".bar").waitFor({ state: "detached" });
  const tally = await page.locator(".tally").boundingBox();
  assert.ok(tally.y + tally.height <= height);
  const sheet = await endSet(page);
  await sheet.getByText("Made 2 of 4").waitFor();
});

/** Goes from control to control until the one of this name has the focus, which must be seen on each. */
async function tabTo(page, name, hidden = []) {
  for (let step = 0; step < 120; step++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const here = document.activeElement;
      if (!here || here === document.body) return null;
      const style = getComputedStyle(here);
      // A field may be shown by what is around it.
      const around = getComputedStyle(here.closest("label") ?? here);
      const seen = [style, around].some((one) => one.outlineStyle !== "none" && parseFloat(one.outlineWidth) > 0);
      // Nor may anything lie over it.
      const { left, top, width, height } = here.getBoundingClientRect();
      const over = document.elementFromPoint(left + width / 2, top + height / 2);
      const hidden = over && !here.contains(over) && !over.contains(here) && !here.closest("label")?.contains(over);
      const label = here.ariaLabel ?? (here.labels?.[0] ?? here).textContent;
      return { name: label.trim().replace(/\s+/g, " "), seen, hidden };
    });
    if (!at) continue;
    assert.ok(at.seen, `the focus is not seen on ${at.name}`);
    if (at.hidden) hidden.push(at.name);
    if (typeof name === "string" ? at.name === name : name.test(at.name)) return at.name;
  }
  return assert.fail(`no way by Tab to ${name}`);
}

test("a first visit and a whole set by the keyboard alone", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.goto(address);
  await button(page, "Go on").waitFor();
  await tabTo(page, "Go on");
  await page.keyboard.press("Enter");
  await heading(page, "What are you here for?").waitFor();
  await page.getByRole("button", { name: /^Start:/ }).waitFor({ timeout: 60_000 });
  await tabTo(page, /^Start:/);
  await page.keyboard.press("Enter");
  await button(page, MADE).waitFor();
  await computed(page);
  await page.keyboard.press(" ");
  await page.keyboard.press("ArrowLeft");
  assert.equal(await kept(page), "1 of 2");
  await tabTo(page, UNSEEN);
  await page.keyboard.press("Enter");
  await assertSoon(page, async () => (await kept(page)) === "1 of 3", "Enter on a button scores once");
  await tabTo(page, "More");
  await page.keyboard.press("Enter");
  await tabTo(page, "Made");
  await page.keyboard.type("2");
  await tabTo(page, "of");
  await page.keyboard.type("4");
  await page.keyboard.press("Enter");
  await assertSoon(page, async () => (await kept(page)) === "3 of 7", "a count by Enter in its field");
  await tabTo(page, "More");
  await page.keyboard.press("Enter");
  await tabTo(page, "End the set");
  await page.keyboard.press("Enter");
  await page.getByRole("dialog", { name: "The set" }).getByText("Made 3 of 7").waitFor();
  // What had the focus went with the set before: it goes on at the top of the screen.
  await tabTo(page, /^(Again: rung|Rung) /);
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.activeElement.id === "main");
  await assertSoon(page, async () => (await kept(page)) === "0 of 0", "the next set has not begun");
  await page.keyboard.press(" ");
  await assertSoon(page, async () => (await kept(page)) === "1 of 1", "Space scores in the next set");
  await tabTo(page, "More");
  await page.keyboard.press("Enter");
  await tabTo(page, "End the set");
  await page.keyboard.press("Enter");
  await page.getByRole("dialog", { name: "The set" }).getByText("Made 1 of 1").waitFor();
  await tabTo(page, "Back to Today");
  await page.keyboard.press("Enter");
  await heading(page, "What are you here for?").waitFor();
  await tabTo(page, "Evidence");
  await page.keyboard.press("Enter");
  await page.getByText(": 4 of 8 made").waitFor();
});

test("constraints, corners, another rung, tables and data by the keyboard alone", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  const enter = async (name) => {
    const found = await tabTo(page, name);
    await page.keyboard.press("Enter");
    return found;
  };
  await toTheTable(page, address);
  await computed(page);
  // A constraint that is proposed, then one that is typed.
  await enter("More");
  await enter("no side");
  await enter("Put on");
  await page.getByText(/, no side$/).waitFor();
  await computed(page);
  await enter("More");
  await enter("A ball in the way");
  await tabTo(page, "Diamonds from head");
  await page.keyboard.type("4");
  await tabTo(page, "Diamonds from right");
  await page.keyboard.type("2.5");
  await page.keyboard.press("Enter");
  await button(page, "Put on").waitFor({ timeout: 60_000 });
  await enter("Put on");
  await page.locator(".places .disc", { hasText: "b1" }).waitFor();
  await computed(page);
  await enter("More");
  await enter("Take off: no side");
  await assertSoon(page, async () => (await page.getByText(/, no side$/).count()) === 0, "it was not taken off");
  await enter("More");
  await enter("Mirrored");
  await assertSoon(page, async () => /^1½.*right/.test(await page.locator(".places li").first().locator("p").nth(1).textContent()), "it was not mirrored");
  // The rung that is chosen by the arrows of its list.
  const leave = async () => {
    await enter("Leave");
    await heading(page, "What are you here for?").waitFor();
  };
  await leave();
  await enter("Ladders");
  await heading(page, "Ladders").waitFor();
  await enter("Another rung");
  await tabTo(page, /^Rung/);
  await page.keyboard.press("ArrowDown");
  await enter(/^Work: Another rung/);
  await page.locator("h1", { hasText: "rung 2" }).waitFor();
  // A table of one's own, in use at once; the record out.
  await leave();
  await enter("Setup");
  await heading(page, "Setup").waitFor();
  await enter("Add a table");
  const sheet = page.getByRole("dialog", { name: "Add a table" });
  await tabTo(page, "What you call it");
  await page.keyboard.type("Second");
  await enter("Speed of the cloth");
  await tabTo(page, "It went, m");
  await page.keyboard.type("2.5");
  await tabTo(page, "Seconds");
  await page.keyboard.type("7");
  await page.keyboard.press("Enter");
  await sheet.waitFor({ state: "hidden" });
  await page.getByText("Second (in use)").waitFor();
  const saved = page.waitForEvent("download");
  await enter("Save a backup file");
  await saved;
});

test("the focus is never under the rail of screens", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await firstVisit(page, address);
  const hidden = [];
  await tabTo(page, "Setup", hidden);
  await page.keyboard.press("Enter");
  await heading(page, "Setup").waitFor();
  await page.getByText("Table 1 (in use)").click();
  await page.evaluate(() => scrollTo(0, 0));
  await heading(page, "Setup").click();
  await tabTo(page, "Erase this player", hidden);
  assert.deepEqual(hidden, []);
});

test("who wants no motion sees none", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t, { reducedMotion: "reduce" })).pages()[0];
  const moving = () =>
    page.evaluate(() => {
      const still = (list) => list.split(",").every((one) => parseFloat(one) <= 0.001);
      const parts = [...document.querySelectorAll("*")].filter((one) => {
        const style = getComputedStyle(one);
        return !still(style.transitionDuration) || (style.animationName !== "none" && !still(style.animationDuration));
      });
      return [...parts.map((one) => `${one.tagName}.${one.className}`), ...document.getAnimations().map((one) => `${one.animationName ?? one.transitionProperty}`)];
    });
  await firstVisit(page, address);
  assert.deepEqual(await moving(), []);
  await begin(page);
  await press(page, MADE, 2);
  assert.deepEqual(await moving(), []);
  await button(page, "More").click();
  assert.deepEqual(await moving(), []);
});
