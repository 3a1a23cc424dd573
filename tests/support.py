"""Shared by the tests: the demo sites and their documents, made once a process, and a way to change a profile in one line.

What is made once is frozen and shared by every module: nobody changes it. A test that must see a thing made anew calls
`demo_anew` and `composed` itself.
"""

from __future__ import annotations

import contextlib
import copy
import io
import re
import shutil
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml
from hypothesis import settings

from docgen.checked import Assessed
from docgen.cli import main
from docgen.codes import LawAlone, load
from docgen.codes.binding import BindingRules
from docgen.codes.given import with_given
from docgen.compose import compose_all
from docgen.compose.document import Document
from docgen.compose.pieces import Body
from docgen.findings import FIRST, about, first
from docgen.findings.model import Assessment, Finding
from docgen.findings.view import View
from docgen.happened import Happened
from docgen.papers import papers as library
from docgen.pipeline import Bodies, check_site, compared_site, judged
from docgen.read import Source, read_profile
from docgen.records import NONE
from docgen.site import Log, Site, build, build_log
from docgen.site.log import mark_of

ROOT = Path(__file__).resolve().parent.parent
SITES = ROOT / "site_profiles"
AS_OF = date(2026, 11, 1)
DEMOS = ("harrow-ridge", "sable-point", "cormorant-quay", "pellan-creek")
ALL_DEMOS = tuple(sorted(p.name for p in SITES.iterdir() if (p / "profile.yaml").is_file()))
TYPES = ("md", "html", "docx", "pdf")


#: What a class of contractors needs before it may climb, all of it; and the same as changes of harrow-ridge for its service technicians.
CONDITIONS: Mapping[str, object] = {
    "may_climb": True, "bays": ["B1"], "training_checked_at_gate": True, "fit_attested": True, "harness_checked": True, "sign_on": "Sign the gate card",
    "harness_fits": "competent-person", "supervised_by": "shift-supervisor", "rescuers": "site", "language_by": "gate",
}  # fmt: skip
CLIMBING: Mapping[str, object] = {
    **{f"contractors.classes[service].{name}": value for name, value in CONDITIONS.items()},
    "contractors.firms": [{"name": "Pump Service Co. (invented)"}],
}


class Paper(NamedTuple):
    """One composed document and the body it stands on."""

    document: Document
    body: Body


class PlainLoader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):
    """For tables of the tests: dates stay text, and only true and false are truth values, as in a profile."""


PlainLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in rules if not tag.endswith((":timestamp", ":bool"))]
    for first, rules in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
PlainLoader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile("^(?:true|false)$"), ["t", "f"])


#: Writes a profile; ten times as fast as the one of Python alone, where the parser of C is there.
PlainDumper = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


class LawLoader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):
    """For files of law: of plain words only true, false, null, whole numbers and days are no text."""


LawLoader.yaml_implicit_resolvers = {}
for _tag, _pattern, _first in (
    ("bool", "^(?:true|false)$", "tf"),
    ("null", "^null$", "n"),
    ("int", "^-?(?:0|[1-9][0-9]*)$", "-0123456789"),
    ("timestamp", "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "0123456789"),
):
    LawLoader.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(_pattern), list(_first))


@cache
def table(path: Path) -> Any:
    """A table of the tests."""
    return yaml.load(path.read_text(encoding="utf-8"), PlainLoader)


@cache
def demo(name: str, as_of: date = AS_OF) -> Assessed:
    """A demo site, checked once."""
    return demo_anew(name, as_of)


def demo_anew(name: str, as_of: date = AS_OF) -> Assessed:
    """A demo site, checked now, its path given from the checkout so that output does not depend on the machine."""
    checked = check_site(SITES / name, as_of)
    assert isinstance(checked, Assessed)
    return replace(checked, source=replace(checked.source, file=f"site_profiles/{name}/profile.yaml"), records=NONE)


@cache
def compared(name: str) -> tuple[Assessed, Bodies]:
    """A demo with its finished bodies held against each other: the site, and document -> language -> body."""
    return compared_site(demo(name))


