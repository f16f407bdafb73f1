// A newer version of the app: it is offered, and comes when it is asked for, with nothing lost.

import assert from "node:assert/strict";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { setTimeout } from "node:timers/promises";

import { LEFT, MADE, assertSoon, button, computed, kept, keptForUse, press, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { folder, longrail } from "./help/place.mjs";
import { host } from "./help/server.mjs";

/** Long enough for a page that loads itself anew to have done so. */
const PAUSE_MS = 1_500;

/** An app on a host, with a way to put a newer version there. */
async function versions(t) {
  const files = join(folder(t, "app"), "files");
  longrail(folder(t, "home"), "app", "export", files);
  const read = (name) => readFileSync(join(files, name), "utf8");
  const [, version] = /name="version" content="([0-9a-f]{16})"/.exec(read("index.html"));
  let put = version;
  const renew = () => {
    const next = [...put].reverse().join("");
    for (const name of ["index.html", "sw.js"]) {
      assert.ok(read(name).includes(put), `${name} does not name its version`);
      writeFileSync(join(files, name), read(name).replaceAll(put, next));
      for (const packed of [".br", ".gz"]) rmSync(join(files, name + packed), { force: true });
    }
    writeFileSync(join(files, "icon.svg"), `${read("icon.svg")}<!-- newer -->`);
    put = next;
    return next;
  };
  const { address } = await host(t, files, "app");
  return { address, version, renew };
}

const running = (page) => page.evaluate(() => document.querySelector("meta[name=version]").content);
const offer = (page) => page.getByRole("status").filter({ hasText: "A newer version is here." });
/** The browser looks for a newer version, as it does by itself when a page is opened. */
const look = (page) => page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());

test("a newer version is offered in the middle of a set, and comes when it is asked for", async (t) => {
  const { address, version, renew } = await versions(t);
  const page = (await launch(t)).pages()[0];
  await toTheTable(page, address);
  await computed(page);
  await press(page, MADE, 3);
  await keptForUse(page);
  assert.equal(await running(page), version);
  const newer = renew();
  // Opening the page is enough for the browser to look.
  await page.reload();
  await button(page, MADE).waitFor();
  await offer(page).waitFor();
  assert.equal(await running(page), version);
  // The page stays until it is asked: scoring goes on.
  await page.evaluate(() => (window.same = true));
  await press(page, LEFT);
  await setTimeout(PAUSE_MS);
  assert.equal(await page.evaluate(() => window.same), true, "the page has loaded itself anew");
  assert.equal(await kept(page), "3 of 4");
  await press(page, MADE);
  await offer(page).getByRole("button", { name: "Load it" }).click();
  await page.waitForFunction(() => !window.same);
  await button(page, MADE).waitFor();
  assert.equal(await running(page), newer);
  await assertSoon(page, async () => (await kept(page)) === "4 of 5", "the tally is another one");
  await press(page, MADE);
  assert.equal(await kept(page), "5 of 6");
  assert.equal(await offer(page).count(), 0);
});

test("who wants it later is left alone, and another window is not loaded anew under the hands", async (t) => {
  const { address, version, renew } = await versions(t);
  const context = await launch(t);
  const one = context.pages()[0];
  await toTheTable(one, address);
  await computed(one);
  await keptForUse(one);
  const other = await context.newPage();
  await other.goto(`${address}#/table`);
  await button(other, MADE).waitFor();
  await press(other, MADE, 2);
  const newer = renew();
  await look(one);
  await offer(one).waitFor();
  await offer(one).getByRole("button", { name: "Later" }).click();
  assert.equal(await offer(one).count(), 0);
  await offer(other).waitFor();
  await one.evaluate(() => (window.same = true));
  await offer(other).getByRole("button", { name: "Load it" }).click();
  await assertSoon(other, async () => (await running(other).catch(() => "")) === newer, "the newer version does not come");
  await setTimeout(PAUSE_MS);
  assert.equal(await one.evaluate(() => window.same), true, "the other window was loaded anew");
  assert.equal(await running(one), version);
  await press(one, MADE);
  await assertSoon(one, async () => (await kept(one)) === "3 of 3", "the first window does not go on");
  await offer(one).waitFor();
});
