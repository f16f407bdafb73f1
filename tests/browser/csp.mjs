// A whole session asks nobody else for anything, and nothing happens that the policy forbids.

import assert from "node:assert/strict";
import { test } from "node:test";

import { LEFT, MADE, begin, button, computed, count, endSet, firstVisit, go, keptForUse, press } from "./help/app.mjs";
import { launch } from "./help/browser.mjs";
import { serve } from "./help/server.mjs";

test("a whole session: no other origin, no word in the console, nothing against the policy", async (t) => {
  const { address } = await serve(t);
  const context = await launch(t, { acceptDownloads: true });
  const [asked, said, against] = [new Set(), [], []];
  context.on("request", (request) => asked.add(request.url()));
  context.on("console", (message) => said.push(`${message.type()}: ${message.text()}`));
  await context.exposeBinding("against", (_, what) => against.push(what));
  await context.addInitScript(() => {
    addEventListener("securitypolicyviolation", (event) => window.against(`${event.violatedDirective}: ${event.blockedURI}`));
  });
  const page = context.pages()[0];
  page.on("worker", (worker) => asked.add(worker.url()));
  await firstVisit(page, address);
  await begin(page);
  await computed(page);
  await press(page, MADE, 3);
  await press(page, LEFT);
  await button(page, "Short").click();
  await count(page, 4, 6);
  await button(page, "More").click();
  await button(page, "no side").click();
  await page.getByText(/^What it costs: no side/).waitFor({ timeout: 60_000 });
  await page.keyboard.press("Escape");
  await endSet(page).then((sheet) => sheet.getByRole("button", { name: "Back to Today" }).click());
  for (const screen of ["Ladders", "Evidence", "Setup"]) await go(page, screen);
  const saved = page.waitForEvent("download");
  await button(page, "Save a backup file").click();
  await saved;
  await page.getByRole("checkbox", { name: "Daylight colours" }).check();
  await go(page, "Evidence");
  await keptForUse(page);
  await page.reload();
  await go(page, "Today");
  // And what workers ask for is in the browser's own list.
  const loaded = await page.evaluate(() => performance.getEntriesByType("resource").map((one) => one.name));
  for (const url of loaded) asked.add(url);
  const own = (url) => url.startsWith(address) || url.startsWith(`blob:${address}`) || url.startsWith("data:");
  assert.ok(asked.size > 5, [...asked].join(" "));
  assert.deepEqual([...asked].filter((url) => !own(url)), []);
  assert.deepEqual(against, []);
  assert.deepEqual(said, []);
});

test("the policy holds: a script, a style and a request that it does not name are refused", async (t) => {
  const { address } = await serve(t);
  const page = (await launch(t, { errors: "expected" })).pages()[0];
  await firstVisit(page, address);
  const tried = await page.evaluate(async () => {
    const script = document.createElement("script");
    script.textContent = "window.ran = true";
    document.head.append(script);
    const style = document.createElement("style");
    style.textContent = "body { display: none }";
    document.head.append(style);
    const elsewhere = await fetch("http://127.0.0.1:1/").then(() => "answered", () => "refused");
    return { ran: window.ran ?? false, shown: getComputedStyle(document.body).display, elsewhere };
  });
  assert.deepEqual(tried, { ran: false, shown: "block", elsewhere: "refused" });
});

test("every answer has the promised headers", async (t) => {
  const { address } = await serve(t);
  const page = await (await fetch(address)).text();
  const [, script] = /src="\.\/(boot\.js)"/.exec(page);
  const [, style] = /href="\.\/(app-[0-9a-f]{16}\.css)"/.exec(page);
  const [, code] = /href="\.\/(app-[0-9a-f]{16}\.wasm)"/.exec(page);
  for (const name of ["", script, style, code, "sw.js", "worker.js", "manifest.webmanifest", "nothing.here"]) {
    const answer = await fetch(address + name);
    const header = (name) => answer.headers.get(name);
    const policy = header("content-security-policy") ?? "";
    assert.match(policy, /^default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; /, name);
    assert.match(policy, /frame-ancestors 'none'/, name);
    assert.doesNotMatch(policy, /unsafe-inline|'unsafe-eval'|\*|https?:/, name);
    assert.equal(header("x-content-type-options"), "nosniff", name);
    assert.equal(header("referrer-policy"), "no-referrer", name);
    assert.equal(header("cross-origin-opener-policy"), "same-origin", name);
    assert.match(header("permissions-policy"), /camera=\(\).*screen-wake-lock=\(self\)/, name);
    assert.equal(header("access-control-allow-origin"), null, name);
    assert.equal(header("set-cookie"), null, name);
    assert.equal(answer.status, name === "nothing.here" ? 404 : 200, name);
    if (/[0-9a-f]{16}/.test(name)) assert.match(header("cache-control"), /immutable/, name);
    else assert.doesNotMatch(header("cache-control") ?? "", /immutable/, name);
    if (name === code) assert.equal(header("content-type"), "application/wasm");
    await answer.arrayBuffer();
  }
});
