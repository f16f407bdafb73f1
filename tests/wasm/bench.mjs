// Times the engine under node. One JSON object a line: the protocol of `cargo xtask bench`.

import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { fileURLToPath } from "node:url";

const root = new URL("../../", import.meta.url);
const engine = createRequire(import.meta.url)(fileURLToPath(new URL("dist/engine/node/longrail_engine.js", root)));

/** Each measurement lasts about this long; the median of several is told, as natively. */
const LAST_MS = 100;
const ROUNDS = 11;

function microsecondsPerRun(run, input) {
  let times = 1;
  for (;;) {
    const spent = measure(run, input, times);
    if (spent > LAST_MS / 4) {
      times = Math.max(1, Math.round((times * LAST_MS) / spent));
      break;
    }
    times *= 4;
  }
  const rounds = Array.from({ length: ROUNDS }, () => measure(run, input, times) / times);
  rounds.sort((a, b) => a - b);
  return { value: rounds[Math.floor(ROUNDS / 2)] * 1000, times };
}

function measure(run, input, times) {
  const start = performance.now();
  run(input, times);
  return performance.now() - start;
}

for (const name of readdirSync(new URL("examples/shots/", root)).filter((name) => name.endsWith(".json"))) {
  const input = readFileSync(new URL(`examples/shots/${name}`, root), "utf8");
  const { value, times } = microsecondsPerRun(engine.repeat, input);
  const note = `node, ${times} shots, median of ${ROUNDS}`;
  console.log(JSON.stringify({ name: `wasm: ${name}`, value, unit: "µs", target: null, note }));
}

{
  // The straight draw of the native benchmark, with the hit prescribed: 512 shots.
  const input = JSON.stringify({
    balls: [{ id: "cue", along: 5, across: 1 }, { id: "1", along: 6.5, across: 2.5 }],
    goal: { all: [
      { pot: { ball: "1", pocket: "foot-left" } },
      { stop: { zone: { circle: { along: 5, across: 1, radius: 0.75 } } } },
    ] },
    player: { reference: "fine" },
    stroke: { speed_mps: 2.75, direction_deg: 44.993, tip_up: -0.4 },
  });
  const { value, times } = microsecondsPerRun(engine.repeat_odds, input);
  const note = `node, straight draw, ${times} times, median of ${ROUNDS}`;
  console.log(JSON.stringify({ name: "odds in the browser engine", value: value / 1000, unit: "ms", target: 2.0, note }));
}
