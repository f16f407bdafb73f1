// The first visit, up to the end of the first set, by what is on the screen.

import assert from "node:assert/strict";
import { test } from "node:test";

import { MADE, RIGHT, begin, button, endSet, heading, kept, press } from "./help/app.mjs";
import { launch, pace, slow, slowAll } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

const LIMIT_MS = 180_000;
/** From the table's name to the odds of its first ladder, with page and workers so many times slower: target, and what fails. */
const SLOWER = 4;
const LADDER_MS = 3_000;
const LADDER_LIMIT_MS = 2 * LADDER_MS;
/** From the first look at the address to a screen that answers, on loopback with the page so many times slower. */
const OPEN_MS = 2_000;
const OPEN_LIMIT_MS = 2 * OPEN_MS;
/** Attempts of a first short set. */
const ATTEMPTS = 10;

test("from an empty profile to the end of the first set in under three minutes", async (t) => {
  const { address } = await serve(t);
  const start = performance.now();
  const page = (await launch(t)).pages()[0];
  await page.goto(address);
  await button(page, "Go on").waitFor();
  const opened = performance.now() - start;
  await button(page, "Go on").click();
  await heading(page, "What are you here for?").waitFor();
  await begin(page);
  const begun = performance.now() - start;
  for (let attempt = 0; attempt < ATTEMPTS; attempt++) await press(page, attempt % 3 === 2 ? RIGHT : MADE);
  assert.equal(await kept(page), "7 of 10");
  const sheet = await endSet(page);
  const lines = await sheet.getByRole("paragraph").allTextContents();
  const took = performance.now() - start;
  assert.match(lines[0], /^Made 7 of 10 at rung 1 /);
  await sheet.getByRole("button", { name: "Back to Today" }).click();
  await heading(page, "What are you here for?").waitFor();
  const s = (ms) => (ms / 1000).toFixed(1);
  t.diagnostic(`first screen after ${s(opened)} s, set begun after ${s(begun)} s, ${ATTEMPTS} attempts and its end after ${s(took)} s`);
  assert.ok(took < LIMIT_MS, `${s(took)} s`);
});

test("a first visit can be answered soon on a slow phone", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.addInitScript(() => {
    const seen = (window.seen = { open: null });
    const look = () => {
      const there = [...document.querySelectorAll("button:enabled")].some((one) => one.textContent === "Go on");
      if (there) setTimeout(() => (seen.open ??= performance.now()));
      else requestAnimationFrame(look);
    };
    look();
  });
  await slow(page, SLOWER);
  await page.goto(address);
  const open = await page.waitForFunction(() => window.seen.open).then((seen) => seen.jsonValue());
  const says = `the first screen answers after ${open.toFixed(0)} ms, ${SLOWER} times slower (target ${OPEN_MS} ms)`;
  t.diagnostic(says);
  assert.ok(open <= OPEN_LIMIT_MS, says);
});

test("the first ladder of a new table can be used soon on a slow phone", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.goto(address);
  await button(page, "Go on").waitFor();
  const plain = await pace(page);
  const end = await slowAll(t, page.context(), SLOWER);
  const took = await page.evaluate(async () => {
    const until = (found) =>
      new Promise((done) => {
        const look = () => (found() ? done() : requestAnimationFrame(look));
        look();
      });
    const named = (words) => [...document.querySelectorAll("button")].find((one) => one.textContent.startsWith(words));
    const start = performance.now();
    named("Go on").click();
    await until(() => document.querySelector(".block .odds"));
    return performance.now() - start;
  });
  const slower = (await pace(page)) / plain;
  await end();
  const says = `its odds after ${took.toFixed(0)} ms, page and workers ${slower.toFixed(1)} times slower (target ${LADDER_MS} ms)`;
  t.diagnostic(says);
  // By how much they were slowed in fact, which on a busy machine is more or less than was asked for.
  assert.ok((took * SLOWER) / slower <= LADDER_LIMIT_MS, says);
});

test("the first screen asks for nothing that has no answer yet", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.goto(address);
  await button(page, "Go on").waitFor();
  assert.equal(await page.getByRole("textbox", { name: "Who plays?" }).inputValue(), "Me");
  assert.equal(await page.getByRole("radio", { checked: true }).count(), 1);
  // Without a name it says so, and nothing is lost.
  await page.getByRole("textbox", { name: "Who plays?" }).fill(" ");
  await button(page, "Go on").click();
  await page.getByRole("alert").waitFor();
  await page.getByRole("textbox", { name: "Who plays?" }).fill("Ann");
  await button(page, "Go on").click();
  await heading(page, "What are you here for?").waitFor();
  await page.getByRole("link", { name: /^Ann · Table 1/ }).waitFor();
});

test("closing a word of trouble leaves what was typed", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await page.goto(address);
  await button(page, "Go on").waitFor();
  await page.getByRole("textbox", { name: "What you call it" }).fill("The one at the window");
  await page.getByRole("textbox", { name: "Who plays?" }).fill(" ");
  await button(page, "Go on").click();
  await page.getByRole("alert").getByRole("button", { name: "Close" }).click();
  await page.getByRole("alert").waitFor({ state: "detached" });
  assert.equal(await page.getByRole("textbox", { name: "What you call it" }).inputValue(), "The one at the window");
});
