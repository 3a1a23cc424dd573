"""Tidying a profile: what is only form is put right, what it says stays, and what is not sure is left."""

import random

import pytest
from support import ALL_DEMOS, SITES, run

from docgen.check import check, measured
from docgen.read import read_text
from docgen.tidy import tidied
from docgen.units import UnitProblem, parse

HEAD = "profile: 2\nsite: {id: bad-yard, name: Bad Yard, jurisdiction: US-KS}\ndocument: {effective: 2026-11-01}\n"

#: What somebody typed, and the same as it should stand; the same twice where it stays.
LINES = [
    ("bays:\n  - {id: B1, name: “Truck bay, north”}\n", 'bays:\n  - {id: B1, name: "Truck bay, north"}\n'),
    ("bays:\n  - {id: B1, name: ‘the \"north\" bay’}\n", "bays:\n  - {id: B1, name: 'the \"north\" bay'}\n"),
    ("bays:\n  - id: B1\n    name: “North” is its name\n", None),
    ("bays:\n  - id: B1\n\u00a0\u00a0\u00a0\u00a0name:\u00a0Truck bay\n", "bays:\n  - id: B1\n    name: Truck bay\n"),
    ("bays:\n  - id: B1\n    name: Truck\u00a0bay\n", None),
    ("bays:\n  - id: B1\n    name: Truck\tbay\n", "bays:\n  - id: B1\n    name: Truck bay\n"),
    ("limits:\n\tlower: {value: 130 lb}\n\tupper: {value: 310 lb}\n", "limits:\n  lower: {value: 130 lb}\n  upper: {value: 310 lb}\n"),
    ("bays:\n  - id: B1\n\tname: Truck bay\n", "bays:\n  - id: B1\n    name: Truck bay\n"),
    ("rescue:\n  contact_limit:\n    value: 4 min\n\tbasis: site target\n", None),
    ("vehicles:\n  - {id: t, deck: 24,5 ft}\n", "vehicles:\n  - {id: t, deck: 24.5 ft}\n"),
    ("vehicles:\n  - {id: t, deck: 24,5\u00a0ft}\n", "vehicles:\n  - {id: t, deck: 24.5 ft}\n"),
    ("vehicles:\n  - {id: t, deck: 24,5\u202fft}\n", "vehicles:\n  - {id: t, deck: 24.5 ft}\n"),
    ("vehicles:\n  - {id: t, deck: 24,500 ft}\n", None),
    ("vehicles:\n  - {id: t, deck: 24,5}\n", None),
    ("vehicles:\n  - id: t\n    deck: {value: 5,6m, tolerance: 0,1 m}\n", "vehicles:\n  - id: t\n    deck: {value: 5.6 m, tolerance: 0.1 m}\n"),
    ("vehicles:\n  - {id: t, deck: 11'6\"} # deck: 11'6\"\n", "vehicles:\n  - {id: t, deck: 11 ft 6 in} # deck: 11'6\"\n"),
    ("vehicles:\n  - {id: t, deck: \"25'\"}\n", "vehicles:\n  - {id: t, deck: 25 ft}\n"),
    ('vehicles:\n  - {id: t, deck: "18\'6\\""}\n', "vehicles:\n  - {id: t, deck: 18 ft 6 in}\n"),
    ("vehicles:\n  - {id: t, deck: 25 feet}\n", "vehicles:\n  - {id: t, deck: 25 ft}\n"),
    ("limits:\n  upper: {value: 310 lbs}\n", "limits:\n  upper: {value: 310 lb}\n"),
    ("limits:\n  upper: {value: 310 lbf}\n", None),
    ("bays:\n  - id: B1\n    name: 25 feet bay\n", None),
    ("bays:\n  - id: B1   \n    name: Bay #1\t\n", "bays:\n  - id: B1\n    name: Bay #1\n"),
    ("bays:\n  - id: B1\n    below: |\n      one  \n      two\n    name: x  \n", "bays:\n  - id: B1\n    below: |\n      one  \n      two\n    name: x\n"),
    ("# “so”, 25 feet, 24,5 ft\n", None),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "right"), LINES, ids=[str(n) for n in range(len(LINES))])
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_a_line_is_tidied(typed, right, end):
    """Exactly so and no further; once more changes nothing, and the ends of lines stay."""
    text, wanted = ((HEAD + each).replace("\n", end) for each in (typed, right or typed))
    assert tidied(text) == wanted
    assert tidied(wanted) == wanted
    assert tidied("\ufeff" + text) == "\ufeff" + wanted


