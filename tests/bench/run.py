"""Speed as ratios within one run, with pandoc as the yardstick. Run by hand: .venv/bin/python tests/bench/run.py [--against DIR]

Each figure is the least processor time (user and system) of several fresh processes with a warm disk cache, since a busy
machine adds to it and takes nothing away. Rows: a cold check against the import of its two libraries, all documents in all types
with the peak memory and the split by stage, and one site's three documents as HTML and DOCX against the same six files by pandoc
from the same Markdown. `--against` names another checkout, such as one of an older version: its commands run in turn with ours,
and the ratio of the two stands beside each row.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SITE = ROOT / "site_profiles" / "harrow-ridge"
DOCUMENTS = ("fall-protection-plan", "contractor-notice", "rescue-procedure")
RUNS = 5
# as for a user, whose package is installed compiled
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def least(*turns: tuple[list[list[str]], Path]) -> list[tuple[float, float]]:
    """Least processor time [s] and most memory [MB] of each list of commands, run in turn in its folder after one run that does not count."""
    found: list[list[tuple[float, float]]] = [[] for _ in turns]
    for _ in range(RUNS + 1):
        for (commands, at), costs in zip(turns, found, strict=True):
            each = [cost(command, at) for command in commands]
            costs.append((sum(used for used, _ in each), max(memory for _, memory in each)))
    return [(min(used for used, _ in costs[1:]), max(memory for _, memory in costs[1:])) for costs in found]


def cost(command: list[str], at: Path = ROOT) -> tuple[float, float]:
    """Processor time [s] and peak memory [MB] of one process, by the system's own account of it."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=at, env=ENVIRONMENT)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    scale = 1024 * 1024 if sys.platform == "darwin" else 1024
    return used.ru_utime + used.ru_stime, used.ru_maxrss / scale


#: Run in a fresh process: what each stage of a command takes, imports in the stage that needs them.
STAGES = """
import sys, time
from datetime import date
from pathlib import Path
marks = [("", 0.0)]
def mark(name):
    marks.append((name, time.process_time()))
types, wanted = tuple(sys.argv[3].split(",")), tuple(filter(None, sys.argv[4].split(",")))
import docgen.cli, docgen.pipeline
mark("start")
checked = docgen.pipeline.check_site(Path(sys.argv[1]), date(2026, 11, 1))
mark("check")
import docgen.compose.assembly, docgen.compose.contradictions
mark("imports")
checked, bodies = docgen.pipeline.compared_site(checked, wanted)
mark("bodies")
documents = docgen.compose.compose_all(
    checked.site, checked.code, checked.assessed, checked.happened, types, wanted=wanted, records=checked.records, bodies=bodies, look=checked.look
)
mark("frames")
import docgen.write.folder
for kind in types:
    docgen.write.folder.write_all(documents, checked, Path(sys.argv[2]), (kind,))
    mark(kind)
if not wanted:
    docgen.pipeline.stated(checked, bodies, tuple(document for document, _ in documents))
    mark("unprinted")
print(*(f"{name}={now - before:.4f}" for (_, before), (name, now) in zip(marks, marks[1:])))
"""


def split(types: str, wanted: str = "") -> str:
    """The least processor time of each stage of writing these papers, over several fresh processes."""
    stages: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(RUNS):
            command = [sys.executable, "-c", STAGES, str(SITE), folder, types, wanted]
            told = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT, env=ENVIRONMENT).stdout
            for name, figure in (part.split("=") for part in told.split()):
                stages[name] = min(float(figure), stages.get(name, float("inf")))
    return ", ".join(f"{name} {used:.2f}" for name, used in stages.items()) + " s"


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
        (ours, _), (theirs, _) = least(([command], ROOT), ([command], other))
        row(f"{name} / {other.name}"[:52], ours, theirs, "<= 1.10", ours / theirs <= 1.10)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--against", metavar="DIR", type=Path, help="another checkout of this program")
    given = parser.parse_args()
    python = sys.executable
    docgen = [python, "-m", "docgen.cli"]
    good = True
    print(f"{'work':52} {'docgen':>9} {'other':>9} {'ratio':>5}   demand")
    (check, _), (imports, _) = least(
        ([[*docgen, "check", str(SITE), "--as-of", "2026-11-01"]], ROOT), ([[python, "-c", "import yaml, jsonschema"]], ROOT)
    )
    good &= row(
        "check, cold, full profile / import yaml, jsonschema",
        check,
        imports,
        "< 0.25 s and <= 2.5",
        check < 0.25 and check / imports <= 2.5,
    )
    with tempfile.TemporaryDirectory() as folder:
        ((used, memory),) = least(([[*docgen, "render", str(SITE), "--into", folder, "--as-of", "2026-11-01"]], ROOT))
        fits = used <= 4 and memory <= 350
        print(f"{'one site, all documents, all types, cold':52} {used:7.3f} s of processor time, {memory:.0f} MB   "
              f"<= 4 s, <= 350 MB {'met' if fits else 'NOT MET'}")  # fmt: skip
        good &= fits
        print(f"  of it {split('md,html,docx,pdf')}")
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
        (ours, _), (other, _) = least(([[*render, "html,docx"]], ROOT), (theirs, ROOT))
        good &= row("one site, 3 documents, HTML + DOCX, cold / pandoc", ours, other, "<= 0.9", ours / other <= 0.9)
        print(f"  of it {split('html,docx', ','.join(DOCUMENTS))}")
        ((pdf, _),) = least(([[*render, "pdf"]], ROOT))
        print(f"{'one site, 3 documents, PDF, cold':52} {pdf:7.3f} s")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
