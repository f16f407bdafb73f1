// The engine under node gives the same bits as the native one.
// Started by `cargo xtask test` (stage `node`), which names the native program in LONGRAIL_BIN.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

const root = new URL("../../", import.meta.url);
const engine = createRequire(import.meta.url)(fileURLToPath(new URL("dist/engine/node/longrail_engine.js", root)));
const read = (path) => readFileSync(new URL(path, root), "utf8");

/** Contract inputs: the examples, and a few that reach other parts of the engine. */
const inputs = {
  ...Object.fromEntries(
    readdirSync(new URL("examples/shots/", root))
      .filter((name) => name.endsWith(".json"))
      .map((name) => [`examples/shots/${name}`, read(`examples/shots/${name}`)]),
  ),
  "side spin off two rails": JSON.stringify({
    balls: [{ id: "cue", x_m: 0.7, y_m: 0.3 }],
    stroke: { speed_mps: 3.5, direction_deg: 52, tip_right: 0.3, tip_up: 0.2 },
  }),
  "draw, single-impulse cushions": JSON.stringify({
    physics: { cushion: { model: "single-impulse" } },
    balls: [{ id: "cue", x_m: 0.6, y_m: 0.635 }, { id: "1", x_m: 1.6, y_m: 0.64 }],
    stroke: { speed_mps: 4, direction_deg: 0, tip_up: -0.45 },
  }),
  "a ball set moving, no stroke": JSON.stringify({
    physics: { cushion: { model: "simple" } },
    balls: [{ id: "a", x_m: 1, y_m: 0.6, vx_mps: 2, vy_mps: 1, wz_rad_s: 30 }],
  }),
};

test("the corpus has the committed digest", () => {
  const committed = read("tests/reference/shot_digest.txt").trim();
  assert.match(committed, /^[0-9a-f]{16}$/);
  assert.equal(engine.digest(1000), committed);
});

for (const [name, input] of Object.entries(inputs)) {
  test(`same text as the native program: ${name}`, { skip: !process.env.LONGRAIL_BIN && "LONGRAIL_BIN is not set" }, () => {
    for (const [paths, states] of [[false, false], [true, true]]) {
      const switches = [...(paths ? ["--paths"] : []), ...(states ? ["--states"] : [])];
      const native = spawnSync(process.env.LONGRAIL_BIN, ["shot", "--json", ...switches], { input, encoding: "utf8" });
      assert.equal(native.status, 0, native.stderr);
      assert.equal(engine.shot(input, paths, states).trimEnd(), native.stdout.trimEnd());
    }
  });
}

/** Tasks: the best hit found, and a hit prescribed that needs a rail. */
const tasks = {
  "examples/odds/draw.json": read("examples/odds/draw.json"),
  "a lag off the foot rail": JSON.stringify({
    balls: [{ id: "cue", along: 2, across: 2 }],
    goal: { all: [{ touch: { rail: "foot" } }, { lag: { rail: "head", diamonds: 1 } }] },
    stroke: { speed_mps: 2.5, direction_deg: 0 },
  }),
};

for (const [name, input] of Object.entries(tasks)) {
  test(`same odds as the native program: ${name}`, { skip: !process.env.LONGRAIL_BIN && "LONGRAIL_BIN is not set" }, () => {
    const native = spawnSync(process.env.LONGRAIL_BIN, ["odds", "--json", "--seed", "7"], { input, encoding: "utf8" });
    assert.equal(native.status, 0, native.stderr);
    const [here, there] = [JSON.parse(engine.odds(input, 7)), JSON.parse(native.stdout)];
    // Numbers are printed so that they are read back as the same bits.
    assert.equal(here.made, there.odds.made);
    assert.equal(here.standard_error, there.odds.standard_error);
    assert.deepEqual(here.hit, there.hit);
  });
}

test("an unknown field is refused by its name", () => {
  const input = JSON.stringify({ balls: [{ id: "cue", x_m: 1, y_m: 0.6, colour: "white" }], stroke: { speed_mps: 1 } });
  assert.throws(() => engine.shot(input, false, false), /colour/);
});

test("a refusal leaves the engine usable", () => {
  assert.throws(() => engine.shot("{", false, false));
  assert.ok(JSON.parse(engine.shot(Object.values(inputs)[0], false, false)).final.length > 0);
});
