// The app on a plain host, and the record on its way between browsers and the command line.

import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

import {
  LEFT, MADE, RIGHT, UNDO, assertSoon, begin, button, computed, count, endSet, firstVisit, go, heading, kept, keptForUse, press,
  toTheTable,
} from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { folder, longrail } from "./help/place.mjs";
import { host, serve } from "./help/server.mjs";

/** What the record proves, as Evidence shows it: its heading, and its table row by row. */
async function evidence(page) {
  await go(page, "Evidence");
  await computed(page);
  await page.getByRole("table").waitFor();
  const rows = await page.getByRole("row").allTextContents();
  return [await page.getByRole("heading", { level: 2 }).first().textContent(), ...rows];
}

/** Saves a backup through Setup; returns the file. */
async function backup(page, dir) {
  await go(page, "Setup");
  const saved = page.waitForEvent("download");
  await button(page, "Save a backup file").click();
  const download = await saved;
  assert.match(download.suggestedFilename(), /^longrail-\d{4}-\d\d-\d\d\.jsonl$/);
  const file = join(dir, download.suggestedFilename());
  await download.saveAs(file);
  return file;
}

async function read(page, file) {
  await go(page, "Setup");
  await page.getByLabel("Read a backup file").setInputFiles(file);
  return page.getByText(/entries are new/).textContent();
}

test("a backup is read on the first screen; an erased player stays erased, and the app says so", async (t) => {
  const { address } = await serve(t);
  const dir = folder(t, "files");
  const one = (await launch(t)).pages()[0];
  await toTheTable(one, address);
  await press(one, MADE, 3);
  await endSet(one).then((sheet) => sheet.getByRole("button", { name: "Back to Today" }).click());
  const file = await backup(one, dir);
  const { address: other } = await serve(t);
  const two = (await launch(t)).pages()[0];
  await two.goto(other);
  await button(two, "Go on").waitFor();
  await two.getByLabel("Read a backup file").setInputFiles(file);
  await heading(two, "What are you here for?").waitFor();
  await two.getByRole("status").filter({ hasText: /entries are new, 0 were here already/ }).waitFor();
  await go(two, "Evidence");
  await two.getByText(": 3 of 3 made").waitFor();
  await go(two, "Setup");
  await button(two, "Erase this player").click();
  const sheet = two.getByRole("dialog", { name: "Erase this player" });
  await sheet.getByText(/^Me goes with everything on record, for good/).waitFor();
  await button(sheet, "Erase for good").click();
  await button(two, "Go on").waitFor();
  await two.getByLabel("Read a backup file").setInputFiles(file);
  await two.getByText(/^0 entries are new, 0 were here already, 0 lines were refused\. \d+ are of players who were erased, and stay out\.$/).waitFor();
  assert.ok(await button(two, "Go on").isVisible());
});

/** Made and tried by rung in the command line's evidence, those with attempts. */
function counted(home, ...words) {
  const { ladders } = JSON.parse(longrail(home, "evidence", "--json", ...words));
  const made = ({ work_made: work, proof_made: proof }) => work + proof;
  const tried = ({ work_tried: work, proof_tried: proof }) => work + proof;
  const rungs = ladders.flatMap(({ drill, rungs }) => rungs.map(({ rung, tally }) => [drill, rung, made(tally), tried(tally)]));
  return rungs.filter(([, , , tried]) => tried > 0);
}

test("the app as files in a folder of a plain host: everything works there, without a network too", async (t) => {
  const files = join(folder(t, "app"), "site");
  longrail(folder(t, "home"), "app", "export", files);
  const { address, close } = await host(t, files, "some/folder");
  const page = (await launch(t, { errors: "expected" })).pages()[0];
  await toTheTable(page, address);
  await press(page, MADE, 2);
  await press(page, LEFT);
  await keptForUse(page);
  close();
  await page.reload();
  await button(page, MADE).waitFor();
  assert.equal(await kept(page), "2 of 3");
  await press(page, MADE);
  await endSet(page).then((sheet) => sheet.getByRole("button", { name: "Back to Today" }).click());
  for (const screen of ["Ladders", "Evidence", "Setup", "Today"]) await go(page, screen);
  await begin(page);
  assert.equal(await page.getByRole("alert").count(), 0);
});

