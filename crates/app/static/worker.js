// Starts the worker that its name says. What arrives before the worker listens waits in a queue.

const early = [];
const hold = event => early.push(event);
self.addEventListener("message", hold);

const { default: init, start } = await import("./{{WORKER_JS}}");
await init({ module_or_path: new URL("./{{WORKER_WASM}}", import.meta.url) });
start(self.name);
self.removeEventListener("message", hold);
// Nothing can come in between: a new message waits until this has run.
for (const event of early) self.dispatchEvent(event);
