// Following: each change of the form or of the recipe's file is asked about; only the latest answer counts.
"use strict";

(function follow() {
  const form = document.getElementById("parameters"), state = document.getElementById("state");
  const solid = document.getElementById("solid"), command = document.getElementById("command");
  const fields = [...form.querySelectorAll("[name]")];
  let latest = 0, stamp = null, waiting = 0, thinking = 0;

  const values = () => Object.fromEntries(fields.map((field) => [field.name, field.value]));

  async function ask(place) {
    const answer = await fetch(place, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(values()) });
    return answer.json();
  }

  async function update() {
    const number = ++latest;
    clearTimeout(thinking);
    state.textContent = "…";
    let told;
    try { told = await ask("part"); } catch { told = { error: "the watch has ended; start it again" }; }
    if (number !== latest) return;
    state.className = told.error ? "error" : "";
    state.textContent = told.error ?? `mass ${told.mass}`;
    if (told.error) { solid.textContent = ""; return; }
    stamp = told.stamp;
    command.textContent = told.command;
    for (const [id, markup] of Object.entries(told.parts)) document.getElementById(id).innerHTML = markup;
    if (window.formpartsPage) formpartsPage.show(told.model, told.figures, told.marks);
    solid.textContent = "solid: …";
    // The solid is built once the form has come to rest.
    thinking = setTimeout(async () => {
      const built = await ask("solid");
      if (number === latest) solid.textContent = built.error ?? built.solid;
      if (number === latest) draw();
    }, 400);
  }

  // The drawing takes seconds: it is asked for when somebody looks at it.
  const sheet = document.getElementById("sheet"), drawn = document.getElementById("drawn"), picture = document.getElementById("drawing");
  async function draw() {
    if (!sheet.open) return;
    const number = latest;
    drawn.textContent = "…";
    let told;
    try { told = await ask("drawing"); } catch { told = { error: "the watch has ended; start it again" }; }
    if (number !== latest) return;
    drawn.textContent = told.error ?? "";
    if (told.drawing) picture.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(told.drawing)}`;
  }
  sheet.addEventListener("toggle", draw);

  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(update, 60);
  }

  form.addEventListener("input", (event) => {
    const slider = event.target.dataset.for;
    if (slider) document.getElementById(`p-${slider}`).value = event.target.value;
    else {
      const twin = form.querySelector(`[data-for="${event.target.name}"]`);
      if (twin) twin.value = event.target.value;
    }
    soon();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  document.getElementById("defaults").addEventListener("click", () => {
    for (const field of fields) {
      field.value = field.dataset.default;
      const twin = form.querySelector(`[data-for="${field.name}"]`);
      if (twin) twin.value = field.dataset.default;
    }
    update();
  });

  // The file: parameters that come or go need a new form, so the page is loaded anew when they do.
  setInterval(async () => {
    let now;
    try { now = (await (await fetch("stamp")).json()).stamp; } catch { return; }
    if (stamp !== null && now !== stamp) {
      stamp = now;
      const page = await (await fetch("")).text();
      const names = new DOMParser().parseFromString(page, "text/html").querySelectorAll("#parameters [name]");
      const same = names.length === 0 || [...names].map((field) => field.name + field.dataset.default).join() === fields.map((field) => field.name + field.dataset.default).join();
      if (same) update(); else location.reload();
    }
  }, 700);
  update();
})();
