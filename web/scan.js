// The camera, apart from the app: open only while a code is looked for, nothing is kept, nothing leaves the page.
//
// Events on `window`: `layshaft:scan` opens it in the element `camera`, `layshaft:blind` closes it; `layshaft:code` has the
// `text` of each code that is seen.
"use strict";
(() => {
  const EVERY_MS = 250;
  const WHY = {
    NotAllowedError: "The camera was not allowed. Allow it for this page in the browser's settings, then try again.",
    NotFoundError: "No camera was found on this device: open the link, or read the file.",
  };
  let close = () => {};

  addEventListener("layshaft:scan", async () => {
    close();
    const video = document.getElementById("camera");
    let stream, timer, last;
    let open = true;
    close = () => {
      open = false;
      clearInterval(timer);
      stream?.getTracks().forEach((track) => track.stop());
    };
    try {
      const detector = new BarcodeDetector({ formats: ["qr_code"] });
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
      if (!open) return close();
      video.srcObject = stream;
      await video.play();
      timer = setInterval(async () => {
        // The page was turned.
        if (!video.isConnected) return close();
        const [code] = await detector.detect(video).catch(() => []);
        if (!open || !code || code.rawValue === last) return;
        last = code.rawValue;
        dispatchEvent(Object.assign(new Event("layshaft:code"), { text: last }));
      }, EVERY_MS);
    } catch (error) {
      close();
      const said = document.getElementById("seen");
      if (said) said.textContent = WHY[error.name] ?? "The camera could not be opened: open the link, or read the file.";
    }
  });
  addEventListener("layshaft:blind", () => close());
  addEventListener("pagehide", () => close());
})();
