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
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

from docgen import units
from docgen.frozen import frozen
from docgen.limits import at_least, within
from docgen.read import Mark, Problem, Source, join, left_out, read_profile

__all__ = ["NONE", "Facts", "Guard", "guard_for", "leaks_in"]

NAME = "private.yaml"
#: names that a person gives to that file, or an editor; none of them is looked at
NEAR = re.compile(r"\.?private\.(?:ya?ml|json|txt)(?:\.txt)?", re.IGNORECASE)
HIDDEN = "this text gives a person's weight; it is not repeated here"
HINT = "delete it; state only the posted limit"
FORM = 'write it as  U-01: {weight: "... lb", with_tools: "... lb", on: 2026-09-02}'
FIGURES = ("weight", "with_tools")
KEYS = (*FIGURES, "on")
CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]*")
POUND = units.parse("1 lb", "mass").si
LB, KG = r"(?:lbs?|lb\.|pounds?|#)", r"(?:kgs?|kilos?|kilograms?|kilogrammes?)"
WEIGHED = re.compile(rf"\d[.,\s-]*(?:{LB}|{KG})(?![a-z])", re.IGNORECASE)


@frozen
class Facts:
    """Yes and no. `given`: there is a file; `agrees`: no pass on record is contradicted by it (None where it says nothing).

    `unknown` are codes in the file that no user has; `withheld` are model paths of texts that gave a weight.
    """

    given: bool = False
    agrees: bool | None = None
    unknown: tuple[str, ...] = ()
    withheld: tuple[str, ...] = ()


NONE = Facts()


class Guard:
    """Holds the figures while one profile is read; it answers yes or no, takes texts out, and prints as nothing."""

    __slots__ = ("_people", "_screen", "_told", "problems")

    def __init__(
        self, people: Mapping[str, tuple[float, float]], problems: tuple[Problem, ...], screen: Callable[[str], bool]
    ) -> None:
        self._people = people
        self._screen = screen
        self._told: re.Pattern[str] | None = None
        self.problems = problems

    def __repr__(self) -> str:
        return "Guard()"

    def __reduce__(self) -> NoReturn:
        raise TypeError("a Guard holds private figures and is not written anywhere")

    def told_in(self, text: str) -> bool:
        """Whether a text gives a weight: one of the file, or any in the words of the screen."""
        return self._screen(text) or (self._told is not None and self._told.search(text) is not None)

    def learn(self, data: Any) -> None:
        """Leave alone the figures that the profile itself states as limits and ratings: they tell nothing of a person."""
        public = set(_masses(data))
        private = {v for figures in self._people.values() for v in figures if not any(abs(v - p) < 0.1 for p in public)}
        self._told = _pattern(private) if private else None

    def withhold(self, source: Source, instead: Callable[[], str]) -> tuple[Source, tuple[Mark, ...]]:
        """The source with every text that gives a weight replaced by `instead`, and the marks of those texts.

        A weight in an id or in another short word that is more than text becomes a problem of the source.
        """
        if self._told is None and not self._screen(source.text):
            return source, ()
        found = [(path, text) for path, text in _texts(source.data, "") if self.told_in(text)]
        if not found:
            return source, ()
        marks, problems, paths = [], [], set()
        for path, text in found:
            mark = source.marks.get(path, Mark(1, 1, 1, 1))
            if " " in text.strip():
                marks.append(mark)
                paths.add(path)
            else:
                problems.append(Problem(source.file, mark.line, mark.column, "", HIDDEN, HINT))
        data = _replaced(source.data, "", paths, instead())
        return replace(source, data=data, problems=(*source.problems, *problems)), tuple(marks)

    def clean(self, problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
        """Problems with every message that would repeat a weight put aside."""
        return tuple(
            replace(p, path="", message=HIDDEN, hint=HINT) if self.told_in(f"{p.path} {p.message} {p.hint}") else p
            for p in problems
        )

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
        return Facts(True, agrees, tuple(sorted(u for u in self._people if u not in passes)))


def guard_for(folder: Path, screen: Callable[[str], bool] = lambda _: False) -> Guard:
    """Read the private file of a site folder, if there is one. Its mistakes are problems that never repeat a figure."""
    path = folder / NAME
    if not path.is_file():
        wrong = left_out(path, NEAR)
        return Guard({}, (wrong,) if wrong else (), screen)
    source = read_profile(path)
    people: dict[str, tuple[float, float]] = {}
    problems = [Problem(p.file, p.line, p.column, "", "this line cannot be read", FORM) for p in source.problems]
    for where, message, hint in _mistakes(source.data, people) if not problems else ():
        mark = source.marks.get(where, Mark(1, 1, 1, 1))
        problems.append(Problem(source.file, mark.line, mark.column, "", message, hint))
    return Guard({} if problems else people, tuple(problems), screen)


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


def _masses(data: Any) -> Iterator[float]:
    """Every text of the profile that is a mass and nothing else: the limits and ratings."""
    for _, text in _texts(data, ""):
        if text[:1].isdigit() and len(text) < 20:
            try:
                yield units.parse(text, "mass").si
            except units.UnitProblem:
                continue


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
