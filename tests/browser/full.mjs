// No room left: what cannot be kept is not counted, and what was confirmed stays.

import assert from "node:assert/strict";
import { test } from "node:test";
import { setTimeout } from "node:timers/promises";

import { LEFT, MADE, assertSoon, button, computed, endSet, kept, press, toTheTable } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

test("with the storage full a tap is refused with a word, and counts again when there is room", async (t) => {
  const { address } = await serve(t);
  const context = await launch(t, { errors: "expected" });
  const page = context.pages()[0];
  await toTheTable(page, address);
  await computed(page);
  await press(page, MADE, 3);
  await press(page, LEFT);
  const session = await context.newCDPSession(page);
  const quota = (quotaSize) => session.send("Storage.overrideQuotaForOrigin", { origin: new URL(address).origin, quotaSize });
  // The browser looks at the room that is left when it opens a database, and then once in a while.
  const anew = async () => {
    await page.goto("about:blank");
    await setTimeout(3_000);
    await page.goto(`${address}#/table`);
    await button(page, MADE).waitFor();
  };
  await quota(1);
  await anew();
  await button(page, MADE).click();
  const alert = page.getByRole("alert");
  await alert.waitFor();
  assert.match(await alert.textContent(), /no room left, so this was not kept\. What was confirmed before is safe\./);
  assert.equal(await kept(page), "3 of 4");
  // Again, by a key, and by the end of the set: the word stays, and the set does.
  await page.keyboard.press("ArrowLeft");
  await assertSoon(page, async () => (await kept(page)) === "3 of 4", "a refused tap is counted");
  await button(page, "More").click();
  await button(page, "End the set").click();
  await assertSoon(page, async () => (await page.getByRole("dialog").filter({ visible: true }).count()) === 0, "a sheet is open");
  assert.equal(await page.getByRole("dialog", { name: "The set" }).count(), 0);
  await alert.waitFor();
  // A load with the storage still full shows all that is on record.
  await page.reload();
  await assertSoon(page, async () => (await kept(page)) === "3 of 4", "the tally is another one after a load");
  await button(page, MADE).click();
  await alert.waitFor();
  await alert.getByRole("button", { name: "Close" }).click();
  await assertSoon(page, async () => (await kept(page)) === "3 of 4", "a refused tap is counted");
  // There is room again.
  await quota(undefined);
  await anew();
  await press(page, MADE);
  assert.equal(await kept(page), "4 of 5");
  await page.reload();
  assert.equal(await kept(page), "4 of 5");
  const sheet = await endSet(page);
  await sheet.getByText("Made 4 of 5").waitFor();
});
