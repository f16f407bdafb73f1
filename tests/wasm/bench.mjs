// Times the engine under node. One JSON object a line: the protocol of `cargo xtask bench`.

import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { fileURLToPath } from "node:url";

const root = new URL("../../", import.meta.url);
const engine = createRequire(import.meta.url)(fileURLToPath(new URL("dist/engine/node/longrail_engine.js", root)));

/** Each measurement lasts about this long; the median of several is told, as natively. */
const LAST_MS = 100;
const ROUNDS = 11;

function microsecondsPerShot(input) {
  let times = 1;
  for (;;) {
    const spent = measure(input, times);
    if (spent > LAST_MS / 4) {
      times = Math.max(1, Math.round((times * LAST_MS) / spent));
      break;
    }
    times *= 4;
  }
  const rounds = Array.from({ length: ROUNDS }, () => measure(input, times) / times);
  rounds.sort((a, b) => a - b);
  return { value: rounds[Math.floor(ROUNDS / 2)] * 1000, times };
}

function measure(input, times) {
  const start = performance.now();
  engine.repeat(input, times);
  return performance.now() - start;
}

for (const name of readdirSync(new URL("examples/shots/", root)).filter((name) => name.endsWith(".json"))) {
  const input = readFileSync(new URL(`examples/shots/${name}`, root), "utf8");
  const { value, times } = microsecondsPerShot(input);
  const note = `node, ${times} shots, median of ${ROUNDS}`;
  console.log(JSON.stringify({ name: `wasm: ${name}`, value, unit: "µs", target: null, note }));
}
