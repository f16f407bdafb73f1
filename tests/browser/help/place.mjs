// Where things are, and folders that go away with the test that asked for them.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("../../../", import.meta.url));

/** The program whose app is tested; `cargo xtask test` names it. */
export const program = process.env.LONGRAIL_BIN ?? join(root, "target/debug/longrail");

const ends = new WeakMap();

/** Does something after the test. What was begun last ends first: node would take them the other way round. */
export function after(t, end) {
  if (!ends.has(t)) {
    ends.set(t, []);
    t.after(async () => {
      const failed = [];
      for (const end of ends.get(t).reverse()) await Promise.resolve().then(end).catch((error) => failed.push(error));
      if (failed.length > 0) throw failed[0];
    });
  }
  ends.get(t).push(end);
}

/** A new folder that is removed after the test. */
export function folder(t, name) {
  const made = mkdtempSync(join(tmpdir(), `longrail-${name}-`));
  // A browser that was killed may still be writing for a moment.
  after(t, () => rmSync(made, { recursive: true, force: true, maxRetries: 10, retryDelay: 100 }));
  return made;
}

/** Runs the program in a home of its own, and returns what it wrote. */
export function longrail(home, ...words) {
  const ran = spawnSync(program, words, { encoding: "utf8", env: { ...process.env, LONGRAIL_HOME: home }, maxBuffer: 1 << 28 });
  if (ran.error) throw ran.error;
  if (ran.status !== 0) throw new Error(`longrail ${words.join(" ")}: ${ran.stderr || ran.stdout}`);
  return ran.stdout;
}

/** A published table: rows as objects. Its values hold no comma but in the last column, which is quoted. */
export function published(file) {
  const [head, ...rows] = readFileSync(join(root, "tests/reference", file), "utf8").trim().split("\n");
  const names = head.split(",");
  return rows.map((row) => Object.fromEntries(row.split(",").map((value, column) => [names[column], value])));
}

/** Counts at which a sheet of so many attempts passes, by the published table. */
export function passesAt(attempts) {
  const row = published("promotion_table.csv").find((row) => Number(row.n) === attempts);
  return Number(row.promote_at_least_alpha10);
}
