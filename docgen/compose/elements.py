"""The element index: what each published list asks for, and the clause that meets it or what the profile lacks.

An element is met when the profile gives what its clauses need to speak of this site, and those clauses stand in the
documents as written. An item of a list is met by the telling clauses of its merged elements, or by clauses of its own, all of which
must be there. Nothing here is part of a digest.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from docgen.codes.lists import Element, ElementList, Merged, element_lists, element_words, listed_papers, merged_elements, said
from docgen.papers import outline
from docgen.site import KEY_OF_FIELD, Node, Site
from docgen.units import Interval, parse, parse_interval

if TYPE_CHECKING:
    from docgen.compose.pieces import Body
    from docgen.findings.model import Assessment

__all__ = ["Index", "ListRows", "Met", "Row", "applying", "index_of", "indexes", "lacking", "met", "places_of", "reached"]

FIELD_OF_KEY = {key: name for name, key in KEY_OF_FIELD.items()}
STEP = re.compile(r"([a-z_]+)(?:\[([^\]]*)\])?(?:\.|$)")
HEADING = re.compile(r"^#{2,4} .*\{: #([\w.-]+)", re.MULTILINE)
ASKED = re.compile(r"(?P<path>\S.*?) (?P<how>=|!=|<=|has|says) (?P<wanted>.+)")
SOME_DAY = date(2026, 1, 1)  # two intervals are compared by the days on which they end


@dataclass(frozen=True, slots=True)
class Met:
    """One merged element at one site: ids of the clauses that meet it, the telling one first, or what is missing in words."""

    id: str
    name: str
    says: str
    clauses: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def met(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the index. `where` names papers and the numbers of their clauses.

    `missing` says what the profile or the paper lacks, `see` in a list which merged elements fail; both are empty when the element is
    met. `look` marks places that bear on an item and that a person must read; `part` names of a merged element the items of lists
    that are not met. `basis` is that of an item where it is not the basis of its list.
    """

    key: str
    says: str
    where: tuple[str, ...]
    missing: tuple[str, ...]
    see: tuple[str, ...] = ()
    basis: str = ""
    look: bool = False
    part: tuple[str, ...] = ()

    @property
    def lacks(self) -> bool:
        """Whether something is missing."""
        return bool(self.missing or self.see)

    @property
    def met(self) -> bool:
        """Whether nothing is missing, and no person has to look first."""
        return not (self.lacks or self.look or self.part)


@dataclass(frozen=True, slots=True)
class ListRows:
    """One list that applies, with its rows."""

    list: ElementList
    rows: tuple[Row, ...]

    @property
    def open(self) -> int:
        """How many rows are not met."""
        return sum(row.lacks for row in self.rows)

    @property
    def weak(self) -> int:
        """How many rows a person has to look at."""
        return sum(row.look for row in self.rows)


@dataclass(frozen=True, slots=True)
class Index:
    """The index of the elements of one paper."""

    merged: tuple[Row, ...]
    lists: tuple[ListRows, ...]
    open: int

    @property
    def partly(self) -> int:
        """How many merged elements are met in part: an item of a list that they take together is not."""
        return sum(bool(row.part) for row in self.merged)


def applying(site: Site, document: str | None = None) -> tuple[ElementList, ...]:
    """The lists that apply to a site, of one document (plan, rescue, notice) or of all."""
    place = (site.site.jurisdiction, site.site.sector, site.codes.owner)
    return tuple(a for a in element_lists() if a.applies(*place) and document in (None, a.document))


def met(site: Site, assessed: Assessment, bodies: Mapping[str, Body], language: str) -> Mapping[str, Met]:
    """Every merged element whose document is among `bodies`, by id."""
    written = [c.id for body in bodies.values() for c in body.clauses]
    texts = element_words(language)
    found = {}
    for key, element in merged_elements().items():
        if listed_papers()[element.document] not in bodies:
            continue
        clauses, missing = _standing(element.clauses, element.needs, written, site, assessed, texts)
        words = texts["merged"][key]
        found[key] = Met(key, words["name"], words["says"], clauses, missing)
    return found


