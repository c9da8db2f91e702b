"use strict";
// Search: every word that the manual explains, by its beginning, then by what it holds, then by its line of text.
const field = document.getElementById("search");
const found = document.getElementById("found");

function rank(entry, wanted) {
  const [word, , line] = entry.map((text) => text.toLowerCase());
  if (word === wanted) return 0;
  if (word.startsWith(wanted)) return 1;
  if (word.includes(wanted)) return 2;
  return line.includes(wanted) ? 3 : 9;
}

function show() {
  const wanted = field.value.trim().toLowerCase();
  found.replaceChildren();
  if (wanted.length < 2) return;
  const ranked = WORDS.map((entry) => [rank(entry, wanted), entry]).filter(([value]) => value < 9);
  ranked.sort((one, other) => one[0] - other[0]);
  const list = document.createElement("ul");
  for (const [, [word, place, line]] of ranked.slice(0, 12)) {
    const link = document.createElement("a");
    link.href = place;
    link.textContent = word;
    const item = document.createElement("li");
    item.append(link, ` ${line}`);
    list.append(item);
  }
  found.append(ranked.length ? list : `Nothing is called "${field.value.trim()}".`);
}

field.addEventListener("input", show);
field.form.addEventListener("submit", (event) => {
  event.preventDefault();
  const first = found.querySelector("a");
  if (first) location.href = first.href;
});
// On a narrow screen the list of pages would stand before every page: it begins closed.
if (matchMedia("(max-width: 52rem)").matches) for (const group of document.querySelectorAll("nav details")) group.open = false;
