"""The element index: what each published list asks for, and the clause that meets it or what the profile lacks.

An element is met when the profile gives what its clauses need to speak of this site, and those clauses stand in the
documents as written. Nothing here is part of a digest.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from docgen.codes.lists import DOCUMENTS, ElementList, Merged, element_lists, element_words, merged_elements, said
from docgen.compose.escape import Markup
from docgen.site import KEY_OF_FIELD, Node, Site

if TYPE_CHECKING:
    from docgen.compose.pieces import Body
    from docgen.findings.model import Assessment

__all__ = ["Index", "ListRows", "Met", "Row", "applying", "index_of", "indexes", "lacking", "met", "reached"]

FIELD_OF_KEY = {key: name for name, key in KEY_OF_FIELD.items()}
STEP = re.compile(r"([a-z_]+)(?:\[([^\]]*)\])?(?:\.|$)")


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
    """One line of the index. `where` are cross references or numbers.

    `missing` is empty when the element is met; else it says what the profile lacks, or, in a list, which merged elements fail.
    """

    key: str
    says: str
    where: tuple[Any, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ListRows:
    """One list that applies, with its rows."""

    list: ElementList
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Index:
    """What one document prints of the index, for the elements of one document."""

    merged: tuple[Row, ...]
    lists: tuple[ListRows, ...]
    open: int


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
        if DOCUMENTS[element.document] not in bodies:
            continue
        missing = tuple(dict.fromkeys(_named(need, paths, texts["needs"]) for need, paths in lacking(element, site, assessed)))
        clauses: list[str] = []
        for wanted in element.clauses:
            hits = [c for c in written if c == wanted or (wanted.endswith(".*") and c.startswith(wanted[:-1]))]
            if not hits and not missing:
                missing = (texts["no_clause"].format(clause=wanted),)
            clauses += hits
        words = texts["merged"][key]
        found[key] = Met(key, words["name"], words["says"], () if missing else tuple(clauses), missing)
    return found


def lacking(element: Merged, site: Site, assessed: Assessment) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What an element needs and the profile does not give: the need, and the paths of the records that lack it."""
    for need in element.needs:
        if need.startswith("="):
            if not _result(need[1:], assessed):
                yield need, ()
            continue
        leaves = list(reached(site, need))
        without = tuple(path for path, value in leaves if not _given(value))
        if not leaves or (len(without) == len(leaves) if "[any" in need else without):
            yield need, () if "[any" in need else without


def reached(site: Site, need: str) -> Iterator[tuple[str, Any]]:
    """Every place of the profile that a need means, with what stands there (None for nothing)."""
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


def _result(name: str, assessed: Assessment) -> bool:
    if name == "cases":
        allowed = [c for c in assessed.cases if c.permission == "allowed"]
        return bool(allowed) and all(c.required is not None and c.available is not None for c in allowed)
    own = [r for r in assessed.rescues if r.kind != "outside"]
    return bool(own) and all(r.within is not None for r in own)


def _named(need: str, paths: tuple[str, ...], texts: Mapping[str, str]) -> str:
    records = list(dict.fromkeys(key for path in paths for key in re.findall(r"\[([^\]]+)\]", path)[-1:]))
    return f"{texts[need]} ({', '.join(records)})" if records and "[" in need and "[]" in need else texts[need]


def indexes(document: str, site: Site, assessed: Assessment, bodies: Mapping[str, Body], language: str) -> Mapping[str, Index]:
    """What a document prints: the plan its own index and the notice's, the rescue procedure its own; others none."""
    printed = {"fall-protection-plan": ("plan", "notice"), "rescue-procedure": ("rescue",)}.get(document, ())
    wanted = [p for p in printed if DOCUMENTS[p] in bodies]
    if not wanted:
        return {}
    found = met(site, assessed, bodies, language)
    numbers = _numbers(bodies["contractor-notice"], language) if "notice" in wanted else {}
    return {part: index_of(part, site, found, language, numbers, document) for part in wanted}


def _numbers(body: Body, language: str) -> Mapping[str, str]:
    """Clause id -> where it stands in the notice, in words."""
    from docgen.compose.number import number
    from docgen.compose.tree import parse
    from docgen.words import words as of_language

    texts = element_words(language)
    tree = number(parse(f"# -\n\n{body.markdown}\n"), of_language(language)["labels"])
    at = {e.get("id"): e.get("data-number") for e in tree.iter() if e.get("data-number")}
    place = {c.id: at.get(f"c.{c.id.split('.', 1)[1]}") for c in body.clauses}
    return {key: texts["in_notice"].format(n=n) if n else texts["in_panel"] for key, n in place.items()}


# --- what is printed ----------------------------------------------------------------------------------------------------


def index_of(document: str, site: Site, found: Mapping[str, Met], language: str, numbers: Mapping[str, str], home: str) -> Index:
    """The index of one document's elements (plan, rescue, notice), to be printed in the document `home`.

    `numbers` are clause id -> text for clauses of other documents than `home`.
    """
    own = [m for m in found.values() if merged_elements()[m.id].document == document]
    rows = tuple(Row(m.id, f"{m.name}: {m.says}", _where(m.clauses, numbers, home), m.missing) for m in own)
    lists = []
    for asked in applying(site, document):
        inner = []
        for element in asked.elements:
            parts = [found[key] for key in element.merged]
            missing = tuple(part.id for part in parts if not part.met)
            telling = tuple(dict.fromkeys(part.clauses[0] for part in parts if part.met))
            inner.append(Row(element.key, said(asked, element, language), _where(telling, numbers, home), missing))
        lists.append(ListRows(asked, tuple(inner)))
    return Index(rows, tuple(lists), sum(not m.met for m in own))


def _where(clauses: tuple[str, ...], numbers: Mapping[str, str], home: str) -> tuple[Any, ...]:
    shown = []
    for clause in clauses:
        document, anchor = clause.split(".", 1)
        shown.append(Markup(f"[](#c.{anchor})") if document == home else numbers[clause])
    return tuple(shown)
