// Following: each change of the form or of the recipe's file is asked about; only the latest answer counts.
"use strict";

(function follow() {
  const by = (id) => document.getElementById(id);
  const form = by("parameters"), state = by("state"), solid = by("solid"), command = by("command");
  const fields = [...form.querySelectorAll("[name]")], field = (name) => fields.find((each) => each.name === name);
  const twin = (name) => form.querySelector(`[data-for="${name}"]`);
  const ENDED = "the watch has ended; start it again";
  let latest = 0, stamp = null, waiting = 0, thinking = 0, told = null;

  const values = () => Object.fromEntries(fields.map((each) => [each.name, each.value]));

  async function ask(place, given = values()) {
    try {
      const answer = await fetch(place, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(given) });
      return await answer.json();
    } catch { return { error: ENDED }; }
  }

  function set(given) {
    for (const [name, value] of Object.entries(given)) {
      if (!field(name)) continue;
      field(name).value = value;
      if (twin(name)) twin(name).value = value;
    }
  }

  async function update() {
    const number = ++latest;
    clearTimeout(thinking);
    state.textContent = "…";
    const answer = await ask("part");
    if (number !== latest) return;
    stamp = answer.stamp ?? stamp;
    // Parameters that come or go need a new form.
    if ((answer.form ?? form.dataset.form) !== form.dataset.form) { location.reload(); return; }
    // What cannot be made leaves the last good part, greyed.
    document.body.classList.toggle("stale", Boolean(answer.error));
    state.className = answer.error ? "error" : "";
    state.textContent = answer.error ?? `mass ${answer.mass}`;
    if (answer.error) { solid.textContent = ""; return; }
    told = answer;
    remember();
    command.textContent = told.command;
    for (const [id, markup] of Object.entries(told.parts)) by(id).innerHTML = markup;
    if (window.formpartsPage) formpartsPage.show(told.model, told.figures, told.marks);
    drawGhost();
    applyButtons();
    solid.textContent = "solid: …";
    // What takes longer is asked for once the form has come to rest.
    thinking = setTimeout(() => rested(number), 400);
  }

  async function rested(number) {
    const fixes = told.parts.findings.includes("data-finding") ? await ask("fixes") : {};
    if (number !== latest) return;
    if (fixes.findings) { by("findings").innerHTML = fixes.findings; applyButtons(); }
    const built = await ask("solid");
    if (number !== latest) return;
    solid.textContent = built.error ?? built.solid;
    draw();
    const bars = [...form.querySelectorAll("[data-works]")];
    bars.sort((one, other) => (other.dataset.works === looked) - (one.dataset.works === looked));
    for (const bar of bars) {
      const found = await ask(`range/${bar.dataset.works}`);
      if (number !== latest) return;
      showRange(bar, found);
    }
  }

  // The part of a slider that works; what ends it is said.
  function showRange(bar, found) {
    if (found.error || found.high <= found.low) { bar.style.background = ""; bar.title = found.error ?? ""; return; }
    const at = (value) => `${(100 * (value - found.low)) / (found.high - found.low)}%`;
    const stops = found.works.flatMap((run) => [`var(--bad) ${at(run.from)}`, `var(--well) ${at(run.from)}`, `var(--well) ${at(run.to)}`, `var(--bad) ${at(run.to)}`]);
    bar.style.background = `linear-gradient(to right, var(--bad), ${stops.length ? stops.join(", ") : "var(--bad)"}, var(--bad))`;
    const round = (value) => Number(value.toPrecision(4)), ends = (run) => [run.below && `below: ${run.below}`, run.above && `above: ${run.above}`].filter(Boolean);
    bar.title = found.works.map((run) => [`works from ${round(run.from)} to ${round(run.to)}`, ...ends(run)].join("; ")).join(". ") || "works nowhere here";
    bar.setAttribute("role", "img");
    bar.setAttribute("aria-label", `${bar.dataset.works}: ${bar.title}`);
  }

  // What a parameter moves lights up, and its dimension is shown, while its line is pointed at or has the focus.
  let looked = "", looking = 0;
  const panel = by("dimension"), seen = new Map();
  function look(name) {
    if (name === looked) return;
    looked = name;
    clearTimeout(looking);
    light({ pieces: [] });
    if (name && twin(name)) looking = setTimeout(async () => {
      const key = JSON.stringify([name, values(), stamp]);
      if (!seen.has(key)) seen.set(key, await ask(`moves/${name}`));
      if (looked === name) light(seen.get(key));
    }, 150);
  }

  function light({ pieces = [], picture = "" }) {
    for (const each of document.querySelectorAll(".blank [data-piece]")) each.classList.toggle("lit", pieces.includes(each.dataset.piece));
    if (window.formpartsPage) formpartsPage.light(pieces);
    panel.innerHTML = picture;
    panel.hidden = !picture;
  }
  const lineOf = (event) => event.target.closest("[data-line]")?.dataset.line ?? "";
  form.addEventListener("pointerover", (event) => look(lineOf(event)));
  form.addEventListener("focusin", (event) => look(lineOf(event)));
  form.addEventListener("pointerleave", () => look(""));
  form.addEventListener("focusout", (event) => { if (!form.contains(event.relatedTarget)) look(""); });

  // A fix that names a parameter and a value gets a button.
  function applyButtons() {
    for (const row of by("findings").querySelectorAll("tbody tr")) {
      const cell = row.lastElementChild;
      for (const [words, name, value] of cell.textContent.matchAll(/(\w+) (?:at most|at least|=) (-?[\d.]+)/g)) {
        if (!field(name) || cell.querySelector(`[data-fix="${words}"]`)) continue;
        const button = document.createElement("button");
        button.type = "button";
        button.dataset.fix = words;
        button.textContent = `Set ${name} to ${value.replace(/\.$/, "")}`;
        button.addEventListener("click", () => { set({ [name]: value.replace(/\.$/, "") }); update(); });
        cell.append(" ", button);
      }
    }
  }

  // Undo: back to the part that was shown before.
  const past = [];
  function remember() {
    const now = JSON.stringify(values());
    if (past.at(-1) !== now) past.push(now);
    by("undo").disabled = past.length < 2;
  }
  function undo() {
    const now = JSON.stringify(values());
    while (past.length > 1 && past.at(-1) === now) past.pop();
    if (!past.length) return;
    set(JSON.parse(past.at(-1)));
    update();
  }
  by("undo").addEventListener("click", undo);
  document.addEventListener("keydown", (event) => {
    const typing = event.target.matches("input:not([type=range])");
    if ((event.ctrlKey || event.metaKey) && event.key === "z" && !typing) { event.preventDefault(); undo(); }
  });

  // Kept variants: one of them stands as a ghost behind the next, and all of them are the rows of a family's table.
  const kept = [];
  let ghost = null, given = 0;
  by("keep").addEventListener("click", () => {
    if (!told || document.body.classList.contains("stale")) return;
    ghost = { name: `v${++given}`, values: values(), model: told.model, cut: document.querySelector("#blank .cut").getAttribute("d"), mass: told.mass };
    kept.push(ghost);
    showKept();
  });

  function showKept() {
    by("keeping").hidden = !kept.length;
    by("kept").replaceChildren(...kept.map((one) => {
      const item = document.createElement("li"), say = (word, act, on) => {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = word;
        if (on !== undefined) button.setAttribute("aria-pressed", String(on));
        button.addEventListener("click", act);
        return button;
      };
      const differing = names().map((name) => `${name} ${one.values[name]}`).join(", ") || "as by default";
      item.append(`${one.name}: ${differing}; mass ${one.mass} `, say("Ghost", () => { ghost = ghost === one ? null : one; showKept(); }, ghost === one), " ",
        say("Take it", () => { set(one.values); update(); }), " ",
        say("Remove", () => { kept.splice(kept.indexOf(one), 1); if (ghost === one) ghost = null; showKept(); }));
      return item;
    }));
    const quoted = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
    const rows = [["name", ...names()], ...kept.map((one) => [one.name, ...names().map((name) => one.values[name])])];
    const text = rows.map((row) => row.map(quoted).join(",")).join("\n") + "\n";
    by("family").textContent = text;
    by("save").href = `data:text/csv;charset=utf-8,${encodeURIComponent(text)}`;
    drawGhost();
  }

  // The parameters in which any kept variant is not as by default.
  function names() {
    return fields.filter((each) => kept.some((one) => one.values[each.name] !== each.dataset.default)).map((each) => each.name);
  }

  function drawGhost() {
    document.querySelector("#blank .ghost")?.remove();
    if (window.formpartsPage) formpartsPage.ghost(ghost && ghost.model);
    const cut = document.querySelector("#blank .cut");
    if (!ghost || !cut) return;
    const shadow = cut.cloneNode();
    shadow.setAttribute("class", "ghost");
    shadow.setAttribute("d", ghost.cut);
    cut.after(shadow);
  }

  // The drawing takes seconds: it is asked for when somebody looks at it.
  const sheet = by("sheet"), drawn = by("drawn"), picture = by("drawing");
  async function draw() {
    if (!sheet.open) return;
    const number = latest;
    drawn.textContent = "…";
    const answer = await ask("drawing");
    if (number !== latest) return;
    drawn.textContent = answer.error ?? "";
    if (answer.drawing) picture.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(answer.drawing)}`;
  }
  sheet.addEventListener("toggle", draw);

  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(update, 60);
  }

  form.addEventListener("input", (event) => {
    const slider = event.target.dataset.for;
    if (slider) field(slider).value = event.target.value;
    else if (twin(event.target.name)) twin(event.target.name).value = event.target.value;
    soon();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  by("defaults").addEventListener("click", () => {
    set(Object.fromEntries(fields.map((each) => [each.name, each.dataset.default])));
    update();
  });

  // The file: what is saved is asked about at once.
  setInterval(async () => {
    let now;
    try { now = (await (await fetch("stamp")).json()).stamp; } catch { return; }
    if (stamp !== null && now !== stamp) { stamp = now; update(); }
  }, 700);
  update();
})();
