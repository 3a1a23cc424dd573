"""What published lists ask of a plan, a rescue procedure and a notice: each list as data, and the elements taken together.

The files lie in `codes/elements/`: a list names its document, source, force, basis, where it applies, and its elements in
our own words, each tied to one or more merged elements; merged.yaml says which clauses meet a merged element and what the
profile must give for it. An item that asks for less, for more or for something else than its merged elements names clauses and
needs of its own. Adding a list is adding a block to a file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from docgen.codes.folder import HOME
from docgen.data import Blocks, blocks
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.papers import papers

__all__ = ["Element", "ElementList", "Merged", "element_lists", "element_words", "listed_papers", "merged_elements", "said"]

ELEMENTS = HOME / "elements"


@frozen
class Element:
    """One thing that a list asks for. `says` is English; `basis` is read or memory.

    `at` are ids of the clauses that meet it, as in Merged: none of them where no clause of our papers does, and None where it asks
    what its merged elements ask. `needs` is what the profile must give with `at`. `look` are clauses that bear on it and of which no
    test can say that they meet it: there a person looks.
    """

    key: str
    says: str
    merged: tuple[str, ...]
    basis: str
    at: tuple[str, ...] | None
    needs: tuple[str, ...]
    look: tuple[str, ...] = ()


@frozen
class ElementList:
    """One published list. `places` are jurisdictions with all their parts, `only` without; `owner` are sets laid over the law.

    An empty tuple of `places`, `only` or `sectors` asks nothing; a list with `owner` applies where such a set is named.
    """

    id: str
    document: str
    title: str
    body: str
    edition: str
    citation: str
    force: str
    basis: str
    note: str
    places: tuple[str, ...]
    only: tuple[str, ...]
    sectors: tuple[str, ...]
    owner: tuple[str, ...]
    elements: tuple[Element, ...]

    def applies(self, jurisdiction: str, sector: str, owner: tuple[str, ...]) -> bool:
        """Whether the list is to be held against the documents of a site."""
        if self.owner:
            return bool(set(self.owner) & set(owner))
        if self.sectors and sector not in self.sectors:
            return False
        inside = any(jurisdiction == p or jurisdiction.startswith(f"{p}-") for p in self.places)
        return inside or jurisdiction in self.only


@frozen
class Merged:
    """One element of all lists taken together: ids of the clauses that meet it, and what the profile must give.

    `clauses` are full clause ids; one that ends in `.*` stands for that clause about any record.
    """

    id: str
    document: str
    clauses: tuple[str, ...]
    needs: tuple[str, ...]


@cache
def listed_papers() -> Mapping[str, str]:
    """The word by which the lists name a paper -> the paper, for every paper whose index gives such a word."""
    return MappingProxyType({o.lists.word: o.name for o in papers() if o.lists})


@cache
def merged_elements() -> Mapping[str, Merged]:
    """All merged elements by id. Raises CodeError for an id that begins with no known letter."""
    found = {}
    entries = blocks(ELEMENTS / "merged.yaml", "elements/merged")
    words = {o.lists.letter: o.lists.word for o in papers() if o.lists}
    for key in entries:
        if key[0] not in words:
            raise CodeError(f"elements/merged.yaml: '{key}' must begin with {', '.join(words)}")
        home = listed_papers()[words[key[0]]]
        found[key] = Merged(key, words[key[0]], _clauses(entries[key]["clauses"], home), tuple(entries[key]["needs"]))
    return MappingProxyType(found)


def _clauses(written: Iterable[str], home: str) -> tuple[str, ...]:
    """Full clause ids of clauses of the paper `home`, or of another that is named before a slash."""
    return tuple(c.replace("/", ".", 1) if "/" in c else f"{home}.{c}" for c in written)


@cache
def element_lists() -> tuple[ElementList, ...]:
    """All lists, file by file. Raises CodeError for an element tied to no merged element, or to one of another document."""
    return tuple(
        _list(path, key, blocks(path, "elements/lists")[key])
        for path in sorted(ELEMENTS.glob("*.yaml"))
        if path.name != "merged.yaml"
        for key in blocks(path, "elements/lists")
    )


def _list(path: Path, key: str, data: dict[str, Any]) -> ElementList:
    if data["document"] not in listed_papers():
        raise CodeError(f"elements/{path.name}: {key}: document is {', '.join(listed_papers())}, not '{data['document']}'")
    elements = []
    for name, entry in data["elements"].items():
        merged = tuple(entry["merged"])
        wrong = [m for m in merged if m not in merged_elements() or merged_elements()[m].document != data["document"]]
        if wrong or not merged:
            raise CodeError(
                f"elements/{path.name}: {key}: element '{name}' is tied to {', '.join(wrong) or 'nothing'}; see merged.yaml"
            )
        home = listed_papers()[data["document"]]
        look = _clauses(entry.get("look", ()), home)
        at = _clauses(entry["at"], home) if "at" in entry else () if look else None
        needs = entry.get("needs", dict.fromkeys(need for m in merged for need in merged_elements()[m].needs) if at else ())
        elements.append(Element(name, entry["says"], merged, entry.get("basis", data["basis"]), at, tuple(needs), look))
    where = data["applies"]
    return ElementList(
        id=key, document=data["document"], title=data["title"], body=data["body"], edition=data["edition"], citation=data["citation"],
        force=data["force"], basis=data["basis"], note=data.get("note", ""), places=tuple(where.get("places", ())),
        only=tuple(where.get("only", ())), sectors=tuple(where.get("sectors", ())), owner=tuple(where.get("owner", ())),
        elements=tuple(elements),
    )  # fmt: skip


@cache
def element_words(language: str) -> Blocks:
    """Names of the merged elements (`merged`) and of what they need (`needs`). CodeError for a language without a file."""
    path = ELEMENTS / "words" / f"{language}.yaml"
    if not path.is_file():
        there = ", ".join(sorted(p.stem for p in path.parent.glob("*.yaml")))
        raise CodeError(f"the elements have no words for the language '{language}'; there are: {there}")
    return blocks(path, "elements/words")


def said(asked: ElementList, element: Element, language: str) -> str:
    """What an element asks for, in a language; English stands in the list itself."""
    if language == "en":
        return element.says
    try:
        return str(element_words(language)["lists"][asked.id][element.key])
    except KeyError:
        raise CodeError(f"elements/words/{language}.yaml: lists: {asked.id}: '{element.key}' has no text") from None
