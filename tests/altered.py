"""Demos altered at random from a seed, and every command tried on each: what `check` accepts, every other command takes.

A profile is altered in one to three places: a key dropped, added or emptied, a value swapped for another that a user may write there (an
example or a bound of the schema, what another demo has in the same place, another id), a figure made zero, negative, tiny or huge, an entry
of a list doubled or gone, a text made hostile.
"""

from __future__ import annotations

import copy
import json
import random
import re
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from support import ALL_DEMOS, AS_OF, SITES

from docgen.checked import Assessed, Refused
from docgen.compose.frame import copies
from docgen.control.approve import Request
from docgen.errors import Refusal
from docgen.papers import outline, papers
from docgen.pipeline import check_site, compared_site, render_site, stated
from docgen.read import read_profile
from docgen.report import as_json, as_text
from docgen.revisions import approve_site, compare_site, papers_of
from docgen.site.schema import profile_schema
from docgen.write import ending_of

__all__ = ["Alteration", "altered", "tried", "tried_in_turn"]

SCHEMA = profile_schema()
STEP = re.compile(r"\[\d+\]")
FIGURE = re.compile(r"(-?\d+(?:\.\d+)?)( ?\D.*)?")
HOSTILE = (
    "<script>alert(1)</script> & 'quoted' \"twice\"", "| a | b |", "# title", "{{ 7 * 7 }} {% if x %}", "*_`~^ [x](http://example.org) ![y](z)",
    "&amp; &lt;b&gt; &#39;", "1. first", "- - -", ": meaning", "{: #id .clause }", "Ā ż ñ ø Ü ß — – … ° µ ½", "x", "=2+3", "!!! warning", "漢字",
    "O'Brien-Whāmere, José & Łucja", "$^2$ \\ \\\\n", "{name} {0} %s", "٣ עברית", "a" * 300, "www.example.org me@example.org", "none", "true",
)  # fmt: skip


class Alteration(NamedTuple):
    """A demo with places altered: `what` tells what was done, `data` is the profile."""

    demo: str
    what: tuple[str, ...]
    data: dict[str, Any]


@cache
def _data(demo: str) -> dict[str, Any]:
    return read_profile(SITES / demo).data