def meaning(text):
    """The data of a text, its figures as amounts, and the problems of check without their columns; None where YAML cannot read it."""
    source = read_text(text)
    if source.data is None:
        return None
    figures = {}
    for path, (kind, said) in measured(source).items():
        try:
            figures[path] = parse(said, kind).si
        except UnitProblem:
            figures[path] = None
    blank = {path: "" for path in figures}
    return _without(source.data, "", blank), figures, sorted((p.line, p.path) for p in check(source))


def _without(value, path, figures):
    if isinstance(value, dict):
        return {key: _without(each, f"{path}.{key}".lstrip("."), figures) for key, each in value.items()}
    if isinstance(value, list):
        return [_without(each, f"{path}[{n}]", figures) for n, each in enumerate(value)]
    return figures.get(path, value)


@pytest.mark.parametrize("name", ALL_DEMOS)
def test_a_demo_says_the_same(name):
    """Tidied, every demo says what it said, down to the last figure; and again it is left alone."""
    text = (SITES / name / "profile.yaml").read_bytes().decode("utf-8")
    new = tidied(text)
    assert meaning(new) == meaning(text)
    assert tidied(new) == new


def test_what_somebody_spoils_comes_back():
    """Forms put into a demo at random, from a seed, that leave it readable or not: tidied, it says what it said before they were put in."""
    rng = random.Random(7)
    text = (SITES / "sable-point" / "profile.yaml").read_text(encoding="utf-8")
    before = meaning(text)
    ways = [
        lambda row: row + "  \t",
        lambda row: "\u00a0" * (len(row) - len(row.lstrip())) + row.lstrip() if not row.lstrip().startswith("#") else row,
        lambda row: row.replace(" ft", " feet", 1).replace(" lb", " lbs", 1),
        lambda row: row.replace(" ft", "ft", 1),
    ]
    for _ in range(12):
        rows = text.splitlines()
        for number in rng.sample(range(2, len(rows)), 6):
            rows[number] = rng.choice(ways)(rows[number])
        assert meaning(tidied("\n".join(rows) + "\n")) == before


def test_the_difference_comes_first(tmp_path):
    """Nothing is written without --yes; with it the file is, and a second time there is nothing to do. The log is left alone."""
    path, log = tmp_path / "profile.yaml", tmp_path / "log.yaml"
    path.write_bytes(f"{HEAD}limits:\n  upper: {{value: 310 lbs}}\n".encode())
    log.write_bytes(b"log: 1  \nentries: []\n")
    before = path.read_bytes()
    code, out, _ = run("tidy", str(tmp_path))
    assert (code, path.read_bytes()) == (0, before)
    assert "-  upper: {value: 310 lbs}\n+  upper: {value: 310 lb}\n" in out
    assert "1 line to tidy; nothing was written, --yes writes it" in out
    code, out, _ = run("tidy", str(tmp_path), "--yes")
    assert (code, "1 line tidied" in out, path.read_bytes()) == (0, True, before.replace(b"lbs", b"lb"))
    assert (run("tidy", str(tmp_path), "--yes")[1], log.read_bytes()) == (
        f"{path}: there is nothing to tidy\n",
        b"log: 1  \nentries: []\n",
    )


@pytest.mark.parametrize(("raw", "said"), [(b"%PDF-1.7 \xff", "this is a PDF"), (b"a: caf\xe9\n", "not UTF-8 text")])
def test_what_is_no_text_is_told(raw, said, tmp_path):
    """With its place, and left as it is."""
    path = tmp_path / "profile.yaml"
    path.write_bytes(raw)
    code, _, err = run("tidy", str(path), "--yes")
    assert (code, said in err, path.read_bytes()) == (2, True, raw)


def test_a_link_stays_a_link(tmp_path):
    """The file that it leads to is the one that is written."""
    path, link = tmp_path / "kept.yaml", tmp_path / "site/profile.yaml"
    path.write_bytes(f"{HEAD}limits:\n  upper: {{value: 310 lbs}}\n".encode())
    link.parent.mkdir()
    try:
        link.symlink_to(path)
    except OSError:
        pytest.skip("this system makes no links")
    code, out, _ = run("tidy", str(link.parent), "--yes")
    assert (code, "1 line tidied" in out, link.is_symlink()) == (0, True, True)
    assert b"310 lb}" in path.read_bytes()
