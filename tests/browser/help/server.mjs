// Servers of the app: the real one, and a plain host of files.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, readFileSync, statSync } from "node:fs";
import { createServer } from "node:http";
import { extname, join, normalize } from "node:path";
import { createInterface } from "node:readline";

import { after, folder, program } from "./place.mjs";

/** `longrail serve` on a free port, with an empty home. */
export async function serve(t) {
  const home = folder(t, "home");
  const env = { ...process.env, LONGRAIL_HOME: home };
  const child = spawn(program, ["serve", "--port", "0", "--json"], { env, stdio: ["ignore", "pipe", "inherit"] });
  const ended = once(child, "exit");
  const end = () => child.kill();
  after(t, end);
  // A run that is broken off comes to no end of the test.
  process.once("exit", end);
  const line = await Promise.race([
    once(createInterface({ input: child.stdout }), "line").then(([line]) => line),
    ended.then(([code]) => Promise.reject(new Error(`longrail serve ended (${code})`))),
  ]);
  const { address, app } = JSON.parse(line);
  if (!app) throw new Error("the program has no app built in: cargo xtask web builds it");
  const kill = async () => {
    child.kill("SIGKILL");
    await ended;
  };
  return { address, home, kill };
}

const TYPES = {
  ".css": "text/css",
  ".html": "text/html",
  ".js": "text/javascript",
  ".png": "image/png",
  ".svg": "image/svg+xml",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
  ".woff2": "font/woff2",
};

/**
 * A plain host that hands out a folder under `/under/`, and knows nothing of the app. As many hosts do, it leads
 * `index.html` to its folder.
 */
export async function host(t, files, under) {
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url, "http://host").pathname);
    const end = (status, head, body) => response.writeHead(status, head).end(body);
    if (!path.startsWith(`/${under}/`)) return end(404, {}, "not here");
    if (path.endsWith("/index.html")) return end(301, { location: path.slice(0, -"index.html".length) });
    const name = normalize(path.slice(under.length + 2) || "index.html");
    const file = join(files, name);
    if (name.startsWith("..") || !existsSync(file) || !statSync(file).isFile()) return end(404, {}, "not here");
    const type = TYPES[extname(file)] ?? "application/octet-stream";
    return end(200, { "content-type": type, "cache-control": "no-cache" }, readFileSync(file));
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const close = () => {
    server.closeAllConnections();
    server.close();
  };
  after(t, close);
  return { address: `http://127.0.0.1:${server.address().port}/${under}/`, close };
}
