"""Many sites, measured: python tests/bench/portfolio.py [--sites 1000 | --all 20 | --register]; processor time of all processes, wall time, ratios in one run.

Rows: check of all; the three named papers of all in HTML and DOCX, against pandoc (two at a time) on the same Markdown of a sample of the sites;
the page of a register of 1,000 in Chromium; unchanged; one changed; another day; time at a quarter and at all of them (the exponent of a power of the number). Peak memory is that of the largest process.
"""

from __future__ import annotations

import argparse
import math
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from make_portfolio import ROOT, make

PAPERS = "fall-protection-plan,contractor-notice,rescue-procedure"
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | {"PYTHONPATH": str(ROOT)}
SAMPLE = 12


def cost(command: list[str], what: str) -> tuple[float, float]:
    """Wall and processor time [s] of a command with all its processes; the most memory of one of them in the first tenth of the time and in all of it is printed."""
    begun, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    process = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=ENVIRONMENT, start_new_session=True
    )
    seen: list[tuple[float, float]] = []
    while process.poll() is None:
        seen.append((time.perf_counter() - begun, largest(process.pid)))
        time.sleep(0.1)
    wall, after = time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    if process.returncode not in (0, 1, 2):
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    early = max((size for at, size in seen if at <= wall / 10), default=0.0)
    print(
        f"{what:44} {wall:8.1f} s {used:8.1f} s of processor time   one process at most {early:.0f} MB in the first tenth, {max((size for _, size in seen), default=0.0):.0f} MB in all",
        flush=True,
    )
    return wall, used


def largest(group: int) -> float:
    """Memory [MB] of the largest process of a group, by the system's account of it."""
    found = 0.0
    for status in Path("/proc").glob("[0-9]*/status"):
        try:
            if os.getpgid(int(status.parent.name)) == group:
                rows = dict(line.split(":", 1) for line in status.read_text(encoding="utf-8").splitlines() if ":" in line)
                found = max(found, float(rows.get("VmRSS", "0 kB").split()[0]) / 1024)
        except (OSError, ValueError):
            continue
    return found


def docgen(action: str, folder: Path, out: Path | None = None, *more: str, day: str = "2026-11-01") -> list[str]:
    into = ["--into", str(out), "--types", "html,docx", "--documents", PAPERS] if out is not None else []
    return [sys.executable, "-m", "docgen", "portfolio", action, str(folder), "--as-of", day, "--quiet", *into, *more]


def pandoc(texts: list[Path]) -> float:
    """Wall time of pandoc on these texts, each as HTML and as DOCX, two at a time."""
    with tempfile.TemporaryDirectory() as out:
        lines = "\n".join(f"{text} -s -o {out}/{n}.{kind}" for n, text in enumerate(texts) for kind in ("html", "docx"))
        begun = time.perf_counter()
        subprocess.run(["xargs", "-P", "2", "-L", "1", "pandoc"], input=lines, text=True, check=True, stderr=subprocess.DEVNULL)
        return time.perf_counter() - begun


def register_page() -> None:
    """A register of 1,000 lines in Chromium: from the call to the page with its lines laid out, and of each of these searches to the next picture; the worst of three."""
    sys.path.insert(0, str(ROOT / "tests"))
    from browser import opened
    from registered import lines
    from support import AS_OF

    from docgen.portfolio.register import as_page

    paint = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
    with tempfile.TemporaryDirectory() as top, opened() as page:
        path = Path(top) / "register.html"
        path.write_text(as_page(lines(1000), AS_OF, "en", Path(top)), encoding="utf-8")
        open_, filter_ = [], []
        for _ in range(3):
            begun = time.perf_counter()
            page.goto(path.as_uri())
            page.evaluate(paint)
            open_.append(time.perf_counter() - begun)
            for words in ("ridge", "clearance srd", "no such thing", ""):
                filter_.append(page.evaluate("""words => new Promise(done => { const begun = performance.now(), box = document.getElementById('search');
                    box.value = words; box.dispatchEvent(new Event('input')); document.body.offsetHeight;
                    requestAnimationFrame(() => setTimeout(() => done(performance.now() - begun))) })""", words))  # fmt: skip
        print(
            f"register of 1,000 sites in Chromium ({path.stat().st_size / 1e6:.1f} MB): opens in {max(open_):.2f} s, filters in {max(filter_):.0f} ms (worst of three)"
        )


