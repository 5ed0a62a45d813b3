// The service worker's life, apart from the app: a version that does not start can still be replaced.
//
// Between this file and the app there are events on `window` only:
// in: `layshaft:open` (register now), `layshaft:take-over` (start the newest version);
// out: `layshaft:works-offline`, `layshaft:new-version`, `layshaft:other-version`.
"use strict";
(() => {
  const workers = navigator.serviceWorker;
  const tell = (what) => dispatchEvent(new Event(`layshaft:${what}`));
  let leaving = false;
  let reloading = false;
  const reload = () => {
    if (!reloading) location.reload();
    reloading = true;
  };

  addEventListener("layshaft:take-over", async () => {
    leaving = true;
    const known = await workers?.getRegistration().catch(() => {});
    const next = known?.waiting || known?.installing;
    if (!next) return reload();
    next.postMessage("take over");
    // Should it not come, the old one is loaded again.
    setTimeout(reload, 5000);
  });

  // Absent where the address is not secure, and in some private windows.
  if (!workers) return;
  let controlled = Boolean(workers.controller);
  workers.addEventListener("controllerchange", () => {
    if (leaving) reload();
    else if (controlled) tell("other-version");
    controlled = true;
  });
  workers.addEventListener("message", (event) => {
    if (event.data === "complete") tell("works-offline");
    if (event.data === "new version") tell("new-version");
  });

  addEventListener("layshaft:open", async () => {
    const known = await workers.register("./sw.js", { updateViaCache: "none" }).catch(() => {});
    if (!known) return;
    if (known.waiting && known.active) tell("new-version");
    document.addEventListener("visibilitychange", () => document.hidden || known.update().catch(() => {}));
    (await workers.ready).active.postMessage("complete?");
  }, { once: true });
})();
