// The browser: Debian's chromium, with a profile of the test's own.

import { Worker } from "node:worker_threads";

import { chromium } from "playwright-core";

import { after, folder } from "./place.mjs";

const FLAGS = [
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  // The sandbox does not start for root.
  ...(process.getuid?.() === 0 ? ["--no-sandbox"] : []),
];

/** A phone held upright. */
export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1280, height: 800 };

/**
 * Starts the browser. What a page says of errors is collected in `context.errors`, and fails the test at its end unless
 * `errors: "expected"`.
 */
export async function launch(t, { profile, viewport = PHONE, args = [], errors = "none", ...more } = {}) {
  const dir = profile ?? folder(t, "profile");
  const context = await chromium.launchPersistentContext(dir, {
    executablePath: process.env.LONGRAIL_CHROMIUM ?? "/usr/bin/chromium",
    headless: true,
    args: [...FLAGS, ...args],
    viewport,
    ...more,
  });
  context.setDefaultTimeout(20_000);
  context.profile = dir;
  context.errors = [];
  context.on("console", (message) => {
    if (message.type() === "error") context.errors.push(message.text());
  });
  context.on("weberror", (error) => context.errors.push(error.error().message));
  let closed = false;
  context.on("close", () => (closed = true));
  after(t, async () => {
    if (!closed) await context.close();
    if (context.errors.length === 0 || errors === "expected") return;
    // A test that has failed already tells its own error only.
    t.diagnostic(`the page said: ${context.errors.join("; ")}`);
    throw new Error(`the page said: ${context.errors.join("; ")}`);
  });
  return context;
}

/** The browser's processes of a kind: "browser", "renderer", … */
export async function processes(context, kind) {
  const session = await context.browser().newBrowserCDPSession();
  const { processInfo } = await session.send("SystemInfo.getProcessInfo");
  await session.detach();
  return processInfo.filter((one) => one.type === kind).map((one) => one.id);
}

/** Makes the page's thread so many times slower. Workers run as before. */
export async function slow(page, times) {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: times });
}

/** How long a process runs in one turn, milliseconds. */
const TURN_MS = 3;

/** Lets processes run in turns of TURN_MS and rest in between, until it is told to end. */
const TURNS = `
  const { workerData: { pids, turn, rest, over } } = require("node:worker_threads");
  const send = (signal) => pids.forEach((pid) => { try { process.kill(pid, signal); } catch {} });
  while (Atomics.load(over, 0) === 0) {
    send("SIGSTOP");
    Atomics.wait(over, 0, 0, rest);
    send("SIGCONT");
    Atomics.wait(over, 0, 0, turn);
  }
  send("SIGCONT");
`;

/**
 * Makes everything so many times slower that runs for the pages there are now, their workers as well: the processes are stopped
 * for the rest of the time. Returns what makes it end.
 */
export async function slowAll(t, context, times) {
  const pids = await processes(context, "renderer");
  const over = new Int32Array(new SharedArrayBuffer(4));
  const turns = new Worker(TURNS, { eval: true, workerData: { pids, turn: TURN_MS, rest: (times - 1) * TURN_MS, over } });
  const end = async () => {
    Atomics.store(over, 0, 1);
    Atomics.notify(over, 0);
    await turns.terminate();
    for (const pid of pids) {
      try {
        process.kill(pid, "SIGCONT");
      } catch {
        // It has ended meanwhile.
      }
    }
  };
  after(t, end);
  return end;
}

/** Milliseconds of a fixed piece of work in the page: by how much something made it slower. */
export function pace(page) {
  return page.evaluate(() => {
    let sum = 0;
    const work = (count) => {
      const start = performance.now();
      for (let number = 0; number < count; number++) sum += Math.sqrt(number);
      return performance.now() - start + 0 * sum;
    };
    // Compiled in full before it is timed.
    for (let time = 0; time < 20; time++) work(1_000_000);
    return work(200_000_000);
  });
}