def everything(count: int, seed: int) -> None:
    """All papers in all types, and without PDF, of so many sites: processor time, and the share of PDF in it."""
    with tempfile.TemporaryDirectory() as top:
        folder = Path(top) / "all"
        make(folder, count, seed)
        used = {}
        for what, types in (("all types", "md,html,docx,pdf"), ("without PDF", "md,html,docx")):
            command = [sys.executable, "-m", "docgen", "portfolio", "render", str(folder), "--as-of", "2026-11-01", "--quiet"]
            used[what] = cost([*command, "--into", str(Path(top) / what), "--types", types], f"all papers of {count}, {what}")[1]
        whole, less = used["all types"], used["without PDF"]
        print(
            f"all papers and types: {whole / count:.2f} s of processor time a site, {1000 * whole / count / 2 / 60:.0f} min for 1,000 on two cores; share of PDF {1 - less / whole:.0%}"
        )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=17)
    parser.add_argument("--register", action="store_true", help="the page of the register alone")
    parser.add_argument("--all", type=int, metavar="N", help="all papers and types of N sites alone, and the share of PDF")
    given = parser.parse_args()
    if given.register or given.all:
        everything(given.all, given.seed) if given.all else register_page()
        return 0
    with tempfile.TemporaryDirectory() as top:
        folder, out = Path(top) / "all", Path(top) / "out"
        print(f"{given.sites} sites, faults planted: {make(folder, given.sites, given.seed)}")
        used = {"check": {given.sites: cost(docgen("check", folder), "check of all")[1]}}
        used["render"] = {given.sites: cost(docgen("render", folder, out), "three papers of all, HTML and DOCX")[1]}
        cost(docgen("render", folder, out), "unchanged")
        one = next(folder.glob("client-01/*/profile.yaml"))
        one.write_text(one.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        cost(docgen("render", folder, out), "one changed")
        cost(docgen("render", folder, out, day="2026-11-02"), "another day")
        shutil.rmtree(out)
        for count in (given.sites // 20, given.sites // 5):
            make(Path(top) / str(count), count, given.seed)
            used["check"][count] = cost(docgen("check", Path(top) / str(count)), f"check of {count}")[1]
            used["render"][count] = cost(
                docgen("render", Path(top) / str(count), Path(top) / f"out{count}"), f"three papers of {count}"
            )[1]
        for what, by in used.items():
            (few, least), *_, (most, all_) = sorted(by.items())
            print(
                f"{what}: exponent of processor time over {', '.join(map(str, sorted(by)))} sites: {math.log(all_ / least) / math.log(most / few):.3f} (wanted at most 1.05)"
            )
        if shutil.which("pandoc") is None:
            print("pandoc is not installed: the ratio is left out")
            return 0
        sample = Path(top) / "sample"
        make(sample, SAMPLE, given.seed)
        written = [*docgen("render", sample), "--into", str(Path(top) / "md"), "--types", "md", "--documents", PAPERS]
        subprocess.run(written, env=ENVIRONMENT, stdout=subprocess.DEVNULL, check=False)
        texts = sorted(p for name in PAPERS.split(",") for p in (Path(top) / "md").rglob(f"{name}.md"))
        ours, _ = cost(docgen("render", sample, Path(top) / "again"), f"{SAMPLE} sites")
        theirs = pandoc(texts)
        print(
            f"{SAMPLE} sites / pandoc two at a time on the same texts: {theirs:.1f} s to {ours:.1f} s, pandoc takes {theirs / ours:.2f} times as long (wanted 3.0)"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
