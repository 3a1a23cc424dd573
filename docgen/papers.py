"""The library of papers: what each folder of `templates` with an index.yaml says of its paper. A new paper is a new folder, no Python.

The folder's name is the paper's. Whoever needs to know what part a paper plays (who approves it, whether it hangs on the site, whether
an approval can rest on it) asks here and names no paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, Protocol, TypedDict, cast

from docgen.data import load, wrong
from docgen.errors import TemplateError
from docgen.frozen import frozen
from docgen.resources import data_folder

__all__ = ["Asked", "Budget", "ByLaw", "Circle", "Lists", "Outline", "found", "outline", "outlines", "papers"]

Told = Literal["users", "rescuers", "supervisors", "gate", "carriers"]
Circle = Literal["site", "record", "working", "page"]
Per = Literal["site", "bay", "kind", "group"]
Bays = Literal["all", "open", "closed"]
Size = Literal["usual", "large", "half"]


@frozen
class Asked:
    """An approval that a paper needs: by whom, as a part of a role.

    `sections` are those that it must cover, all where empty; `paper` another paper that this part must have approved, None for the
    paper itself; `when` asked: only where the site asks for this part; `quiet`: the paper does not print that it was asked or given.
    """

    part: str
    sections: tuple[str, ...] = ()
    paper: str | None = None
    when: Literal["always", "asked"] = "always"
    quiet: bool = False


@frozen
class Budget:
    """What a paper may take: pages, words (None: not counted), and its smallest type in points.

    `large_pt` is the smallest type of the larger PDF where it is not that of the index; `climbing`: what it may take where a class of
    contractors may climb; `bays`: so many bays these pages have room for, and a site of more may take one page more where it must.
    """

    pages: int
    smallest_pt: float
    words: int | None = None
    large_pt: float | None = None
    climbing: Budget | None = None
    bays: int | None = None

    def at(self, class_climbs: bool) -> Budget:
        """What it may take at a site where a class of contractors may climb, or none may."""
        return self.climbing if class_climbs and self.climbing is not None else self

    def spare(self, bays: int) -> int:
        """Pages that it may take at a site of so many bays beyond its own, where these do not hold it in its smallest type."""
        return int(self.bays is not None and bays > self.bays)


@frozen
class Lists:
    """How the published lists of elements and the duties of the law name a paper: in a word, and by the first letter of an element."""

    word: str
    letter: str


@frozen
class ByLaw:
    """Another title where the law of the place names a paper by it: where its answer to `question` holds `value`.

    `heading` is what stands above the paper there, `{citation}` for the text of law; its title where empty.
    """

    question: str
    value: str
    title: Mapping[str, str]
    heading: Mapping[str, str]


@frozen
class Outline:
    """One paper. `front` and `back` are frame templates and `sections` body templates, as file stems in `<folder>/<language>/`.

    A paper without a digest (`digest` False) is one sheet of all that is known on a day: its sections see the findings and the records,
    no approval rests on it, and it has neither front nor back. A paper without sections is not written by this version.
    `bays` says which bays have one where there is one for each. `heading` is what stands above the paper where that is not its title, `{site}` for the name of the site; `called` is its name in the middle of a sentence and `short` the one before the number of a clause, both by language.
    `by_law` is the title that the law of a place gives it (`at`). `fixed` says of clauses that no field gives their words, by their key, why they stand there.
    `questions` are the questions of law that it needs, `also` those that it asks and can do without; `findings_of` papers whose findings are its own too; `apart` the ending of the
    folder of its own into which it goes, on request only; `posted` whether it must hang on the site; `hangs` whether its foot bears the two-dimensional code; `told` whose rules stand on it. `size` is the sheet of the place
    (letter or A4), the next larger one, or half of it; `up`: so many of the same stand on one sheet, to be cut apart, and each section is a side of it; `large` the smallest type of a second PDF on the next larger sheet, None where there is none.
    """

    name: str
    order: int
    title: Mapping[str, str]
    heading: Mapping[str, str]
    called: Mapping[str, str]
    short: Mapping[str, str]
    reader: Mapping[str, str]
    circle: Circle
    digest: bool
    per: Per
    bays: Bays
    layout: str
    contents: bool
    size: Size
    landscape: bool
    body_pt: float | None
    budget: Budget | None
    types: tuple[str, ...]
    approvals: tuple[Asked, ...]
    questions: tuple[str, ...]
    also: tuple[str, ...]
    findings_of: tuple[str, ...]
    front: tuple[str, ...]
    sections: tuple[str, ...]
    back: tuple[str, ...]
    lists: Lists | None = None
    posted: bool = False
    hangs: bool = False
    told: tuple[Told, ...] = ()
    apart: str | None = None
    large: float | None = None
    up: int = 1
    by_law: ByLaw | None = None
    fixed: Mapping[str, str] | None = None

    def at(self, law: Answers) -> Outline:
        """The paper as it is called where this law is in force."""
        if self.by_law is None:
            return self
        answer = law.ask(self.by_law.question)
        if answer.silent or not isinstance(answer.value, tuple) or self.by_law.value not in answer.value:
            return self
        heading = {
            key: text.replace("{citation}", answer.citation.replace(" ", "\u00a0")) for key, text in self.by_law.heading.items()
        }
        return replace(self, title=self.by_law.title, heading=heading)

    def endings(self, types: Iterable[str]) -> tuple[str, ...]:
        """Endings of the files of one paper, of the types that are asked for: `pdf`, and `large.pdf` of one that is printed larger too."""
        asked = tuple(types)
        kinds = tuple(t for t in self.types if t in asked)
        return (*kinds, "large.pdf") if self.large is not None and "pdf" in kinds else kinds

    @property
    def written(self) -> bool:
        """Whether this version writes it."""
        return bool(self.sections)

    @property
    def bound(self) -> bool:
        """Whether this version writes it with a digest, so that it can be approved and issued."""
        return self.digest and self.written

    def title_in(self, language: str) -> str:
        """The title in a language. TemplateError, naming the file, where its index gives none."""
        return self._in("title", self.title, language)

    def heading_in(self, language: str, site: str) -> str:
        """What stands above the paper: its title, or the heading that names the site."""
        return self.heading[language].replace("{site}", site) if language in self.heading else self.title_in(language)

    def called_in(self, language: str) -> str:
        """The name in the middle of a sentence. TemplateError, naming the file, where its index gives none."""
        return self._in("called", self.called, language)

    def short_in(self, language: str) -> str:
        """The name before the number of a clause. TemplateError, naming the file, where its index gives none."""
        return self._in("short", self.short, language)

    def _in(self, key: str, texts: Mapping[str, str], language: str) -> str:
        if language not in texts:
            raise TemplateError(f"{self.name}/index.yaml gives no {key} in '{language}'; it gives one in: {', '.join(texts)}")
        return texts[language]

    def template(self, stem: str, language: str) -> str:
        """Name of the template of a section in a language."""
        return f"{self.name}/{language}/{stem}.md"

    def copies(self, bays: Iterable[str], kinds: Iterable[str], groups: Iterable[str]) -> tuple[str, ...]:
        """Names of the papers of one site: its own name, or one for each bay, kind of part or group of kinds, such as `bay-sign.B1`."""
        if self.per == "site":
            return (self.name,)
        of = {"bay": bays, "kind": kinds, "group": groups}[self.per]
        return tuple(f"{self.name}.{one}" for one in dict.fromkeys(of))


class Answered(Protocol):
    """What a law answers, as far as a title needs it."""

    @property
    def silent(self) -> bool: ...
    @property
    def value(self) -> object: ...
    @property
    def citation(self) -> str: ...


class Answers(Protocol):
    """A law that can be asked."""

    def ask(self, key: str) -> Answered: ...


class _Asked(TypedDict):
    part: str
    sections: NotRequired[list[str]]
    paper: NotRequired[str]
    when: NotRequired[Literal["asked"]]
    quiet: NotRequired[bool]


class _Climbing(TypedDict):
    pages: NotRequired[int]
    smallest_pt: NotRequired[int | str]
    words: NotRequired[int]
    large_pt: NotRequired[int | str]


class _Budget(TypedDict):
    pages: int
    smallest_pt: int | str
    words: NotRequired[int]
    climbing: NotRequired[_Climbing]
    bays: NotRequired[int]


class _Large(TypedDict):
    smallest_pt: int | str


class _Lists(TypedDict):
    word: str
    letter: str


class _ByLaw(TypedDict):
    question: str
    value: str
    title: dict[str, str]
    heading: NotRequired[dict[str, str]]


class _Row(TypedDict):
    """An index.yaml, as schemas/document.schema.json has it."""

    order: int
    title: dict[str, str]
    heading: NotRequired[dict[str, str]]
    called: dict[str, str]
    short: dict[str, str]
    reader: dict[str, str]
    circle: Circle
    digest: bool
    per: Per
    bays: NotRequired[Bays]
    layout: Literal["report", "poster", "sign", "card", "screen"]
    types: list[str]
    approvals: NotRequired[list[_Asked]]
    budget: NotRequired[_Budget]
    contents: NotRequired[bool]
    size: NotRequired[Size]
    landscape: NotRequired[bool]
    body_pt: NotRequired[int | str]
    questions: NotRequired[list[str]]
    also: NotRequired[list[str]]
    findings_of: NotRequired[list[str]]
    lists: NotRequired[_Lists]
    posted: NotRequired[bool]
    hangs: NotRequired[bool]
    told: NotRequired[list[Told]]
    apart: NotRequired[str]
    large: NotRequired[_Large]
    by_law: NotRequired[_ByLaw]
    up: NotRequired[int]
    fixed: NotRequired[dict[str, str]]
    front: NotRequired[list[str]]
    sections: NotRequired[list[str]]
    back: NotRequired[list[str]]


@cache
def outlines() -> tuple[Outline, ...]:
    """All papers and the site page, in their order. Raises DataError for an index.yaml that is not as its schema says."""
    rows = [
        _outline(path, cast("_Row", load(path, "document"))) for path in sorted(data_folder("templates").glob("*/index.yaml"))
    ]
    return tuple(sorted(rows, key=lambda o: (o.order, o.name)))


def papers() -> tuple[Outline, ...]:
    """All papers, without the site page."""
    return tuple(o for o in outlines() if o.circle != "page")


def found(name: str) -> Outline | None:
    """One paper by name, or by that of its copy for a bay or kind; None for one that is not in the library, as an old record may name."""
    plain = name.partition(".")[0]
    return next((o for o in outlines() if o.name == plain and (name == plain or o.per != "site")), None)


def outline(name: str) -> Outline:
    """One paper by name, or by that of its copy for a bay or kind. TemplateError names those there are."""
    if (there := found(name)) is not None:
        return there
    raise TemplateError(f"there is no document '{name}'; there are: {', '.join(o.name for o in outlines())}")


def _outline(path: Path, row: _Row) -> Outline:
    if not row["digest"] and (row.get("front") or row.get("back") or row.get("approvals")):
        raise wrong(path, ("digest",), "a paper without a digest has sections only: no front, back or approvals; take them out")
    budget = row.get("budget")
    body_pt = float(row["body_pt"]) if "body_pt" in row else None
    return Outline(
        name=path.parent.name, order=row["order"], title=row["title"], heading=row.get("heading", {}), called=row["called"], short=row["short"], reader=row["reader"],
        circle=row["circle"], digest=row["digest"], per=row["per"], bays=row.get("bays", "all"), layout=row["layout"], contents=row.get("contents", False),
        size=row.get("size", "usual"), landscape=row.get("landscape", False), body_pt=body_pt,
        budget=_budget(budget) if budget else None, types=tuple(row["types"]),
        approvals=tuple(
            Asked(a["part"], tuple(a.get("sections", ())), a.get("paper"), a.get("when", "always"), a.get("quiet", False))
            for a in row.get("approvals", ())
        ),
        questions=tuple(row.get("questions", ())), also=tuple(row.get("also", ())), findings_of=tuple(row.get("findings_of", ())), front=tuple(row.get("front", ())),
        sections=tuple(row.get("sections", ())), back=tuple(row.get("back", ())),
        lists=Lists(**row["lists"]) if "lists" in row else None, posted=row.get("posted", False), hangs=row.get("hangs", row.get("posted", False)), told=tuple(row.get("told", ())), apart=row.get("apart"),
        large=float(row["large"]["smallest_pt"]) if "large" in row else None, by_law=_by_law(row["by_law"]) if "by_law" in row else None, up=row.get("up", 1),
        fixed=row.get("fixed"),
    )  # fmt: skip


def _by_law(row: _ByLaw) -> ByLaw:
    return ByLaw(row["question"], row["value"], row["title"], row.get("heading", {}))


def _budget(row: _Budget) -> Budget:
    usual = Budget(row["pages"], float(row["smallest_pt"]), row.get("words"), bays=row.get("bays"))
    if (own := row.get("climbing")) is None:
        return usual
    climbing = Budget(
        own.get("pages", usual.pages), float(own.get("smallest_pt", usual.smallest_pt)), own.get("words", usual.words),
        float(own["large_pt"]) if "large_pt" in own else None,
    )  # fmt: skip
    return replace(usual, climbing=climbing)
