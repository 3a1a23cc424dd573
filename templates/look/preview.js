// Put into a page by `docgen render --watch` as it is served, never into the file: loads the page again once it is written anew.
(() => {
  const told = document.currentScript.dataset;
  const place = "folds " + location.pathname;
  const folds = () => [...document.querySelectorAll("details")];
  let kept = null;
  try { kept = JSON.parse(sessionStorage.getItem(place)); } catch { /* nothing was kept */ }
  if (Array.isArray(kept) && kept.length === folds().length) folds().forEach((fold, i) => { fold.open = kept[i]; });

  const over = () => {
    if (document.getElementById("preview-over")) return;
    const line = document.createElement("p");
    line.id = "preview-over";
    line.setAttribute("role", "alert");
    line.style.cssText = "position: sticky; top: 0; z-index: 9; margin: 0; padding: .6rem 1rem; background: #333; color: #fff; font: bold 1rem Arial, sans-serif";
    line.textContent = told.over;
    document.body.prepend(line);
  };
  const again = () => {
    try { sessionStorage.setItem(place, JSON.stringify(folds().map((fold) => fold.open))); } catch { /* then they open as they are */ }
    fetch(location.href, { method: "HEAD" }).then(() => location.reload(), over);  // a page of an error is worse than an old one
  };
  let source, waiting;
  const rest = () => { clearTimeout(waiting); source?.close(); source = undefined; };
  const listen = () => {
    if (source || document.hidden) return;
    source = new EventSource(told.events);
    source.onopen = () => { clearTimeout(waiting); waiting = undefined; document.getElementById("preview-over")?.remove(); };
    source.onmessage = again;
    source.onerror = () => { waiting ??= setTimeout(over, 4000); };
  };
  // a browser keeps few connections to one place: a page that nobody looks at holds none
  document.addEventListener("visibilitychange", () => (document.hidden ? rest() : listen()));
  listen();
})();
