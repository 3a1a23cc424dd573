"""Speed as ratios within one run, with pandoc as the yardstick. Run by hand: .venv/bin/python tests/bench/run.py

Each figure is the median of fresh processes with a warm disk cache. Rows: a cold check against the import of its two
libraries, and one site's three documents as HTML and DOCX against the same six files by pandoc from the same Markdown.
"""

from __future__ import annotations

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


def seconds(*commands: list[str]) -> float:
    """Median wall time of running all commands one after another, after one run that does not count."""
    times = []
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        for command in commands:
            subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT, env=ENVIRONMENT)
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def row(name: str, ours: float, theirs: float | None, demand: str, good: bool) -> bool:
    ratio = f"{ours / theirs:5.2f}" if theirs else "    -"
    print(f"{name:52} {ours:7.3f} s {theirs or float('nan'):7.3f} s {ratio}   {demand:24} {'met' if good else 'NOT MET'}")
    return good


def main() -> int:
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
