"use strict";
const body = document.querySelector("tbody"), rows = [...body.rows], count = document.getElementById("count");
const search = document.getElementById("search"), picks = ["climb", "client", "place"].map(id => document.getElementById(id));
const finds = rows.map(row => row.dataset.find), picked = rows.map(row => picks.map(p => row.dataset[p.id]));
const heads = [...document.querySelectorAll("thead th")];
let turn = 0;
/* The first hundred lines at once, the others a hundred with each picture: a table of a thousand lines takes half a second to lay out. */
function show(fits, step) {
  const mine = ++turn, left = [...body.rows].filter(row => fits.has(row));
  for (const row of rows) if (!row.hidden) row.hidden = true;
  const more = () => {
    if (mine !== turn) return;
    for (const row of left.splice(0, step)) row.hidden = false;
    body.setAttribute("aria-busy", left.length > 0);
    if (left.length) requestAnimationFrame(() => setTimeout(more));
  };
  more();
}
function filter(step = 100) {
  const words = search.value.toLowerCase().split(/\s+/).filter(Boolean), chosen = picks.map(p => p.value);
  const fits = new Set(rows.filter((row, at) => chosen.every((v, i) => !v || picked[at][i] === v) && words.every(w => finds[at].includes(w))));
  count.textContent = count.dataset.text.replace("{n}", fits.size).replace("{all}", rows.length);
  document.getElementById("none").hidden = fits.size > 0;
  show(fits, step);
}
function sort(at) {
  const down = heads[at].getAttribute("aria-sort") === "ascending", numbers = rows.every(r => r.cells[at].dataset.v !== "" && !isNaN(r.cells[at].dataset.v));
  heads.forEach((head, i) => head.setAttribute("aria-sort", i === at ? (down ? "descending" : "ascending") : "none"));
  const keyed = rows.map((row, i) => [row.cells[at].dataset.v, i, row]);
  keyed.sort((a, b) => (numbers ? a[0] - b[0] : a[0] < b[0] ? -1 : a[0] > b[0] ? 1 : 0) || a[1] - b[1]);
  if (down) keyed.reverse();
  for (const row of rows) if (!row.hidden) row.hidden = true;
  body.append(...keyed.map(k => k[2]));
  filter();
}
heads.forEach((head, i) => head.querySelector("button").addEventListener("click", () => sort(i)));
search.addEventListener("input", () => filter());
picks.forEach(p => p.addEventListener("change", () => filter()));
addEventListener("beforeprint", () => filter(rows.length));
filter();
