// The microphone, apart from the app: nothing listens until a person asks, nothing is kept, nothing leaves the page.
//
// The app asks by events on `window`: `layshaft:listen`, `layshaft:hush`. It is told by events on the meter's element,
// without which nothing listens: `layshaft:sound` with `samples` and their `rate`, several times a second, and
// `layshaft:silent` with `why` in words, empty when it was asked for.
"use strict";
(() => {
  const EVERY_MS = 200;
  const WHY = {
    NotAllowedError: "The microphone was not allowed. Allow it for this page in the browser's settings, then press Listen again.",
    NotFoundError: "No microphone was found on this device.",
    insecure: "Browsers give the microphone only to pages opened over https.",
  };
  let hush = () => {};
  const tell = (what, more) => {
    const meter = document.getElementById("hear");
    meter?.dispatchEvent(Object.assign(new Event(`layshaft:${what}`), more));
    return meter;
  };

  addEventListener("layshaft:listen", async () => {
    hush();
    let stream, timer;
    let open = true;
    // Made at once: some phones start sound only while a finger is down.
    const context = new AudioContext();
    const close = hush = (why = "") => {
      stream?.getTracks().forEach((track) => track.stop());
      clearInterval(timer);
      if (open) context.close().catch(() => {}), tell("silent", { why });
      open = false;
    };
    try {
      // What a phone does for voices takes tones away.
      const audio = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
      stream = await navigator.mediaDevices.getUserMedia({ audio });
      if (!open) return close();
      stream.getTracks()[0].onended = () => close("The microphone was taken away.");
      const analyser = context.createAnalyser();
      analyser.fftSize = 16384;
      context.createMediaStreamSource(stream).connect(analyser);
      await context.resume();
      const samples = new Float32Array(analyser.fftSize);
      timer = setInterval(() => {
        analyser.getFloatTimeDomainData(samples);
        tell("sound", { samples, rate: context.sampleRate }) ?? close();
      }, EVERY_MS);
      if (!open) close();
    } catch (error) {
      const name = isSecureContext ? error.name : "insecure";
      close(WHY[name] ?? "The microphone could not be opened: another program may have it.");
    }
  });
  addEventListener("layshaft:hush", () => hush());
  addEventListener("pagehide", () => hush());
  document.addEventListener("visibilitychange", () => document.hidden && hush());
})();