test("a backup goes into another browser and into the command line with the same evidence, and comes back from there", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t, { acceptDownloads: true })).pages()[0];
  await toTheTable(page, address);
  await computed(page);
  await press(page, MADE, 3);
  await press(page, RIGHT);
  await press(page, UNDO);
  await press(page, LEFT);
  await count(page, 5, 9);
  assert.equal(await kept(page), "8 of 13");
  // The set stays open: it can be gone on with elsewhere.
  await button(page, "Leave").click();
  const proved = await evidence(page);
  assert.match(proved[0], /: 8 of 13 made$/);
  const file = await backup(page, folder(t, "backup"));
  const lines = readFileSync(file, "utf8").trimEnd().split("\n");
  await page.getByText(`${lines.length} entries are in longrail-`).waitFor();

  // Another browser, with another server and so with nothing in common.
  const other = (await launch(t)).pages()[0];
  const { address: elsewhere } = await serve(t);
  await firstVisit(other, elsewhere, { name: "Somebody else" });
  assert.equal(await read(other, file), `${lines.length} entries are new, 0 were here already, 0 lines were refused.`);
  await go(other, "Setup");
  await button(other, "Use Me").click();
  await other.getByRole("listitem").filter({ hasText: "Me" }).getByText("in use").waitFor();
  assert.deepEqual(await evidence(other), proved);
  assert.match(await read(other, file), new RegExp(`^0 entries are new, ${lines.length} were here already`));

  // The command line.
  const home = folder(t, "home");
  longrail(home, "record", "import", file);
  const [[, rung, made, tried], ...more] = counted(home, "--player", "Me");
  assert.deepEqual([rung, made, tried, more], [1, 8, 13, []]);

  // And back: what the command line adds, the first browser reads.
  longrail(home, "player", "use", "Me");
  longrail(home, "score", "4/6");
  longrail(home, "set", "end");
  const back = join(folder(t, "back"), "log.jsonl");
  longrail(home, "record", "export", back);
  const said = await read(page, back);
  assert.match(said, new RegExp(`^\\d+ entries are new, ${lines.length} were here already, 0 lines were refused`));
  assert.match((await evidence(page))[0], /: 12 of 19 made$/);
});

test("what is scored comes to the record of the machine that serves the app, and to another browser from there", async (t) => {
  const { address, home } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await toTheTable(page, address);
  await press(page, MADE, 3);
  await press(page, LEFT);
  await endSet(page).then((sheet) => sheet.getByRole("button", { name: "Back to Today" }).click());
  const there = () => {
    try {
      return counted(home, "--player", "Me").map(([, ...numbers]) => numbers);
    } catch {
      // The player is not there yet.
      return [];
    }
  };
  await assertSoon(page, async () => JSON.stringify(there()) === "[[1,3,4]]", "the command line does not know of the set", 15_000);
  const other = (await launch(t)).pages()[0];
  await other.addInitScript(() => {
    new MutationObserver(() => (window.asked ||= document.querySelector("form h1") !== null)).observe(document, { subtree: true, childList: true });
  });
  await other.goto(address);
  await heading(other, "What are you here for?").waitFor();
  assert.equal(await other.evaluate(() => window.asked), false, "it asks who plays where that is on record");
  await go(other, "Evidence");
  await other.getByText(/: 3 of 4 made$/).waitFor();
});

test("a file that is none changes nothing, and says why", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t)).pages()[0];
  await toTheTable(page, address);
  await press(page, MADE, 2);
  await button(page, "Leave").click();
  const file = join(folder(t, "files"), "other.jsonl");
  writeFileSync(file, 'not a line of a record\n{"id": 1}\n');
  assert.match(await read(page, file), /^0 entries are new, 0 were here already, 2 lines were refused\.$/);
  await page.getByText(/^Line 1: /).waitFor();
  await page.getByText(/^Line 2: /).waitFor();
  await go(page, "Today");
  await button(page, "Go on scoring").click();
  await heading(page, /rung 1/).waitFor();
  await assertSoon(page, async () => (await kept(page)) === "2 of 2", "the set that was open is not as it was");
});
