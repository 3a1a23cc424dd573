"""What people weigh, read from `private.yaml` beside the profile, and given away as yes or no only.

    people:
      U-01: {weight: 178 lb, with_tools: 190 lb, on: 2026-09-02}

`weight` is the body with clothes, which the lower limit speaks of; `with_tools` is that with harness and tools, which the upper one speaks of.

The file stays out of version control. Its figures are compared here and dropped: nothing that leaves this module holds a
weight, a hash of one, or a count of people over or under a limit. What a reader of a small crew could work backwards from
is not told either: whether the passes on record and the file agree is one answer for the whole site, without names.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

from docgen import units
from docgen.frozen import frozen
from docgen.limits import at_least, within
from docgen.read import Mark, Problem, Source, join, left_out, read_profile
from docgen.weighed import Figure, figures, plain

__all__ = ["NONE", "UNSAID", "Facts", "Guard", "Screens", "guard_for", "leaks_in"]

NAME = "private.yaml"
#: names that a person gives to that file, or an editor; none of them is looked at
NEAR = re.compile(
    r"\.?private(?:[ _-]?(?:copy|weights?|old|new|\(?\d\)?))?\.(?:ya?ml|json|txt|csv|xlsx?|ods)(?:~|[._-](?:txt|bak|old|orig|save|sw[a-p]|\d))?",
    re.IGNORECASE,
)
HIDDEN = "this text gives a person's weight; it is not repeated here"
HINT = "delete it; state only the posted limit"
FORM = 'write it as  U-01: {weight: "... lb", with_tools: "... lb", on: 2026-09-02}'
PLAIN_FILE = "put the file itself here, not a link to one: a link shows what lies elsewhere to whoever copies the folder"
FIGURES = ("weight", "with_tools")
KEYS = (*FIGURES, "on")
CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]*")
HAIR = 1e-4  # kg; below every scale
POUND = units.parse("1 lb", "mass").si
LB, KG = r"(?:lbs?|lb\.|pounds?|#)", r"(?:kgs?|kilos?|kilograms?|kilogrammes?)"
WEIGHED = re.compile(rf"\d[.,\s-]*(?:{LB}|{KG})(?![a-z])", re.IGNORECASE)


@frozen
class Facts:
    """Yes and no. `given`: there is a file; `agrees`: no pass on record is contradicted by it (None where it says nothing).

    `unknown` are the lines of the file with a code that no user has (its keys are never told: somebody may have written a name);
    `withheld` are model paths of texts that gave a weight.
    """

    given: bool = False
    agrees: bool | None = None
    unknown: tuple[int, ...] = ()
    withheld: tuple[str, ...] = ()


NONE = Facts()


@frozen
class Screens:
    """What the words of a text say, whatever figures stand in it: `tells` a weight; is `of_a_person`; speaks of `weighing`."""

    tells: Callable[[str], bool]
    of_a_person: Callable[[str], bool]
    weighing: Callable[[str], bool]


UNSAID = Screens(lambda _: False, lambda _: False, lambda _: False)


class Guard:
    """Holds the figures while one profile is read; it answers yes or no, takes texts out, and prints as nothing."""

    __slots__ = ("_lines", "_people", "_private", "_public", "_screens", "_told", "problems")

    def __init__(
        self,
        people: Mapping[str, tuple[float, float]],
        problems: tuple[Problem, ...],
        screens: Screens = UNSAID,
        lines: Mapping[str, int] | None = None,
    ) -> None:
        self._people, self._lines = people, lines or {}
        self._screens = screens
        self._private: tuple[float, ...] = ()
        self._public: tuple[float, ...] = ()
        self._told: re.Pattern[str] | None = None
        self.problems = problems

    def __repr__(self) -> str:
        return "Guard()"

    def __reduce__(self) -> NoReturn:
        raise TypeError("a Guard holds private figures and is not written anywhere")

    @property
    def holds(self) -> bool:
        """Whether there is a file with figures, so that limits must be told from them."""
        return bool(self._people)

    def told_in(self, text: str, free: bool = False) -> bool:
        """Whether a text gives a weight: one of the file however it is written, or any in the words of the screen.

        `free`: the text was typed for a record, where no figure near a weight is needed; a rounded one counts there whoever is meant.
        """
        if self._screens.tells(text):
            return True
        if not self._private or not any(map(self._near, found := figures(text))):
            return False
        return any(self._near(f) and self._means(f, text, free) for f in found)

    def _near(self, figure: Figure) -> bool:
        """Whether it stands for a weight of the file, and for no limit of the profile."""
        return any(figure.low - HAIR <= v <= figure.high + HAIR for v in self._private) and not any(
            abs(figure.value - p) < 0.1 for p in self._public
        )

    def _means(self, figure: Figure, text: str, free: bool) -> bool:
        """Whether a figure near a weight is one: with its unit, with a decimal, or where the words speak of somebody's weight."""
        if not figure.unit:
            alone = free and plain(text).strip(" .,;:!?()").replace(".", "", 1).isdigit()
            near_a_code = self._behind_a_code(text, "") if free else self._behind_a_code(text)
            return figure.exact or alone or self._screens.weighing(text) or near_a_code
        somebody = self._screens.of_a_person(text) or self._screens.weighing(text) or self._behind_a_code(text, "")
        return not figure.coarse or free or somebody

    def _behind_a_code(self, text: str, then: str = r"[^\w]{1,4}\d") -> bool:
        """Whether a number, be it in words, follows the code of somebody in the file, with nothing between them but signs; or `then` what is asked."""
        codes = "|".join(map(re.escape, self._people))
        return re.search(rf"(?<![\w-])(?:{codes})(?![\w-]){then}", plain(text), re.IGNORECASE) is not None

    def learn(self, public: Iterable[float]) -> None:
        """Leave alone the figures that are printed as limits and ratings, in kg: they tell nothing of a person."""
        self._public = tuple(public)
        private = {v for both in self._people.values() for v in both if not any(abs(v - p) < 0.1 for p in self._public)}
        self._private = tuple(sorted(private))
        self._told = _pattern(private) if private else None

    def withhold(
        self, source: Source, instead: Callable[[], str], measured: Collection[str] = ()
    ) -> tuple[Source, tuple[Mark, ...]]:
        """The source with every text that gives a weight replaced by `instead`, and the marks of those texts.

        `measured` are paths at which a figure is asked for: a limit or a rating, and no text. A weight in an id or in another short word
        that is more than text becomes a problem of the source.
        """
        if not self._private and not any(map(self._screens.tells, (source.text, source.beside))):
            return source, ()
        found = [(path, text) for path, text in _texts(source.data, "") if path not in measured and self.told_in(text)]
        if not found:
            return source, ()
        marks, problems, paths = [], [], set()
        for path, text in found:
            mark = source.marks.get(path, Mark(1, 1, 1, 1))
            if " " in text.strip():
                marks.append(mark)
                paths.add(path)
            else:
                problems.append(Problem(source.file_of(mark), mark.line, mark.column, "", HIDDEN, HINT))
        data = _replaced(source.data, "", paths, instead())
        return replace(source, data=data, problems=(*source.problems, *problems)), tuple(marks)

    def clean(self, problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
        """Problems with every message that would repeat a weight put aside."""
        return tuple(
            replace(p, path="", message=HIDDEN, hint=HINT) if self.told_in(f"{p.path} {p.message} {p.hint}") else p
            for p in problems
        )

    def veiled(self, difference: str) -> str:
        """A difference of lines, each of which begins with its sign, with every line that gives a weight put aside."""
        lines = difference.splitlines(keepends=True)
        return "".join(f"{x[:1]}   ({HIDDEN})\n" if self.told_in(x[1:]) else x for x in lines)

    def facts(self, passes: Mapping[str, bool], low: float | None, high: float | None, at_limit: bool) -> Facts:
        """Compare and forget. `passes`: user -> pass on record; limits in kg; `at_limit`: exactly at the upper one passes."""
        if not self.problems and not self._people:
            return NONE
        agrees = None
        if high is not None:
            fits = {
                user: within(full, high, at_limit) and (low is None or at_least(bare, low))
                for user, (bare, full) in self._people.items()
            }
            agrees = all(fits[u] for u, passed in passes.items() if passed and u in fits)
        return Facts(True, agrees, tuple(sorted(self._lines.get(u, 1) for u in self._people if u not in passes)))


def guard_for(folder: Path, screens: Screens = UNSAID) -> Guard:
    """Read the private file of a site folder, if there is one. Its mistakes are problems that never repeat a figure or a key.

    A folder, a pipe or a link in its place is a mistake, and so is another file with a name like it where it is not there: nobody would
    read that.
    """
    path = folder / NAME
    if path.is_symlink():
        return Guard({}, (Problem(str(path), 1, 1, "", "this is a link, and what it leads to is not read", PLAIN_FILE),), screens)
    if not path.is_file():
        wrong = left_out(path, NEAR)
        return Guard({}, (wrong,) if wrong else (), screens)
    source = read_profile(path)
    people: dict[str, tuple[float, float]] = {}
    problems = [Problem(p.file, p.line, p.column, "", "this line cannot be read", FORM) for p in source.problems]
    for where, message, hint in _mistakes(source.data, people) if not problems else ():
        mark = source.marks.get(where, Mark(1, 1, 1, 1))
        problems.append(Problem(source.file_of(mark), mark.line, mark.column, "", message, hint))
    lines = {user: source.marks[at].line for user in people if (at := join("people", user)) in source.marks}
    return Guard({} if problems else people, tuple(problems), screens, lines)


def _mistakes(data: Any, people: dict[str, tuple[float, float]]) -> Iterator[tuple[str, str, str]]:
    """(path, what is wrong, what would be right); fills `people` with kg on the way."""
    if not isinstance(data, dict) or set(data) != {"people"} or not isinstance(data["people"], dict):
        yield "", "the private file holds one section, people, with a line for each user", "see the README"
        return
    for user, entry in data["people"].items():
        at = join("people", user)
        if not CODE.fullmatch(user) or WEIGHED.search(user):
            yield (
                at,
                "what stands before the colon is no code of a user",
                "write the code that the profile has under people, such as U-07",
            )
            continue
        if not isinstance(entry, dict) or not set(FIGURES) <= set(entry) <= set(KEYS):
            yield at, "an entry has a weight, one with tools and the day of them, and nothing else", FORM
            continue
        read = []
        for key in FIGURES:
            try:
                read.append(units.parse(entry[key], "mass").si)
            except (units.UnitProblem, TypeError, ValueError, AttributeError):
                yield f"{at}.{key}", "the weight cannot be read", "write a figure with lb or kg"
        if len(read) == len(FIGURES):
            bare, full = read
            people[user] = bare, full
            if not at_least(full, bare):
                yield f"{at}.with_tools", "with harness and tools it is less than without", "weigh both again"
        try:
            units.parse_date(entry["on"]) if "on" in entry else None
        except (units.UnitProblem, TypeError, ValueError, AttributeError):
            yield f"{at}.on", "the day cannot be read", "write it as 2026-09-02"


def _texts(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, join(path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _texts(inner, join(path, index))


def _replaced(value: Any, path: str, paths: set[str], instead: str) -> Any:
    if isinstance(value, dict):
        return {k: _replaced(v, join(path, k), paths, instead) for k, v in value.items()}
    if isinstance(value, list):
        return [_replaced(v, join(path, n), paths, instead) for n, v in enumerate(value)]
    return instead if path in paths else value


def _pattern(kilograms: set[float]) -> re.Pattern[str]:
    """Each weight as people write it: in either unit, whole or with a decimal, with the unit behind it."""
    parts: set[str] = set()
    for kg in kilograms:
        for figure, unit in ((kg / POUND, LB), (kg, KG)):
            shown = {f"{figure:.0f}", f"{figure:.1f}", f"{figure:.2f}", f"{int(figure)}"}
            numbers = "|".join(sorted({re.escape(n).replace(r"\.", "[.,]") for n in shown}, key=len, reverse=True))
            parts.add(rf"(?<![\d.,])(?:{numbers})(?:[.,]0+)?(?:\s|\u00a0|-)*{unit}(?![a-z])")
    return re.compile("|".join(sorted(parts)), re.IGNORECASE)


def leaks_in(texts: Mapping[str, str], guard: Guard) -> tuple[str, ...]:
    """Names of those texts (of files, of streams, file names themselves) in which a weight of the private file stands."""
    if guard._told is None:
        return ()
    return tuple(sorted(name for name, text in texts.items() if guard._told.search(text) or guard._told.search(name)))
