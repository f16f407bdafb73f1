// Starts the app, keeps it for use without a network, and tells it when a newer version is there.
//
// The app hears "longrail-update" on the window when a newer version can be had (and finds
// <html data-update="waiting">, if it listens too late); it sends "longrail-update-now" when the person wants it.

const HOUR_MS = 3_600_000;
const url = name => new URL(name, import.meta.url);

// On the first visit the workers' code comes beside the app's own, not after it; later it is here already. Read to its
// end, or the browser would not keep it; a failure shows when a worker needs it.
if (navigator.serviceWorker?.controller) {
  document.documentElement.classList.add("known");
} else {
  for (const name of ["./{{WORKER_JS}}", "./{{WORKER_WASM}}"]) {
    fetch(url(name)).then(answer => answer.arrayBuffer()).catch(() => {});
  }
}

function say(text) {
  const place = document.getElementById("boot");
  place.textContent = text;
  place.hidden = false;
}

function announce() {
  document.documentElement.dataset.update = "waiting";
  window.dispatchEvent(new CustomEvent("longrail-update"));
}

async function keep() {
  const workers = navigator.serviceWorker;
  if (!workers || !window.isSecureContext) return;
  let asked = false;
  let controlled = Boolean(workers.controller);
  workers.addEventListener("controllerchange", () => {
    if (asked) {
      asked = false;
      location.reload();
    } else if (controlled) {
      // The new version was asked for in another window: this one still runs the old.
      announce();
    }
    controlled = true;
  });
  const registration = await workers.register(url("./sw.js"), { updateViaCache: "none" });
  window.addEventListener("longrail-update-now", () => {
    if (registration.waiting) {
      asked = true;
      registration.waiting.postMessage("update");
    } else {
      location.reload();
    }
  });
  // Without a controller this is the first visit: nothing older is running.
  if (registration.waiting && workers.controller) announce();
  const watch = coming => coming?.addEventListener("statechange", () => {
    if (coming.state === "installed" && workers.controller) announce();
  });
  // One may have begun to come before anybody looked.
  watch(registration.installing);
  registration.addEventListener("updatefound", () => watch(registration.installing));
  let checked = Date.now();
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible" && Date.now() - checked >= HOUR_MS) {
      checked = Date.now();
      registration.update().catch(() => {}); // no network: next time
    }
  });
}

try {
  const { default: init } = await import("./{{APP_JS}}");
  await init({ module_or_path: url("./{{APP_WASM}}") });
} catch (error) {
  say(`Longrail could not start: ${error?.message ?? error}. Load the page again; if that does not help, ` +
    "try a current version of your browser.");
  throw error;
}
// Without it the app works as long as there is a network. Where the network went before everything was here, the next one
// will do.
keep().catch(error => console.warn("Longrail is not kept for use without a network:", error));
window.addEventListener("online", async () => {
  const registration = await navigator.serviceWorker?.getRegistration(url("./"));
  if (!registration?.active && !registration?.installing && window.isSecureContext) {
    navigator.serviceWorker?.register(url("./sw.js"), { updateViaCache: "none" }).catch(() => {});
  }
});
