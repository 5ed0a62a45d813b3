// The service worker's life, apart from the app: a version that does not start can still be replaced.
//
// Between this file and the app there are events on `window` only:
// in: `layshaft:open` (register now), `layshaft:take-over` (start the newest version);
// out: `layshaft:works-offline`, `layshaft:needs-network`, `layshaft:new-version`, `layshaft:other-version`.
"use strict";
(() => {
  const workers = navigator.serviceWorker;
  const tell = (what) => dispatchEvent(new Event(`layshaft:${what}`));
  let leaving = false;
  let reloading = false;
  const reload = async () => {
    if (reloading) return;
    reloading = true;
    if (document.documentElement.dataset.ready !== "1") {
      // A copy that the browser keeps for a year may be the fault.
      const files = [...document.querySelectorAll("script[src], link[href]")].map(({ src, href }) => src || href);
      await Promise.allSettled(files.map((file) => fetch(file, { cache: "reload" }).then((answer) => answer.blob())));
    }
    location.reload();
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
  if (!workers) return addEventListener("layshaft:open", () => tell("needs-network"), { once: true });
  let controlled = Boolean(workers.controller);
  workers.addEventListener("controllerchange", () => {
    if (leaving) reload();
    else if (controlled) tell("other-version");
    controlled = true;
  });
  workers.addEventListener("message", (event) => {
    if (event.data === "complete") tell("works-offline");
    if (event.data === "incomplete") tell("needs-network");
    if (event.data === "new version") tell("new-version");
  });

  addEventListener("layshaft:open", async () => {
    const known = await workers.register("./sw.js", { updateViaCache: "none" }).catch(() => {});
    if (!known) return tell("needs-network");
    if (known.waiting && known.active) tell("new-version");
    known.installing?.addEventListener("statechange", ({ target }) => {
      if (target.state === "redundant" && !known.active) tell("needs-network");
    });
    const check = () => known.active?.postMessage("complete?");
    document.addEventListener("visibilitychange", () => {
      if (document.hidden) return;
      known.update().catch(() => {});
      check();
    });
    await workers.ready;
    check();
  }, { once: true });
})();
