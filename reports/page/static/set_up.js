// Fills in the browser's time zone where the station file has none; and on the step of the probes says what each
// reads now, so that the one in a hand is seen; where something is waited for it looks again. Without this a button
// looks again. All words come from the page.
"use strict";
(() => {
  const LOOK_MS = 3000;
  const zone = document.querySelector("[data-guess-zone] [name=timezone]");
  if (zone) zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone || zone.value;

  const waits = document.querySelector("[data-look-again]");
  if (waits) setTimeout(() => location.replace(waits.dataset.lookAgain), LOOK_MS);

  const form = document.querySelector("[data-was]");
  if (!form) return;
  const was = JSON.parse(form.dataset.was);
  const told = form.elements.was;
  const rows = [...form.querySelectorAll("[data-number]")];
  const look = async () => {
    try {
      const answer = await fetch(`/set-up/probes/now?again&was=${encodeURIComponent(JSON.stringify(was))}`);
      if (answer.ok) {
        const read = await answer.json();
        for (const row of rows) {
          const now = read[row.dataset.number];
          if (!now) continue;
          row.querySelector("[data-reads]").textContent = now.reads;
          const held = row.querySelector("[data-held]");
          if (held.textContent !== now.held) held.textContent = now.held;
          row.classList.toggle("held", now.held !== "");
        }
      }
    } finally {
      if (!document.hidden) setTimeout(look, LOOK_MS);
    }
  };
  document.addEventListener("visibilitychange", () => { if (!document.hidden) setTimeout(look, LOOK_MS); });
  told.value = JSON.stringify(was);
  setTimeout(look, LOOK_MS);
})();
