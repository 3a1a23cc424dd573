"use strict";
const body = document.querySelector("tbody"), rows = [...body.rows], count = document.getElementById("count");
const search = document.getElementById("search"), picks = ["climb", "client", "place"].map(id => document.getElementById(id));
const heads = [...document.querySelectorAll("thead th")];
function filter() {
  const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
  let shown = 0;
  for (const row of rows) {
    const fits = picks.every(p => !p.value || row.dataset[p.id] === p.value) && words.every(w => row.dataset.find.includes(w));
    if (row.hidden === fits) row.hidden = !fits;
    if (fits) shown++;
  }
  count.textContent = count.dataset.text.replace("{n}", shown).replace("{all}", rows.length);
  document.getElementById("none").hidden = shown > 0;
}
function sort(at) {
  const down = heads[at].getAttribute("aria-sort") === "ascending", numbers = rows.every(r => r.cells[at].dataset.v !== "" && !isNaN(r.cells[at].dataset.v));
  heads.forEach((head, i) => head.setAttribute("aria-sort", i === at ? (down ? "descending" : "ascending") : "none"));
  const keyed = rows.map((row, i) => [row.cells[at].dataset.v, i, row]);
  keyed.sort((a, b) => (numbers ? a[0] - b[0] : a[0] < b[0] ? -1 : a[0] > b[0] ? 1 : 0) || a[1] - b[1]);
  if (down) keyed.reverse();
  body.append(...keyed.map(k => k[2]));
}
heads.forEach((head, i) => head.querySelector("button").addEventListener("click", () => sort(i)));
search.addEventListener("input", filter);
picks.forEach(p => p.addEventListener("change", filter));
filter();