@cache
def papers(name: str) -> Mapping[str, Paper]:
    """Every document of a demo by name."""
    return composed(demo(name), bodies=compared(name)[1])


def composed(
    checked: Assessed,
    types: tuple[str, ...] = TYPES,
    own: tuple[Path, ...] = (),
    bodies: Bodies | None = None,
    wanted: tuple[str, ...] = (),
) -> dict[str, Paper]:
    """Every document of a site by name, composed now; or those wanted, such as one that is written on request only."""
    pairs = compose_all(checked.site, checked.code, checked.assessed, checked.happened, types, own, wanted, bodies=bodies)
    return {document.name: Paper(document, body) for document, body in pairs}


def legal_file(checked: Assessed, bodies: Bodies | None = None) -> Document:
    """The legal file of a site, which is written on request only, composed now."""
    return composed(checked, ("md",), bodies=bodies, wanted=("legal-file",))["legal-file"].document


def all_markdown(checked: Assessed, bodies: Bodies | None = None) -> dict[str, str]:
    """The Markdown of every document by name, composed now: the legal file too."""
    names = tuple(paper.name for paper in library() if paper.written)
    return {name: paper.document.markdown for name, paper in composed(checked, ("md",), bodies=bodies, wanted=names).items()}


def markdown(checked: Assessed, own: tuple[Path, ...] = ()) -> dict[str, str]:
    """The Markdown of every document of a site by name, composed now."""
    return {name: paper.document.markdown for name, paper in composed(checked, ("md",), own).items()}


def with_changes(
    checked: Assessed, changes: Mapping[str, object], as_of: date = AS_OF, code: LawAlone | None = None, log: Log | None = None
) -> Assessed:
    """A site with profile values changed, or with another log, assessed again on a day under the law of its place, or another one.

    Answers of law that the profile gives stand before those of the set.
    """
    source = replace(checked.source, data=changed(checked.source.data, dict(changes)))
    site = build(source)
    day = site.document.effective or as_of
    law = with_given(code or load(site.site.jurisdiction, site.site.sector, day), site, day)
    return judge(source, site, law, as_of, checked.log if log is None else log)


@cache
def log_of(name: str) -> Source:
    """The log of a demo as it was read."""
    return read_profile(SITES / name / "log.yaml")


Step = Mapping[str, Any]


def logged(source: Source, steps: Iterable[Step] = ()) -> Log:
    """A log with entries changed by steps, in their order; entries are found by the keys that a step gives.

    `add`: an entry at the end. `drop`: those entries are gone. `set` and `to`: those entries say something else; null removes.
    `correct`, `done`: the last such entry is taken back, or closed. `clear`: these parts are cleared on 2026-09-12.
    """
    entries = [dict(e) for e in source.data["entries"]]
    for step in steps:
        if "add" in step:
            entries.append(dict(step["add"]))
        elif "drop" in step:
            entries = [e for e in entries if not _fits(e, step["drop"])]
        elif "set" in step:
            hit = [e for e in entries if _fits(e, step["set"])]
            assert hit, step
            for entry in hit:
                entry.update(step["to"])
        elif "clear" in step:
            entries += [
                {"kind": "cleared", "on": "2026-09-12", "by": "J. Whitlow", "part": p, "page": "page 30"} for p in step["clear"]
            ]
        else:
            ((kind, asked),) = step.items()
            entry = [e for e in entries if _fits(e, asked)][-1]
            more = {"correct": ("correction", "reason", "Wrong"), "done": ("done", "evidence", "Minutes of the shift")}
            name, key, text = more[kind]
            entries.append({"kind": name, "on": entry["on"], "by": "L. Brandt", "entry": mark_of(entry), key: text})
    said = [{k: v for k, v in e.items() if v is not None} for e in entries]
    return build_log(replace(source, data={"log": 1, "entries": said}))


def _fits(entry: Mapping[str, Any], asked: Mapping[str, Any]) -> bool:
    return all(entry.get(key) == value for key, value in asked.items())


