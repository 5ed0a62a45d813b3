// What a person sees when the app cannot run in this browser, or has stopped: plain words, what is safe, what to do.
"use strict";
(() => {
  const PREFIX = "layshaft/";
  const root = document.documentElement;
  const ready = () => root.dataset.ready === "1";
  let shown = false;

  const element = (name, text, props = {}) => Object.assign(document.createElement(name), { textContent: text }, props);

  /** Everything that is stored, record behind record: the page reads such a file again. */
  function saveFile() {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(PREFIX)).sort();
    const text = keys.map((key) => localStorage.getItem(key)).join("\n");
    const href = URL.createObjectURL(new Blob([text], { type: "text/plain" }));
    element("a", "", { href, download: "layshaft-stored.txt" }).click();
  }

  function show(title, error) {
    if (shown) return;
    shown = true;
    const save = element("button", "Save what is stored as a file", { type: "button" });
    save.onclick = () => {
      try {
        saveFile();
      } catch {
        save.textContent = "This browser has nothing stored for the page";
      }
    };
    const reload = element("button", "Reload", { type: "button" });
    // The newest version, if one waits; see offline.js.
    reload.onclick = () => dispatchEvent(new Event("layshaft:take-over"));
    const acts = element("div", "", { className: "acts" });
    acts.append(reload, save);
    const panel = element("section", "", { className: "fault", tabIndex: -1 });
    panel.setAttribute("role", "alert");
    panel.append(
      element("h1", title),
      element("p", "Machines and sheets that were saved are still in this browser. Nothing was deleted."),
      element("p", ready()
        ? "What you see below is as it was; what you type there now is not kept and not worked out."
        : "Reload first. If this stays, try a browser of the last two years, or a window without add-ons."),
      acts,
      element("p", `What the browser says: ${error?.message || error || "nothing"}`, { className: "small" }),
    );
    document.body.prepend(panel);
    panel.focus();
    dispatchEvent(new Event("layshaft:open"));
  }

  const stopped = "The page has stopped: a fault in the page, not in what you typed.";
  const cannot = "The page could not start.";

  /** `ours`: whether it was thrown in a file of the page; add-ons have faults of their own. */
  function judge(error, ours) {
    if (error instanceof WebAssembly.RuntimeError) show(ready() ? stopped : cannot, error);
    else if (ours && !ready()) show(cannot, error);
    else if (ours && error instanceof RangeError) show(stopped, error);
  }

  // Loading errors do not bubble, hence `true`.
  addEventListener("error", (event) => {
    const from = event.target;
    if (from === window) judge(event.error || event.message, !event.filename || event.filename.startsWith(location.origin));
    else if (from.tagName === "SCRIPT" || from.rel === "modulepreload") judge(`${from.src || from.href} was not loaded.`, true);
  }, true);
  addEventListener("unhandledrejection", (event) => judge(event.reason, true));

  if (typeof WebAssembly !== "object" || !("noModule" in HTMLScriptElement.prototype)) {
    addEventListener("DOMContentLoaded", () => show("This browser is too old for the page: it cannot run WebAssembly."));
  }
})();
