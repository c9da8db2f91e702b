// The page: slider, pointer, keyboard, and the tables that follow what is picked.
"use strict";

(function start() {
  const read = (id) => JSON.parse(document.getElementById(id).textContent);
  const canvas = document.getElementById("part"), slider = document.getElementById("fold");
  const single = document.getElementById("single"), shown = document.getElementById("fold-shown");
  const readout = document.getElementById("readout"), play = document.getElementById("play");
  const view = canvas && makeView(canvas);
  if (!view) { document.documentElement.classList.add("no-view"); return; }
  const marked = document.getElementById("marked");
  let model, figures, numbers, count, flatBox, foldedBox, marks = [], lit = new Set(), ghost = null;
  const state = { skin: null, picked: null, hovered: null, chosen: null, playing: 0, drawn: 0 };
  const eye = { turn: 0, tilt: 0, zoom: 1, pan: [0, 0], middle: [0, 0, 0], reach: 1, lies: UPRIGHT };
  const homes = { corner: [-0.62, 0.5], top: [0, Math.PI / 2], front: [0, 0], side: [-Math.PI / 2, 0] };

  function fractions(value) {
    return single.checked ? bentAfter(model, value * count) : model.bends.map(() => value);
  }

  function boxOf(skin) {
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    skin.places.forEach((v, i) => { low[i % 3] = Math.min(low[i % 3], v); high[i % 3] = Math.max(high[i % 3], v); });
    return { middle: times(add(low, high), 0.5), reach: 0.56 * Math.hypot(...minus(high, low)) };
  }

  // Show a part: the one of this page, and later others where the page is made to follow a recipe.
  function show(newModel, newFigures, places = []) {
    [model, figures] = [newModel, newFigures];
    numbers = new Map([...model.flats, ...model.bends].map((piece, at) => [piece.name, at]));
    count = model.steps.length;
    flatBox = boxOf(folded(model, model.bends.map(() => 0)));
    foldedBox = boxOf(folded(model, model.bends.map(() => 1)));
    setMarks(places);
    setFold(Number(slider.value) / 1000);
    if (state.picked && !(state.picked in figures)) state.picked = null;
    say(state.picked);
  }

  // Findings: a mark for each place; it is kept by the triangle that it lies on, and goes with it while the part folds.
  function setMarks(places) {
    const skin = places.length ? folded(model, model.bends.map(() => 1)) : null;
    marks = places.map((place) => ({ ...nearest(skin, place.at), shown: signOf(place) }));
    marked.replaceChildren(...marks.map((mark) => mark.shown));
    choose(null);
  }

  function signOf({ finding, severity }) {
    const sign = document.createElement("span");
    sign.className = severity;
    sign.dataset.finding = finding;
    sign.textContent = `F${finding}`;
    return sign;
  }

  function placeMarks() {
    const axes = axesOf(eye), box = canvas.getBoundingClientRect(), long = (Math.min(box.width, box.height) / 2) * (eye.zoom / eye.reach);
    for (const mark of marks) {
      const away = minus(onTriangle(state.skin, mark), eye.middle);
      const x = (box.width * (1 + eye.pan[0])) / 2 + dot(axes[0], away) * long, y = (box.height * (1 - eye.pan[1])) / 2 - dot(axes[1], away) * long;
      mark.shown.style.transform = `translate(${x}px, ${y}px) translate(-50%, -50%)`;
    }
  }

  function choose(finding) {
    state.chosen = finding === state.chosen ? null : finding;
    for (const each of document.querySelectorAll("[data-finding]")) {
      const on = each.dataset.finding === state.chosen;
      each.classList.toggle("chosen", on);
      each.closest("tr")?.classList.toggle("chosen", on);
      if (each.matches("button")) each.setAttribute("aria-pressed", String(on));
    }
  }

  // To the screen: pieces that are lit, and the edges of a ghost behind the part.
  function shine() {
    const shadow = ghost ? folded(ghost, ghost.bends.map(() => Number(slider.value) / 1000)).lines : [];
    load(view, ghost ? { ...state.skin, soft: state.skin.soft.concat(shadow) } : state.skin, lit);
    redraw();
  }

  function light(names) {
    lit = new Set(names.filter((name) => numbers.has(name)).map((name) => numbers.get(name)));
    shine();
  }

  function setGhost(other) {
    ghost = other;
    shine();
  }

  function setFold(value) {
    slider.value = String(Math.round(value * 1000));
    state.skin = folded(model, fractions(value));
    eye.middle = add(times(flatBox.middle, 1 - value), times(foldedBox.middle, value));
    eye.reach = Math.max(flatBox.reach, foldedBox.reach) * 0.82;
    eye.lies = single.checked ? axesAfter(model, value * count) : UPRIGHT;
    shine();
    const words = value === 0 ? "flat blank" : value === 1 ? "folded part" : single.checked && count
      ? stepWords(value * count) : `${Math.round(100 * value)} % of every angle`;
    shown.textContent = words;
    slider.setAttribute("aria-valuetext", words);
    redraw();
  }

  // What is done now: the part is turned, then bent.
  function stepWords(done) {
    const at = Math.max(0, Math.min(count - 1, Math.ceil(done) - 1)), lies = model.lies[at];
    const names = model.steps[at].map((bend) => model.bends[bend].name).join(" and ");
    return `step ${at + 1} of ${count}: ${lies && done - at < HANDLING ? lies.turn : names + (lies ? lies.how : "")}`;
  }

  function inks() {
    const style = getComputedStyle(document.documentElement);
    const read = (name) => style.getPropertyValue(name).split(",").map(Number);
    const chosen = state.hovered ?? state.picked;
    return { colour: model.colour, mark: read("--mark-3d"), line: read("--line-3d"), soft: read("--soft-3d"), picked: numbers.get(chosen) ?? -5 };
  }

  function redraw() {
    if (state.drawn) return;
    state.drawn = requestAnimationFrame(() => { state.drawn = 0; draw(view, eye, inks()); placeMarks(); });
  }

  function home(name) {
    [eye.turn, eye.tilt] = homes[name];
    eye.pan = [0, 0];
    eye.zoom = fitting();
    redraw();
  }

  // The zoom at which the blank and the folded part both just fit.
  function fitting() {
    const axes = axesOf(eye), box = canvas.getBoundingClientRect(), least = Math.min(box.width, box.height) || 1;
    let zoom = Infinity;
    for (const value of [0, 1]) {
      const skin = folded(model, model.bends.map(() => value)), middle = (value ? foldedBox : flatBox).middle;
      for (let i = 0; i < skin.places.length; i += 3) {
        const away = minus(skin.places.slice(i, i + 3), middle);
        zoom = Math.min(zoom, (0.94 * eye.reach * box.width) / least / Math.abs(dot(axes[0], away)), (0.94 * eye.reach * box.height) / least / Math.abs(dot(axes[1], away)));
      }
    }
    return zoom;
  }

  function say(name) {
    readout.textContent = name ? `${name}: ${figures[name] ?? ""}` : readout.dataset.empty;
    for (const each of document.querySelectorAll("[data-piece]")) each.classList.toggle("picked", name !== null && each.dataset.piece === name);
  }

  function hover(name) {
    if (name === state.hovered) return;
    state.hovered = name;
    canvas.style.cursor = name ? "pointer" : "grab";
    say(name ?? state.picked);
    redraw();
  }

  function pick(name) {
    state.picked = name === state.picked ? null : name;
    state.hovered = null;
    say(state.picked);
    for (const each of document.querySelectorAll("button.piece")) each.setAttribute("aria-pressed", String(each.dataset.piece === state.picked));
    redraw();
  }

  function nameAt(x, y) {
    const ray = rayAt(view, eye, x, y);
    return pieceOnRay(model, state.skin, ray.origin, ray.towards);
  }

  // Pointer: drag turns, shift or two fingers move, wheel and pinch zoom, a tap picks.
  const down = new Map();
  let moved = 0, apart = 0;
  const spread = () => { const [a, b] = [...down.values()]; return Math.hypot(a[0] - b[0], a[1] - b[1]); };
  canvas.addEventListener("pointerdown", (event) => {
    down.set(event.pointerId, [event.clientX, event.clientY]);
    canvas.setPointerCapture(event.pointerId);
    if (down.size === 1) moved = 0;
    if (down.size === 2) apart = spread();
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) { hover(nameAt(event.clientX, event.clientY)); return; }
    const dx = event.clientX - before[0], dy = event.clientY - before[1], box = canvas.getBoundingClientRect();
    down.set(event.pointerId, [event.clientX, event.clientY]);
    moved += Math.abs(dx) + Math.abs(dy);
    if (down.size === 2) {
      const now = spread();
      zoomBy(now / (apart || now)); apart = now;
      eye.pan = [eye.pan[0] + dx / box.width, eye.pan[1] - dy / box.height];
    } else if (event.shiftKey) {
      eye.pan = [eye.pan[0] + (2 * dx) / box.width, eye.pan[1] - (2 * dy) / box.height];
    } else turnBy(-0.008 * dx, 0.008 * dy);
    redraw();
  });
  const lift = (event) => {
    const was = down.delete(event.pointerId);
    if (was && event.type === "pointerup" && moved < 5) pick(nameAt(event.clientX, event.clientY));
  };
  for (const kind of ["pointerup", "pointercancel"]) canvas.addEventListener(kind, lift);
  canvas.addEventListener("pointerleave", () => hover(null));
  canvas.addEventListener("wheel", (event) => { event.preventDefault(); zoomBy(Math.exp(-0.0012 * event.deltaY)); redraw(); }, { passive: false });

  function turnBy(turn, tilt) {
    eye.turn += turn;
    eye.tilt = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, eye.tilt + tilt));
    redraw();
  }

  function zoomBy(factor) {
    eye.zoom = Math.max(0.3, Math.min(40, eye.zoom * factor));
    redraw();
  }

  const keys = {
    ArrowLeft: () => turnBy(-0.1, 0), ArrowRight: () => turnBy(0.1, 0), ArrowUp: () => turnBy(0, 0.1), ArrowDown: () => turnBy(0, -0.1),
    "+": () => zoomBy(1.2), "=": () => zoomBy(1.2), "-": () => zoomBy(1 / 1.2), Home: () => home("corner"), Escape: () => { if (state.picked) pick(state.picked); },
  };
  canvas.addEventListener("keydown", (event) => {
    const act = !event.ctrlKey && !event.metaKey && !event.altKey && keys[event.key];
    if (act) { act(); event.preventDefault(); }
  });

  slider.addEventListener("input", () => { stop(); setFold(Number(slider.value) / 1000); });
  single.addEventListener("change", () => { setFold(Number(slider.value) / 1000); eye.zoom = single.checked ? 1 : fitting(); redraw(); });
  for (const each of document.querySelectorAll("button[data-view]")) each.addEventListener("click", () => home(each.dataset.view));
  document.addEventListener("click", (event) => {
    const finding = event.target.closest("[data-finding]"), piece = event.target.closest("[data-piece]");
    if (finding) {
      choose(finding.dataset.finding);
      // From the table the eye has to be led to the place; it is in view when the place itself was clicked.
      if (finding.matches("button") && state.chosen) canvas.scrollIntoView({ block: "center" });
    } else if (piece) pick(piece.dataset.piece);
  });

  function stop() {
    cancelAnimationFrame(state.playing);
    state.playing = 0;
    play.textContent = "Fold";
  }

  play.addEventListener("click", () => {
    if (state.playing) { stop(); return; }
    const from = Number(slider.value) >= 1000 ? 0 : Number(slider.value) / 1000, began = performance.now();
    // Who asked for less motion gets the end of it at once.
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) { setFold(from === 0 ? 1 : 0); return; }
    const long = 1000 * Math.min(40, Math.max(3, single.checked ? 1.6 * count : 3)) * (1 - from);
    play.textContent = "Stop";
    const step = (now) => {
      const value = Math.min(1, from + ((now - began) / long) * (1 - from));
      setFold(value);
      if (value < 1) state.playing = requestAnimationFrame(step); else stop();
    };
    state.playing = requestAnimationFrame(step);
  });

  new ResizeObserver(redraw).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", redraw);
  // Paper gets a picture of the folded part: a canvas may be empty there.
  window.addEventListener("beforeprint", () => {
    stop(); setFold(1); draw(view, eye, inks());
    document.getElementById("printed").src = canvas.toDataURL();
  });
  slider.value = "1000";
  show(read("model"), read("figures"), document.getElementById("marks") ? read("marks") : []);
  home("corner");
  window.formpartsPage = { setFold, pick, choose, light, ghost: setGhost, nameAt, show, home, state, eye, get model() { return model; }, get marks() { return marks.map((mark) => onTriangle(state.skin, mark)); } };
})();
