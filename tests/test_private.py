"""Weights of the private file: only yes and no come out of it, and no figure of it stands in anything that is written or printed.

That exact weights identify people indirectly: 29 CFR 1913.10(b)(2) (read). The scan looks at the text of every output format.
"""

from __future__ import annotations

import contextlib
import importlib.util
import io
import json
import re
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from support import AS_OF, SITES

from docgen.cli import main
from docgen.pipeline import check_site
from docgen.private import NONE, guard_for, leaks_in
from docgen.resources import schema_text

# Figures that no limit, rating or computed value of the demos comes near; pounds and kilograms.
WEIGHTS = {"U-01": "283.7 lb", "U-02": "197.3 lb", "U-03": "318.4 lb", "U-04": "119.3 lb", "U-05": "101.9 kg"}
TRACES = (
    "283.7",
    "197.3",
    "318.4",
    "119.3",
    "101.9",
    "128.68",
    "128.7",
    "89.49",
    "144.42",
    "144.4",
    "54.11",
    "54.1",
    "224.65",
    "224.7",
)
CORNERS = re.compile(r' points="[-0-9., ]*"')
COUNTS = re.compile(
    r"\b(one|two|three|four|five|\d+) (users?|persons?|people|of them) [^.]{0,40}\b(over|above|below|under|outside)\b[^.]{0,30}\blimit",
    re.IGNORECASE,
)


