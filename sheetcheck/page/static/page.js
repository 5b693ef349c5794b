"use strict";
// Four small things: a workbook that is dropped anywhere, the stage of a check, doubted cells brought into view on a
// small screen, and whether the page is still open.

(() => {
  const base = document.body.dataset.base;
  const tab = Array.from(crypto.getRandomValues(new Uint32Array(3)), (n) => n.toString(36)).join("");

  // ------------------------------------------------------------------ still open

  const tell = (what) => navigator.sendBeacon(`${base}/${what}?tab=${tab}`);
  const gone = () => {
    if (document.querySelector(".gone")) return;
    const said = document.createElement("p");
    said.className = "problem gone";
    said.setAttribute("role", "alert");
    said.textContent = document.body.dataset.gone;
    document.querySelector("main").prepend(said);
  };
  const here = () => fetch(`${base}/here?tab=${tab}`, { method: "POST" }).catch(gone);
  if (!document.querySelector("[data-closed]")) {
    here();
    setInterval(here, 20000);
    addEventListener("pageshow", (event) => event.persisted && here());
    addEventListener("pagehide", () => tell("leaving"));
  }

  // ------------------------------------------------------------------ dropping a workbook

  const form = document.querySelector("form.drop");
  if (form) {
    const input = form.querySelector("input[type=file]");
    const problem = form.querySelector(".problem");
    const most = Number(form.dataset.most);
    const refuse = (why) => {
      problem.textContent = why;
      problem.hidden = false;
    };
    const fits = () => !most || !input.files.length || input.files[0].size <= most;
    form.addEventListener("submit", (event) => {
      if (!fits()) {
        event.preventDefault();
        refuse(form.dataset.large);
        return;
      }
      form.classList.add("sending");
    });
    addEventListener("pageshow", () => form.classList.remove("sending"));
    const held = (event) => Array.from(event.dataTransfer.types).includes("Files");
    addEventListener("dragover", (event) => {
      if (!held(event)) return;
      event.preventDefault();
      form.classList.add("over");
    });
    addEventListener("dragleave", (event) => event.relatedTarget || form.classList.remove("over"));
    addEventListener("drop", (event) => {
      if (!held(event)) return;
      event.preventDefault();
      form.classList.remove("over");
      problem.hidden = true;
      if (event.dataTransfer.files.length !== 1) {
        refuse(form.dataset.one);
        return;
      }
      input.files = event.dataTransfer.files;
      form.requestSubmit();
    });
  }

  // ------------------------------------------------------------------ doubted cells in view

  for (const rows of document.querySelectorAll(".scroll")) {
    const cell = rows.querySelector(".doubted");
    if (cell) rows.scrollLeft = cell.offsetLeft + cell.offsetWidth - rows.clientWidth + 40;
  }

  // ------------------------------------------------------------------ the stage of a check

  const stage = document.querySelector("[data-stage]");
  if (stage) {
    const look = async () => {
      try {
        const at = await (await fetch(stage.dataset.stage)).json();
        if (at.done) {
          location.reload();
          return;
        }
        if (stage.textContent !== at.stage) stage.textContent = at.stage;
        setTimeout(look, 300);
      } catch {
        gone();
      }
    };
    look();
  }
})();