SUBJECT = (
    "part",
    "person",
    "kit",
    "place",
    "method",
    "contact",
    "number",
    "class_",
    "month",
    "what",
    "about",
    "bay",
    "persons",
    "of",
)


def spoken(log: Log, path: str) -> str:
    """A path of an entry as the tables write it: `log[inspection D-1 2026-08-03]` for `log[3f9a12bc]`."""
    entry = next((e for e in log.entries if e.path == path), None)
    if entry is None:
        return path
    about = next((v for name in SUBJECT if (v := getattr(entry, name, None))), None)
    about = ", ".join(about) if isinstance(about, tuple) else about
    return f"log[{' '.join(str(word) for word in (entry.kind, about, entry.on) if word)}]"


def run(*arguments: str) -> tuple[int, str, str]:
    """A command in this process: exit code, and what was printed on either stream."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(list(arguments))
    return code, out.getvalue(), err.getvalue()


def overridden(folder: Path, document: str, stem: str, text: str) -> Path:
    """A folder of templates of one's own with one section of one document, to be put in front of ours."""
    place = folder / document / "en"
    place.mkdir(parents=True, exist_ok=True)
    (place / f"{stem}.md").write_text(text, encoding="utf-8")
    return folder


def tries(usual: int) -> int:
    """How many cases a property is tried with: `usual` in the suite, ten times as many in tests/long (see conftest.py)."""
    return usual * settings.default.max_examples // 100


def judge(source: Source, site: Site, code: LawAlone, as_of: date = AS_OF, log: Log | None = None) -> Assessed:
    """A site under a law on a day, with what happened, without records or private file."""
    return judged(source, site, BindingRules(code, site), as_of, happened=Happened(site, log or Log(), as_of))


def assess(site: Site, code: LawAlone, as_of: date = AS_OF, log: Log | None = None) -> Assessment:
    """Its numbers and findings."""
    return judge(Source("profile.yaml", "", {}, {}, ()), site, code, as_of, log).assessed


def find(view: View, name: str | None = None) -> tuple[Finding, ...]:
    """What both stages find, acceptances aside; or the findings of one name."""
    rules = [r for r in FIRST if name in (None, r.name)]
    if rules and name is not None:
        return first(view, rules)
    found = first(view)
    return tuple(f for f in (*found, *about(view, found, composed=True)) if name in (None, f.name))


def as_if_open(checked: Assessed) -> Assessed:
    """A site whose bays count as open whatever was found: what its papers would say then, where a finding closes them first."""
    planned = tuple(replace(state, state="open", reasons=()) for state in checked.assessed.planned)
    return replace(checked, assessed=replace(checked.assessed, planned=planned))


def changed(data: dict, changes: dict[str, object]) -> dict:
    """A copy of profile data with values at paths such as `equipment[D-1].arrest_distance` set; None removes.

    What lies on no path is shared with the data given, which stay as they are.
    """
    data = dict(data)
    for path, value in changes.items():
        *parents, last = [p for p in re.split(r"\.|(?=\[)", path) if p]
        node = data
        for step in parents:
            node = _enter(node, step)
        if last.startswith("["):
            node_list, key = node, last[1:-1]
            index = next(
                (i for i, v in enumerate(node_list) if isinstance(v, dict) and key in (v.get("id"), v.get("side"), v.get("kit"))),
                None,
            )
            if value is None:
                del node_list[index]
            elif index is None:
                node_list.append(value)
            else:
                node_list[index] = value
        elif value is None:
            node.pop(last, None)
        else:
            node[last] = value
    return data


def _enter(node, step: str):
    """The part of a node that a step names, put into it as a copy of its own."""
    if not step.startswith("["):
        place = step
        node.setdefault(step, {})
    elif step[1:-1].isdigit():
        place = int(step[1:-1])
    else:
        place = next(i for i, v in enumerate(node) if step[1:-1] in (v.get("id"), v.get("side"), v.get("kit")))
    node[place] = copy.copy(node[place])
    return node[place]


def needs(program: str):
    """Skip, with the reason, where a program is absent."""
    return pytest.mark.skipif(shutil.which(program) is None, reason=f"{program} is not installed")