def _places(value: Any, path: str = "", keys: tuple[str | int, ...] = ()) -> Iterator[tuple[str, tuple[str | int, ...], Any]]:
    """Every place below: its path without numbers, the way to it, what stands there."""
    if keys:
        yield path, keys, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _places(inner, f"{path}.{key}", (*keys, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _places(inner, f"{path}[]", (*keys, index))


@cache
def _elsewhere() -> dict[str, list[Any]]:
    """Path without numbers -> what the demos have there."""
    found: dict[str, list[Any]] = {}
    for demo in ALL_DEMOS:
        for path, _, value in _places(_data(demo)):
            if value not in (seen := found.setdefault(path, [])):
                seen.append(value)
    return found


def _node(keys: tuple[str | int, ...]) -> dict[str, Any]:
    """What the schema says of a place; nothing where it says nothing."""
    node: Any = SCHEMA
    for key in keys:
        node = _resolved(node)
        node = node.get("items", {}) if isinstance(key, int) else node.get("properties", {}).get(key, {})
    return _resolved(node)


def _resolved(node: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in node:
        target: Any = SCHEMA
        for step in node["$ref"].removeprefix("#/").split("/"):
            target = target[step]
        node = {**target, **{key: value for key, value in node.items() if key != "$ref"}}
    return node


def _at(data: Any, keys: tuple[str | int, ...]) -> Any:
    for key in keys:
        data = data[key]
    return data


def _offered(node: dict[str, Any], path: str) -> list[Any]:
    """What a user may well write in a place: examples, listed values and bounds of the schema, and what the demos have there."""
    bounds = [node[name] for name in ("minimum", "maximum", "exclusiveMinimum") if name in node]
    return [*node.get("examples", ()), *node.get("enum", ()), *bounds, *_elsewhere().get(path, ())]


def _figure(value: Any, draw: random.Random) -> Any:
    """A figure made zero, negative, tiny, huge or another of its size, its unit kept."""
    if isinstance(value, bool):
        return not value
    turn: Callable[[float], float] = draw.choice((
        lambda x: 0, lambda x: -x, lambda x: x * 1e-3, lambda x: x * 10, lambda x: x * 1000, lambda x: x * 1e9, lambda x: x / 2, lambda x: x * 2, lambda x: x + 1,
    ))  # fmt: skip
    if isinstance(value, (int, float)):
        made = turn(value)
        return int(made) if isinstance(value, int) else made
    match = FIGURE.fullmatch(value)
    assert match is not None
    return f"{turn(float(match[1])):.6f}".rstrip("0").rstrip(".") + (match[2] or "")


def _ids(data: Any) -> list[str]:
    return [v for path, _, v in _places(data) if path.endswith(".id") and isinstance(v, str)]


def _altered_once(data: dict[str, Any], draw: random.Random) -> str:
    """Alter one place of the data and tell how."""
    places = list(_places(data))
    figures = [place for place in places if isinstance(place[2], int | float | str) and FIGURE.fullmatch(str(place[2]))]
    path, keys, value = draw.choice(figures if figures and draw.random() < 0.3 else places)
    over, last = _at(data, keys[:-1]), keys[-1]
    node = _node(keys)
    ways = ["drop", "swap", "swap"]
    if isinstance(value, dict):
        ways += ["add", "add", "add"]
    if isinstance(value, list):
        ways += ["empty", "double", "add-entry", "backwards"]
    if isinstance(value, (int, float)) or (isinstance(value, str) and FIGURE.fullmatch(value)):
        ways += ["figure"] * 4
    if isinstance(value, str):
        ways += ["text", "id", "unknown"]
    way = draw.choice(ways)
    told = f"{way} {''.join(f'[{k}]' if isinstance(k, int) else f'.{k}' for k in keys)}"
    if way == "drop":
        del over[last]
    elif way == "swap" and (offered := _offered(node, path)):
        over[last] = copy.deepcopy(draw.choice(offered))
        told += f" = {str(over[last])[:60]}"
    elif way == "add" and (free := [k for k in node.get("properties", {}) if k not in value]):
        key = draw.choice(free)
        if offered := _offered(_node((*keys, key)), f"{path}.{key}"):
            value[key] = copy.deepcopy(draw.choice(offered))
            told += f" {key} = {str(value[key])[:60]}"
    elif way == "add-entry" and (offered := _offered(_node((*keys, 0)), f"{path}[]")):
        value.append(copy.deepcopy(draw.choice(offered)))
        told += f" {str(value[-1])[:60]}"
    elif way == "double" and value:
        again = copy.deepcopy(draw.choice(value))
        if isinstance(again, dict) and "id" in again and draw.random() < 0.7:
            again["id"] = f"{again['id']}x"
        value.append(again)
        told += f" {str(again)[:60]}"
    elif way == "empty":
        over[last] = []
    elif way == "backwards":
        value.reverse()
    elif way == "figure":
        over[last] = _figure(value, draw)
        told += f" {value} -> {over[last]}"
    elif way == "text":
        over[last] = draw.choice(HOSTILE)
        told += f" = {over[last][:40]}"
    elif way == "id" and (ids := _ids(data)):
        over[last] = draw.choice(ids)
        told += f" = {over[last]}"
    elif way == "unknown":
        over[last] = "unknown"
    return told


def altered(number: int, demos: tuple[str, ...] = ALL_DEMOS) -> Alteration:
    """The alteration of that number: the same each time."""
    draw = random.Random(number)
    demo = demos[number % len(demos)]
    data = copy.deepcopy(_data(demo))
    what = tuple(_altered_once(data, draw) for _ in range(draw.choice((1, 1, 2, 3))))
    return Alteration(demo, what, data)


def _written(one: Alteration, folder: Path, base: Path | None) -> Path:
    """A site folder with that profile: a copy of the demo, or of the folder that is given."""
    site = folder / "site"
    shutil.rmtree(site, ignore_errors=True)
    shutil.copytree(base or SITES / one.demo, site)
    (site / "profile.yaml").write_text(json.dumps(one.data, indent=1, ensure_ascii=False), encoding="utf-8")
    return site


def tried(
    one: Alteration, folder: Path, types: tuple[str, ...] = ("md", "html", "docx"), base: Path | None = None, control: bool = True
) -> bool:
    """Try every command on an altered site; whatever they raise is a fault. False where `check` has problems with the profile.

    A problem has its place and its message. Every paper is written in each of the types; with `control` those kept apart too, and it is
    approved, and compared with what was issued where `base` is a folder with a revision, or refused by name.
    """
    site = _written(one, folder, base)
    checked = check_site(site, AS_OF)
    as_text(checked)
    if isinstance(checked, Refused):
        for problem in checked.problems:
            assert min(problem.line, problem.column) >= 1, problem
            assert problem.message, problem
        return False
    wanted = tuple(p.name for p in papers() if p.written) if control else ()
    compared, bodies = compared_site(checked, wanted)
    if not control:
        compared = stated(compared, bodies)
    as_text(compared)
    json.loads(as_json(compared), parse_constant=_no_number)
    written = render_site(compared, folder / "out", types, wanted, bodies)
    ends: dict[str, set[str]] = {}
    for path in written.files:
        if path.name not in ("index.html", "build.json"):
            end = ending_of(path.name)
            ends.setdefault(path.name.removesuffix(f".{end}"), set()).add(end)
    asked = wanted or tuple({name.partition(".")[0] for name in bodies})
    shown = (p for p in papers() if p.written and p.name in asked and {*p.types} & {*types})
    due = {
        stem for p in shown for stem in copies(p, compared.site, compared.assessed)
    }  # one a bay only where a bay is in that state
    assert due <= {*ends}, (due, ends)
    assert all(found == {*outline(stem.partition(".")[0]).endings(types)} for stem, found in ends.items()), ends
    assert all(path.stat().st_size for path in written.files)
    shutil.rmtree(folder / "out")
    if control:
        for request in _requests(compared):
            refused(lambda request=request: approve_site(checked, site, request, "en"))
        answer = refused(lambda: papers_of(checked, compare_site(checked), ("docx",), True, None, "en"))
        assert answer == (None if base else "nothing-issued-yet"), answer
    return True


def tried_in_turn(number: int, folder: Path) -> bool:
    """The alteration of that number tried: every one as Markdown and HTML, one in 4 as DOCX, one in 20 as PDF, one in 6 under control."""
    types = ("md", "html", *(() if number % 4 else ("docx",)), *(() if number % 20 else ("pdf",)))
    return tried(altered(number), folder, types, control=number % 6 == 0)


def _no_number(sign: str) -> None:
    raise AssertionError(f"{sign} in a report")


def refused(asked: Callable[[], object]) -> str | None:
    """The name of the refusal that something asked for ends in; None where it is done."""
    try:
        asked()
    except Refusal as refusal:
        return refusal.name
    return None


def _requests(checked: Assessed) -> Iterator[Request]:
    """Approvals of the papers in one part by somebody whom the profile names for it."""
    for part in ("counsel", "issuing-authority", "qualified-person"):
        for name in checked.site.named_for(part, AS_OF)[:1]:
            yield Request("engineering-record" if part == "qualified-person" else "contractor-notice", part, name, AS_OF)


if __name__ == "__main__":  # python tests/altered.py FIRST COUNT: the faults, one a line
    import collections
    import sys
    import tempfile
    import traceback

    seen: collections.Counter[str] = collections.Counter()
    with tempfile.TemporaryDirectory() as place:
        for done, number in enumerate(range(int(sys.argv[1]), int(sys.argv[1]) + int(sys.argv[2]))):
            if done % 100 == 99:
                print(dict(seen), flush=True)
            one = altered(number)
            try:
                seen["accepted" if tried_in_turn(number, Path(place)) else "refused"] += 1
            except Exception as error:
                seen["FAULT"] += 1
                at = traceback.extract_tb(error.__traceback__)[-1]
                print(
                    f"{number} {one.demo} {one.what} {type(error).__name__}: {str(error)[:300]} [{at.filename.rpartition('/')[2]}:{at.lineno}]",
                    flush=True,
                )
    print(dict(seen))
