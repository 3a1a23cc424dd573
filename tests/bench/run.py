"""Speed as ratios within one run, with pandoc as the yardstick. Run by hand: .venv/bin/python tests/bench/run.py [--against DIR]

Each figure is the median of fresh processes with a warm disk cache. Rows: a cold check against the import of its two
libraries, one site's three documents as HTML and DOCX against the same six files by pandoc from the same Markdown, and all
documents in all types by processor time and memory. `--against` names another checkout, such as one of an older version:
its commands run in turn with ours, and the ratio of the two stands beside each row.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "site_profiles" / "harrow-ridge"
DOCUMENTS = ("fall-protection-plan", "contractor-notice", "rescue-procedure")
RUNS = 9
# as for a user, whose package is installed compiled
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def seconds(*commands: list[str], at: Path = ROOT) -> float:
    """Median wall time of running all commands one after another in a folder, after one run that does not count."""
    times = []
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        for command in commands:
            _run(command, at)
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def _run(command: list[str], at: Path) -> None:
    subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=at, env=ENVIRONMENT)


def in_turn(command: list[str], other: Path) -> tuple[float, float]:
    """Median wall time of the same command in this checkout and in another one, run in turn so that a busy minute hits both."""
    ours, theirs = [], []
    for _ in range(RUNS + 1):
        for times, at in ((ours, ROOT), (theirs, other)):
            start = time.perf_counter()
            _run(command, at)
            times.append(time.perf_counter() - start)
    return statistics.median(ours[1:]), statistics.median(theirs[1:])


def cost(command: list[str]) -> tuple[float, float]:
    """Processor time [s] and peak memory [MB] of one process, by the system's own account of it."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT, env=ENVIRONMENT)
    _, _, used = os.wait4(process.pid, 0)
    scale = 1024 * 1024 if sys.platform == "darwin" else 1024
    return used.ru_utime + used.ru_stime, used.ru_maxrss / scale


def row(name: str, ours: float, theirs: float | None, demand: str, good: bool) -> bool:
    ratio = f"{ours / theirs:5.2f}" if theirs else "    -"
    print(f"{name:52} {ours:7.3f} s {theirs or float('nan'):7.3f} s {ratio}   {demand:24} {'met' if good else 'NOT MET'}")
    return good


def against(other: Path, docgen: list[str], folder: Path) -> None:
    """Rows against another checkout; its own profile is judged, since formats may differ."""
    site = ["site_profiles/harrow-ridge", "--as-of", "2026-11-01"]
    render = [*docgen, "render", *site, "--into", str(folder)]
    for name, command in (
        ("check, cold", [*docgen, "check", *site]),
        ("one site, 3 documents, HTML + DOCX, cold", [*render, "--documents", ",".join(DOCUMENTS), "--types", "html,docx"]),
        ("one site, all documents, all types, cold", render),
    ):
        ours, theirs = in_turn(command, other)
        row(f"{name} / {other.name}"[:52], ours, theirs, "<= 1.10", ours / theirs <= 1.10)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--against", metavar="DIR", type=Path, help="another checkout of this program")
    given = parser.parse_args()
    python = sys.executable
    docgen = [python, "-m", "docgen.cli"]
    good = True
    print(f"{'work':52} {'docgen':>9} {'other':>9} {'ratio':>5}   demand")
    imports = seconds([python, "-c", "import yaml, jsonschema"])
    check = seconds([*docgen, "check", str(SITE), "--as-of", "2026-11-01"])
    good &= row(
        "check, cold, full profile / import yaml, jsonschema",
        check,
        imports,
        "< 0.25 s and <= 2.5",
        check < 0.25 and check / imports <= 2.5,
    )
    with tempfile.TemporaryDirectory() as folder:
        used, memory = cost([*docgen, "render", str(SITE), "--into", folder, "--as-of", "2026-11-01"])
        fits = used <= 4 and memory <= 350
        print(f"{'one site, all documents, all types, cold':52} {used:7.3f} s of processor time, {memory:.0f} MB   "
              f"<= 4 s, <= 350 MB {'met' if fits else 'NOT MET'}")  # fmt: skip
        good &= fits
        if given.against is not None:
            against(given.against.resolve(), docgen, Path(folder))
    if shutil.which("pandoc") is None:
        print("pandoc is not installed: the rows against it are left out")
        return 0 if good else 1
    with tempfile.TemporaryDirectory() as folder:
        into = Path(folder)
        render = [
            *docgen,
            "render",
            str(SITE),
            "--into",
            str(into),
            "--as-of",
            "2026-11-01",
            "--documents",
            ",".join(DOCUMENTS),
            "--types",
        ]
        subprocess.run([*render, "md"], check=False, cwd=ROOT, stdout=subprocess.DEVNULL)
        sources = [into / "harrow-ridge" / f"{name}.md" for name in DOCUMENTS]
        theirs = [
            ["pandoc", "-s", "--metadata", "title=x", str(source), "-o", str(into / f"{source.stem}.p.{kind}")]
            for source in sources for kind in ("html", "docx")
        ]  # fmt: skip
        ours, other = seconds([*render, "html,docx"]), seconds(*theirs)
        good &= row("one site, 3 documents, HTML + DOCX, cold / pandoc", ours, other, "<= 0.9", ours / other <= 0.9)
        pdf = seconds([*render, "pdf"])
        print(f"{'one site, 3 documents, PDF, cold':52} {pdf:7.3f} s")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
