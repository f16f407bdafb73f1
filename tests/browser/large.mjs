// A record of some 60,000 attempts: read into the app through Setup, and opened again.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import { MADE, begin, button, endSet, endVisit, firstVisit, go, heading, press } from "./help/app.mjs";
import { launch, pace, slowAll } from "./help/browser.mjs";
import { folder, longrail } from "./help/place.mjs";
import { serve } from "./help/server.mjs";

/** Gives 60,000 attempts at the rate of a simulated player. */
const DAYS = 373;
/** From the reload to the open screen, with page and workers four times slower: the target, and what fails on any machine. */
const OPEN_MS = 2_000;
const LIMIT_MS = 2 * OPEN_MS;
const SLOWER = 4;

/** Notes when Today is open. */
const watch = () => {
  const seen = (window.seen = { open: null });
  new MutationObserver(() => {
    if (seen.open === null && [...document.querySelectorAll("h1")].some((one) => one.textContent === "What are you here for?")) {
      requestAnimationFrame(() => (seen.open ??= performance.now()));
    }
  }).observe(document, { subtree: true, childList: true });
};

test("a record of 60,000 attempts is read, and opens soon", async (t) => {
  const dir = folder(t, "record");
  const [record, file] = [join(dir, "record.db"), join(dir, "record.jsonl")];
  longrail(dir, "record", "simulate", record, "--days", String(DAYS));
  longrail(dir, "record", "export", file, "--record", record);
  const lines = readFileSync(file, "utf8").trimEnd().split("\n");
  const attempts = lines.filter((line) => line.includes('"kind":"attempt"')).length;
  assert.ok(attempts > 59_000, `${attempts} attempts`);
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await firstVisit(page, address);
  await go(page, "Setup");
  const start = performance.now();
  await page.getByLabel("Read a backup file").setInputFiles(file);
  await page.getByText(`${lines.length} entries are new, 0 were here already, 0 lines were refused.`).waitFor({ timeout: 120_000 });
  const read = performance.now() - start;
  await button(page, "Use A simulated player").click();
  await page.getByRole("listitem").filter({ hasText: "A simulated player" }).getByText("in use").waitFor({ timeout: 60_000 });
  await page.addInitScript(watch);
  const opened = async (what) => {
    // The machine's own pace changes from minute to minute.
    const plain = await pace(page);
    const end = await slowAll(t, page.context(), SLOWER);
    await page.reload();
    await heading(page, "What are you here for?").waitFor({ timeout: 120_000 });
    const open = await page.waitForFunction(() => window.seen.open).then((seen) => seen.jsonValue());
    const slower = (await pace(page)) / plain;
    await end();
    t.diagnostic(`${what}: open after ${open.toFixed(0)} ms, page and workers ${slower.toFixed(1)} times slower (target ${OPEN_MS} ms)`);
    // By how much they were slowed in fact, which on a busy machine is more or less than was asked for.
    return (open * SLOWER) / slower;
  };
  await go(page, "Today");
  await opened("before a state was kept");
  // At the end of a visit the state is kept, from which the next start goes on.
  await begin(page);
  await press(page, MADE);
  await endSet(page).then((sheet) => sheet.getByRole("button", { name: "Back to Today" }).click());
  await endVisit(page);
  const times = [];
  for (let time = 0; time < 3; time++) times.push(await opened("from the state that was kept"));
  t.diagnostic(`${attempts} attempts, ${lines.length} events, read in ${(read / 1000).toFixed(1)} s`);
  // One of three may fall into a moment in which the machine does something else.
  const [, middle] = times.toSorted((a, b) => a - b);
  assert.ok(middle <= LIMIT_MS, `${times.join(", ")} ms`);
});