def _standing(
    wanted: Iterable[str],
    needs: Iterable[str],
    written: Collection[str],
    site: Site,
    assessed: Assessment,
    texts: Mapping[str, Any],
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The clauses as written that meet what is asked for, or what is missing in words."""
    missing = tuple(dict.fromkeys(_named(need, paths, texts["needs"]) for need, paths in _unmet(needs, site, assessed)))
    clauses: list[str] = []
    for one in wanted:
        hits = [c for c in written if c == one or (one.endswith(".*") and c.startswith(one[:-1]) and _speaks(c, needs, site))]
        if not hits and not missing:
            missing = (texts["no_clause"].format(clause=one),)
        clauses += hits
    return () if missing else tuple(clauses), missing


def lacking(element: Merged | Element, site: Site, assessed: Assessment) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What an element needs and the profile does not give: the need, and the paths of the records that lack it."""
    yield from _unmet(element.needs, site, assessed)


def _unmet(needs: Iterable[str], site: Site, assessed: Assessment) -> Iterator[tuple[str, tuple[str, ...]]]:
    for need in needs:
        if need.startswith("="):
            if not _result(need[1:], site, assessed):
                yield need, ()
            continue
        leaves = list(reached(site, need))
        without = tuple(path for path, value in leaves if not (_given(value) and _is(value, need)))
        if not leaves or (len(without) == len(leaves) if "[any" in need else without):
            yield need, () if "[any" in need else without


def _speaks(clause: str, needs: Iterable[str], site: Site) -> bool:
    """Whether a clause about one record of many is about one that gives what `[any]` of them must give."""
    for need in needs:
        if "[any]" not in need:
            continue
        start = need[: need.index("[any]") + 1]
        every = {path[len(start) :].partition("]")[0]: False for path, _ in reached(site, start[:-1] + "[]")}
        for path, value in reached(site, need):
            every[path[len(start) :].partition("]")[0]] |= _given(value) and _is(value, need)
        if not every.get(clause.rpartition(".")[2], True):
            return False
    return True


def reached(site: Site, need: str) -> Iterator[tuple[str, Any]]:
    """Every place of the profile that a need means, with what stands there (None for nothing)."""
    asked = ASKED.fullmatch(need)
    need = asked["path"] if asked else need
    places: list[tuple[str, Any]] = [("", site)]
    for name, selector in STEP.findall(need):
        many = f"{name}[" in need
        onward = []
        for path, node in places:
            value = getattr(node, FIELD_OF_KEY.get(name, name))
            if many:
                onward += [(record.path, record) for record in value if _selected(record, selector)]
            else:
                onward.append((f"{path}.{name}".lstrip("."), value))
        places = onward
    yield from places


def _selected(record: Node, selector: str) -> bool:
    selector = selector.removeprefix("any").strip()
    if not selector:
        return True
    if "=" not in selector:
        return getattr(record, "id", None) == selector
    key, _, wanted = selector.partition("=")
    value = getattr(record, key.rstrip("!"))
    if isinstance(value, tuple):
        return (wanted in value) is not key.endswith("!")
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return (text != wanted) if key.endswith("!") else (text == wanted)


def _given(value: Any) -> bool:
    return value is not None and (bool(value) or isinstance(value, bool | int | float))


def _is(value: Any, need: str) -> bool:
    """Whether a given value is what a need says it must be. `says` looks for English words in a text of the profile."""
    asked = ASKED.fullmatch(need)
    if not asked:
        return True
    wanted = asked["wanted"]
    if asked["how"] == "has":
        return wanted in value
    if asked["how"] == "says":
        return re.search(wanted, " ".join(value) if isinstance(value, tuple) else value, re.IGNORECASE) is not None
    if asked["how"] == "<=":
        if isinstance(value, Interval):
            return value.after(SOME_DAY) <= parse_interval(wanted).after(SOME_DAY)
        return bool(value.si <= parse(wanted, value.kind).si)
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return (text == wanted) is (asked["how"] == "=")


def _result(name: str, site: Site, assessed: Assessment) -> bool:
    if name == "certification":
        answer = assessed.binding.law.ask("hazard_certification")
        return not answer.silent and isinstance(answer.value, tuple) and "named-as-certification" in answer.value
    if name == "rescue-lead":
        writer = site.role(site.rescue.prepared_by)
        return writer is not None and "rescue-lead" in writer.part and bool(writer.qualification)
    if name == "cases":
        worked = [c for c in assessed.cases if c.permission in ("allowed", "closed")]  # the record has a closed bay's figures too
        return bool(worked) and all(c.required is not None and c.available is not None for c in worked)
    own = [r for r in assessed.rescues if r.kind != "outside"]
    return bool(own) and all(r.within is not None for r in own)


def _named(need: str, paths: tuple[str, ...], texts: Mapping[str, str]) -> str:
    records = list(dict.fromkeys(key for path in paths for key in re.findall(r"\[([^\]]+)\]", path)[-1:]))
    return f"{texts[need]} ({', '.join(records)})" if records and "[" in need and "[]" in need else texts[need]


def indexes(
    site: Site, assessed: Assessment, bodies: Mapping[str, Body], language: str, where: Mapping[str, str]
) -> Mapping[str, Index]:
    """The index of each paper that the published lists speak of, by the word that they use (plan, rescue, notice).

    `bodies` are all papers with a digest: an element of one may be met by a clause of another. `where`: as in `index_of`.
    """
    found = met(site, assessed, bodies, language)
    return {
        word: index_of(word, site, assessed, found, language, where) for word, paper in listed_papers().items() if paper in bodies
    }


def places_of(body: Body, language: str) -> Mapping[str, str]:
    """Clause id -> where it stands, in words: `Plan 4.2`; of one without a number the section, `Plan section 3.1`, or the paper alone where it has none."""
    from docgen.compose.number import places
    from docgen.compose.tree import parse
    from docgen.words import words as of_language

    paper = outline(body.document).short_in(language)
    at = places(parse(f"# -\n\n{body.markdown}\n"), of_language(language)["labels"])
    anchors = {c.id: f"c.{c.id[len(body.document) + 1 :]}" for c in body.clauses}
    found = {key: at.get(anchor) or _section_of(anchor, body.markdown, at) for key, anchor in anchors.items()}
    return {key: f"{paper} {n}" if n else paper for key, n in found.items()}


def _section_of(anchor: str, text: str, at: Mapping[str, str]) -> str:
    """The numbered section in which a clause stands; empty where there is none above it."""
    place = re.search(rf"\{{: #{re.escape(anchor)}[ }}]", text)
    above = reversed(HEADING.findall(text[: place.start()])) if place else ()
    return next((at[name] for name in above if name in at), "")


def index_of(
    document: str, site: Site, assessed: Assessment, found: Mapping[str, Met], language: str, where: Mapping[str, str]
) -> Index:
    """The index of one paper's elements (plan, rescue, notice). `where` is clause id -> its place in words, of every clause written."""
    texts = element_words(language)

    def at(clauses: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(where[clause] for clause in clauses))

    own = [m for m in found.values() if merged_elements()[m.id].document == document]

    def row(asked: ElementList, element: Element) -> Row:
        told, basis = said(asked, element, language), "" if element.basis == asked.basis else element.basis
        if element.at is None:
            parts = [found[key] for key in element.merged]
            failing = tuple(part.id for part in parts if not part.met)
            telling = () if failing else tuple(dict.fromkeys(part.clauses[0] for part in parts))
            return Row(element.key, told, at(telling), (), failing, basis)
        if element.look:
            return Row(element.key, told, at(tuple(c for c in where if c in element.look)), (), (), basis, look=True)
        if not element.at:
            return Row(element.key, told, (), (texts["nowhere"],), (), basis)
        clauses, missing = _standing(element.at, element.needs, where, site, assessed, texts)
        return Row(element.key, told, at(clauses), missing, (), basis)

    lists = tuple(ListRows(asked, tuple(row(asked, e) for e in asked.elements)) for asked in applying(site, document))
    failing: dict[str, list[str]] = {}
    for n, group in enumerate(lists, 1):
        for one, element in zip(group.rows, group.list.elements, strict=True):
            for key in element.merged if one.lacks else ():
                failing.setdefault(key, []).append(texts["of_list"].format(n=n, key=element.key))
    rows = tuple(
        Row(m.id, f"{m.name}: {m.says}", at(m.clauses), m.missing, part=tuple(failing.get(m.id, ())) if m.met else ())
        for m in own
    )
    return Index(rows, lists, sum(not m.met for m in own))