def site_with(folder: Path, weights: dict[str, str], demo: str = "harrow-ridge", edits: tuple[tuple[str, str], ...] = ()) -> Path:
    """A copy of a demo with a private file, and with text of its profile or its log replaced."""
    target = folder / demo
    target.mkdir(parents=True)
    files = {p.name: p.read_text(encoding="utf-8") for p in (SITES / demo).glob("*.yaml")}
    for old, new in edits:
        name = next((name for name, text in files.items() if old in text), None)
        assert name, old
        files[name] = files[name].replace(old, new, 1)
    for name, text in files.items():
        (target / name).write_text(text, encoding="utf-8")
    lines = [f"  {user}: {{weight: {weight}, with_tools: {weight}, on: 2026-09-02}}" for user, weight in weights.items()]
    (target / "private.yaml").write_text("people:\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return target


def run(*arguments: str) -> tuple[int, str]:
    """Exit code, and everything that was printed on either stream."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([*arguments, "--as-of", AS_OF.isoformat()])
    return code, out.getvalue() + err.getvalue()


def texts_of(folder: Path) -> dict[str, str]:
    """Name -> text of every file: parts of packages with their properties, text and metadata of PDF, everything else as it is."""
    texts = {}
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        name = str(path.relative_to(folder))
        if path.suffix == ".docx":
            with zipfile.ZipFile(path) as package:
                parts = [package.read(n).decode("utf-8", "ignore") for n in package.namelist() if n.endswith((".xml", ".rels"))]
            texts[name] = "\n".join(parts) + "\n" + re.sub(r"<[^>]+>", "", "\n".join(parts))
        elif path.suffix == ".pdf":
            texts[name] = _pdf_text(path)
        else:  # the corners of a drawing are measured on paper: any number may be among them
            texts[name] = CORNERS.sub("", path.read_text(encoding="utf-8", errors="ignore"))
    return texts


def _pdf_text(path: Path) -> str:
    from pypdf import PdfReader

    reader = PdfReader(path)
    return "\n".join(
        [*(page.extract_text() for page in reader.pages), str(dict(reader.metadata or {})), str(reader.xmp_metadata or "")]
    )


def found_in_outputs(folder: Path, printed: str) -> list[str]:
    """Everything of the private file that stands in an output: figures in the name or text, and counts over a limit."""
    texts = {**texts_of(folder), "printed": printed} if folder.exists() else {"printed": printed}
    figures = [
        f"{t} in {name}"
        for name, text in texts.items()
        for t in TRACES
        if re.search(rf"(?<![\d.]){re.escape(t)}(?!\d)", f"{name}\n{text}")
    ]
    return figures + [f"count in {name}" for name, text in texts.items() if COUNTS.search(text)]


WITH_PDF = importlib.util.find_spec("typst") is not None
TYPES = "md,html,docx,pdf" if WITH_PDF else "md,html,docx"
HOSTILE = (
    ("storage: Harnesses hang in the ready room", "storage: U-03 is 318.4 lb so his harness hangs apart; harnesses hang in the ready room"),
    ("appeal: Appeal to the safety manager", "appeal: Appeal of the user of 144.4 kg to the safety manager"),
    ("name: Truck driver", "name: Truck driver of 283.7 pounds"),
    ("frequency: about 5 a day", 'frequency: "the one of 318 lb five times a day"'),
)  # fmt: skip


@pytest.mark.parametrize(
    ("demo", "edits", "types"),
    [("harrow-ridge", HOSTILE, TYPES), ("cormorant-quay", (), "md,html")],
    ids=["harrow-ridge-hostile", "cormorant-quay"],
)
def test_no_weight_in_any_output(tmp_path, demo, edits, types):
    """The demo whose texts tell weights in every type, the faulty one in the quick ones (all demos in all types: tests/long)."""
    nothing_leaks(tmp_path, demo, edits, types)


def nothing_leaks(tmp_path, demo, edits, types):
    """Check, JSON, render, explain: no figure of the private file in a text, a name, metadata or a message."""
    weights = {u.replace("U-0", "U-"): w for u, w in list(WEIGHTS.items())[:4]} if demo == "cormorant-quay" else WEIGHTS
    site = site_with(tmp_path / "site", weights, demo, edits)
    out = tmp_path / "out"
    printed = ""
    for arguments in (
        ("check", str(site)), ("check", str(site), "--format", "json"), ("check", str(site), "--compare"),
        ("render", str(site), "--into", str(out), "--types", types), ("explain", "fit-differs-from-private", str(site)),
    ):  # fmt: skip
        code, said = run(*arguments)
        assert code in (0, 1), said
        printed += said
    assert found_in_outputs(out, printed) == []
    kinds = {p.suffix for p in out.rglob("*") if p.is_file()}
    assert kinds == {".json", ".html"} | {f".{kind}" for kind in types.split(",")}


def test_the_scan_finds_what_is_planted(tmp_path):
    """The scan itself works: a weight written into a file of each type, or into a name, is found."""
    (tmp_path / "a.html").write_text("<p>U-03: 318.4 lb</p>", encoding="utf-8")
    with zipfile.ZipFile(tmp_path / "b.docx", "w") as package:
        package.writestr("word/document.xml", "<w:t>144.</w:t><w:t>42 kg</w:t>")
    (tmp_path / "c-283.7.json").write_text("{}", encoding="utf-8")
    assert len(found_in_outputs(tmp_path, "three users are over the limit")) >= 4


def test_hostile_text_is_a_finding_and_is_not_printed(tmp_path):
    """A weight in a text stops the issue at its own line, and the documents print that it was withheld."""
    site = site_with(tmp_path / "site", WEIGHTS, edits=HOSTILE)
    checked = check_site(site, AS_OF)
    told = [f for f in checked.assessed.findings if f.name == "weight-in-text"]
    assert {f.path for f in told} == {
        "inspection.storage",
        "contractors.appeal",
        "contractors.classes[driver].name",
        "tasks[sample].frequency",
    }
    assert all(f.severity == "must-fix" and f.stops == "issue" for f in told)
    run("render", str(site), "--into", str(tmp_path / "out"), "--types", "md")
    plan = next((tmp_path / "out").rglob("fall-protection-plan.md")).read_text(encoding="utf-8")
    assert "text withheld: it gives a person's weight" in plan


def test_without_a_private_file_a_told_weight_is_withheld_too(tmp_path):
    """The words of the screen are enough: nobody needs a private file for the text to be kept back."""
    site = site_with(tmp_path / "site", {}, edits=(("storage: Harnesses hang", "storage: U-06 weighs 412 lb; harnesses hang"),))
    (site / "private.yaml").unlink()
    checked = check_site(site, AS_OF)
    assert "weight-in-text" in {f.name for f in checked.assessed.findings}
    assert "412" not in checked.site.inspection.storage


def test_a_weight_in_an_id_is_a_problem_that_repeats_nothing(tmp_path):
    """An id cannot be withheld, so nothing is written; the message does not repeat it."""
    site = site_with(tmp_path / "site", WEIGHTS, edits=(("id: GATE-1", "id: GATE-318.4lb"),))
    code, said = run("render", str(site), "--into", str(tmp_path / "out"), "--types", "md")
    assert code == 1
    assert "318" not in said
    assert not (tmp_path / "out").exists()


def test_a_schema_problem_does_not_repeat_a_weight(tmp_path):
    """A wrong value that holds a weight is refused without being quoted."""
    site = site_with(tmp_path / "site", WEIGHTS, edits=(("sector: general-industry", "sector: the 318.4 lb sector"),))
    code, said = run("check", str(site))
    assert code == 1
    assert "318" not in said
    assert "profile.yaml:" in said


# weight, limit posted, pass on record, agrees. The law says "less than 310 lb" (29 CFR 1910.140(d)(1), note; from memory); the device begins at 130 lb.
FITS = [
    ("309.9 lb", "pass", True), ("310 lb", "pass", False), ("310.1 lb", "pass", False), ("130 lb", "pass", True), ("129.9 lb", "pass", False),
    ("318 lb", "not-yet", True),
]  # fmt: skip


@pytest.mark.parametrize(("weight", "result", "agrees"), FITS)
def test_fit_against_both_limits(tmp_path, weight, result, agrees):
    """The file and a pass on record agree within the limits, exactly at the upper one as the text in force has it."""
    edits = () if result == "pass" else (("person: U-01, result: pass", "person: U-01, result: not-yet"),)
    checked = check_site(site_with(tmp_path / "site", {"U-01": weight}, edits=edits), AS_OF)
    assert ("fit-differs-from-private" not in {f.name for f in checked.assessed.findings}) is agrees


def test_one_answer_for_the_whole_site(tmp_path):
    """Whether one or all are outside a limit, the findings are word for word the same: nothing can be counted from them."""
    told = []
    for n, weights in enumerate(({"U-01": "318.4 lb"}, {f"U-0{k}": "318.4 lb" for k in range(1, 7)}, {"U-04": "101.2 lb"})):
        site = site_with(tmp_path / str(n), weights)
        _, said = run("check", str(site), "--format", "json")
        data = json.loads(said)
        told.append([(f["name"], f["path"], f["line"], f["message"], f["action"]) for f in data["findings"]])
    assert told[0] == told[1] == told[2]


BAD = [
    "people: [U-01]\n", "weights:\n  U-01: 200 lb\n", "people:\n  U-01: {weight: 231.7, with_tools: 240 lb}\n",
    "people:\n  U-01: {weight: 231.7 lb, with_tools: 240 lb, height: 6 ft}\n", "people:\n  U-01: {weight: 231.7 lb}\n",
    "people:\n  U-01: {weight: 240 lb, with_tools: 231.7 lb}\n",
    "people:\n  U-01: {weight: 231.7 lbf, with_tools: 240 lb}\n",
    "people:\n  U-01: {weight: 231.7 lb, with_tools: 240 lb, on: yesterday}\n", "people:\n  U-01: {weight: 231.7 lb\n",
    "people:\n  U-01: {weight: 231.7 lb}\n  U-01: {weight: 231.7 lb}\n",
    "people:\n  231.7 lb: {weight: 231.7 lb, with_tools: 240 lb}\n",
    "people:\n  231lb: {weight: 231.7 lb, with_tools: 240 lb}\n",
    "people:\n  U-01: {weight: 200 lb, with_tools: 231 lb}\n  U-231-kg: {weight: 200 lb, with_tools: 231 lb}\n",
]  # fmt: skip


@pytest.mark.parametrize("text", BAD)
def test_mistakes_of_the_private_file_repeat_no_figure(tmp_path, text):
    """A mistake in the file is a problem with its line and what would be right, without the figure."""
    site = site_with(tmp_path / "site", {})
    (site / "private.yaml").write_text(text, encoding="utf-8")
    code, said = run("check", str(site))
    assert code == 1
    assert re.search(r"private\.yaml:\d+:\d+: ", said)
    assert "231" not in said


def test_schema_of_the_private_file():
    """The schema for editors takes what the reader takes, and refuses what it refuses."""
    schema = json.loads(schema_text("private"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert validator.is_valid({"people": {"U-01": {"weight": "178 lb", "with_tools": "190 lb", "on": "2026-09-02"}}})
    for wrong in (
        {},
        {"people": {"U-01": {}}},
        {"people": {"U-01": {"weight": "178 lb"}}},
        {"people": {"U-01": {"weight": 178, "with_tools": "190 lb"}}},
        {"people": {"U-01": {"weight": "178 lb", "with_tools": "190 lb", "name": "x"}}},
    ):
        assert not validator.is_valid(wrong)


def test_the_guard_prints_and_travels_as_nothing(tmp_path):
    """What holds the figures shows none and cannot be written out; without a file there is nothing to say."""
    import pickle

    guard = guard_for(site_with(tmp_path / "site", WEIGHTS))
    assert "283" not in repr(guard) + str(guard)
    with pytest.raises(TypeError):
        pickle.dumps(guard)
    assert guard_for(tmp_path).facts({}, None, None, True) == NONE


def test_a_limit_is_no_weight(tmp_path):
    """Someone exactly at a limit of the profile has no figure of his own: the limit may be printed."""
    guard = guard_for(site_with(tmp_path / "site", {"U-01": "310 lb", "U-02": "283.7 lb"}))
    guard.learn((140.613,))
    assert leaks_in({"plan": "The limit is 310 lb (140.6 kg)."}, guard) == ()
    assert leaks_in({"plan": "U-02: 283.7 lb"}, guard) == ("plan",)
    assert leaks_in({"plan": "U-02: 128.7\u00a0kg"}, guard) == ("plan",)


def test_private_file_is_ignored_by_version_control():
    """The file stays out of version control."""
    from support import ROOT

    assert "private.yaml" in (ROOT / ".gitignore").read_text(encoding="utf-8").split()
    git = shutil.which("git")
    if git is None or not (ROOT / ".git").exists():
        pytest.skip("no version control here")
    result = subprocess.run([git, "check-ignore", "-q", "site_profiles/harrow-ridge/private.yaml"], cwd=ROOT, check=False)
    assert result.returncode == 0
