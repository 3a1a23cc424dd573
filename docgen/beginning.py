"""A site begins: out of a few answers in plain words its first profile, with every fact that is asked for and not given as a line to fill in.

What a line asks and where its value is read off is taken from the declarations of the fields, and which lines there are from what the
program itself finds missing: no list is kept by hand. Nothing is made up: an answer that was not given stays `unknown`.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, cast

from docgen import units
from docgen.check import check, nearest, undecided
from docgen.checked import Assessed
from docgen.codes import LawAlone
from docgen.codes import load as law_of
from docgen.codes.folder import find, known
from docgen.control.safe import new_file, replace_file
from docgen.data import load
from docgen.errors import CodeError, DocgenError, RecordError, Refusal
from docgen.findings import SUBJECT
from docgen.findings.states import reason_of
from docgen.frozen import frozen
from docgen.logbook import scalar
from docgen.pipeline import check_site
from docgen.places import place_names
from docgen.read import Mark, Problem, read_profile, read_text
from docgen.resources import data_folder, schema_text
from docgen.signs import misread, unseen
from docgen.site.build import Slot, slots_of
from docgen.site.declare import Says
from docgen.site.facts import WALKED
from docgen.site.forms import FORMS
from docgen.site.profile import Site
from docgen.units import UnitProblem
from docgen.unknown import WORD, without_unknown

__all__ = ["ANSWERS", "Beginning", "Question", "Step", "answers_of", "begin", "next_steps", "questions"]

ANSWERS, PROFILE, LOG, PRIVATE = "start-answers.yaml", "profile.yaml", "log.yaml", "private.yaml"
SCHEMAS = ".docgen"
SECTOR = "general-industry"
Given = str | tuple[str, ...]
Answers = Mapping[str, Given]

NOBODY_KNOWS = re.compile(r"\?*|unknown|(?:i )?do(?:n['’]?t| not) know|not known|idk")
YES, NO = ("yes", "y", "true"), ("no", "n", "false", "none")
#: Who of others climbs, in the words of an answer -> the classes that may.
CLIMBING = {
    **dict.fromkeys(("drivers", "driver"), ("driver",)), **dict.fromkeys(("firms", "firm", "other firms"), ("firm",)),
    "both": ("driver", "firm"), **dict.fromkeys(NO, ()),
}  # fmt: skip
PARTING_COMMA = re.compile(r"(?<!\d),|,(?!\d)")
SHORT = re.compile(r"(?<![\d-])\d{2,3}(?![\d-])")  # a public emergency number
SHIFT = re.compile(r"(?P<name>.+?)[\s:,]+(?P<hours>\d{1,2}:\d{2} ?(?:-|–|to) ?\d{1,2}:\d{2})")
SINCE = re.compile(r"(.*?)[,;\s]*\bsince\s+(.+)", re.IGNORECASE)
IN = re.compile(r"(?P<what>.+)\s+(?:in|at|on)\s+(?P<bay>.+)", re.IGNORECASE)
POSTCODE = re.compile(
    r"[\s,]*\b(?:\d{4,5}(?:-\d{4})?|[A-Z]\d[A-Z] ?\d[A-Z]\d|[A-Z]{1,2}\d[A-Z\d]? ?\d[A-Z]{2})\b[\s.]*$", re.IGNORECASE
)
#: The parts of the United Kingdom for which its one set of law was read.
BRITISH = {"england": "GB", "scotland": "GB", "wales": "GB"}
#: Who is asked for by name, in this order -> the parts that each has.
NAMED = {
    "qualified-person": ("qualified-person",),
    "competent-person": ("competent-person", "inspector"),
    "rescue-lead": ("rescue-lead",),
}
AROUND = ("left", "right", "front", "rear")
#: The links of a load path in each bay, with the letters of their ids: those that the system names, and those that are part of one of these.
PARTS = (("structure", "ST"), ("rail", "R"), ("trolley", "T"), ("connector", "C"), ("srd", "D"))
OF_OTHERS = (("foundation", "F"), ("hanger", "HG"), ("splice", "SP"), ("end-stop", "ES"), ("end-stop", "ET"), ("hook", "HK"))
BYTES = re.compile("[\udc80-\udcff]")  # what the standard input could not decode
WIDE = 118
SAMPLE = 160  # signs of an example that is still read
#: Sections in the order of a walk from the gate to the papers; what is not here comes behind, as it is declared.
SECTIONS = (
    "site", "bays", "vehicles", "tasks", "equipment", "systems", "limits", "roles", "people", "shifts", "training", "inspection",
    "contractors", "rescue", "emergency", "document", "posting", "codes", "reviewers",
)  # fmt: skip
#: Asked for by findings, one by one, that look at what is not in the profile at all: their fields stand in it from the start.
ALWAYS = ("roles", "people.users", "shifts", "rescue.methods", "contractors.enforcement", "codes.vehicle_tops", "posting")
STEP = re.compile(r"([^.\[\]]+)(?:\[([^\]]*)\])?")


@frozen
class Question:
    """One question: its key, what it asks, why, and a typical answer in feet or metres."""

    key: str
    asks: str
    why: str
    us: str
    si: str

    def typical(self, system: str) -> str:
        """The answer that somebody might give."""
        return self.us if system == "us" else self.si


@frozen
class Step:
    """What to do next: with whom (`walk`, `labels`, `engineer`, ...), how many things keep a bay closed and papers drafts, and the first of them."""

    who: str
    closing: int
    drafts: int
    first: str


def said(language: str) -> Mapping[str, Any]:
    """The words of this part."""
    return cast("Mapping[str, Any]", load(data_folder("templates") / "words" / "start" / f"{language}.yaml", "start"))


def questions(language: str) -> tuple[Question, ...]:
    """All that is asked, in order."""
    found = []
    for key, entry in said(language)["questions"].items():
        typical = entry["typical"]
        us, si = (typical, typical) if isinstance(typical, str) else (typical["us"], typical["si"])
        found.append(Question(key, entry["asks"], entry["why"], us, si))
    return tuple(found)


# --- answers in a file ---------------------------------------------------------------------------------------------------


def answers_of(path: Path, keys: Iterable[str]) -> tuple[dict[str, Given], tuple[Problem, ...], Mapping[str, Mark]]:
    """What a file of answers holds, what is wrong with it, and where each stands. ProfileUnreadable where it cannot be opened."""
    asked = list(keys)
    source = read_profile(path, f"'{asked[0]}: ...'")
    if source.problems:
        return {}, source.problems, {}
    if source.data is None:
        return {}, (), {}
    if not isinstance(source.data, dict):
        return (
            {},
            (
                Problem(
                    source.file, 1, 1, "", "the answers are lines of a key and its answer", "write  site: Alder Bend Terminal"
                ),
            ),
            {},
        )
    found: dict[str, Given] = {}
    problems = []
    for key, value in source.data.items():
        mark = source.marks[key]
        if key not in asked:
            near = nearest(key, asked)
            there = f"'{near}'" if near else ", ".join(asked)
            told = f"{'near it:' if near else 'there are:'} {there}"
            problems.append(Problem(source.file, mark.key_line, mark.key_column, key, f"'{key}' is no question", told))
        elif isinstance(value, list) and all(isinstance(v, str | int | float) for v in value):
            found[key] = tuple(_text(v) for v in value)
        elif isinstance(value, dict | list):
            problems.append(
                Problem(
                    source.file,
                    mark.line,
                    mark.column,
                    key,
                    "an answer is text or a list of texts",
                    "write one line of text, or a list of them",
                )
            )
        else:
            found[key] = "" if value is None else _text(value)
    return found, tuple(problems), {key: source.marks[key] for key in found}


def _text(value: object) -> str:
    return str(value) if not isinstance(value, bool) else YES[0] if value else NO[0]


def nobody_knows(given: Given) -> bool:
    """Whether an answer says that it is not known."""
    return isinstance(given, str) and NOBODY_KNOWS.fullmatch(given.strip().casefold().rstrip(".")) is not None


# --- answers in words ----------------------------------------------------------------------------------------------------


def _items(given: Given) -> tuple[str, ...]:
    """The entries of an answer: of a list as they are, else parted by ; or, where there is none, by commas that stand in no number."""
    entries = given if not isinstance(given, str) else given.split(";") if ";" in given else PARTING_COMMA.split(given)
    return tuple(v.strip() for v in entries if v.strip())


def _whole(given: Given) -> str:
    return given.strip() if isinstance(given, str) else "; ".join(given)


def jurisdiction_of(address: str) -> str:
    """The code of the place whose law binds at an address. UnitProblem where the address does not end in one.

    >>> jurisdiction_of("40 Quay Street, Alder Bend, KS 67000"), jurisdiction_of("9 Mill Road, Elora, Ontario, Canada")
    ('US-KS', 'CA-ON')
    """
    pieces = [p for p in (POSTCODE.sub("", piece).strip(" .") for piece in address.split(",")) if p]
    parts, countries = _places()
    code = address.strip()
    if code in {c for _, c in parts} or code in countries.values():
        return code
    country = countries.get(_short(pieces[-1])) if pieces else None
    if country is not None and len(pieces) > 1:
        pieces.pop()
    elif country is not None:
        return country
    last = _without_the(pieces[-1]) if pieces else ""
    matched = sorted({c for name, c in parts if name == last and country in (None, c.split("-")[0])})
    if len(matched) == 1:
        return matched[0]
    if country is not None and not any(c.startswith(f"{country}-") for c in known()):  # no part of it has a set of its own
        return country
    if matched:
        raise UnitProblem(f"'{pieces[-1]}' is {' and '.join(matched)}", "add the country behind it")
    right = "put the state, the province or the country behind the last comma, such as Kansas, Ontario, Scotland or New Zealand; that alone will do"
    raise UnitProblem(f"'{pieces[-1] if pieces else address}' tells no place whose law is known here", right)


def _short(country: str) -> str:
    """A country without the words that its name may bear or not."""
    return _without_the(country).removeprefix("republic of ").removesuffix(" of america")


def _without_the(name: str) -> str:
    return name.casefold().removeprefix("the ")


def _places() -> tuple[list[tuple[str, str]], dict[str, str]]:
    """Names and short forms of the states and provinces, each with its code, and of the countries whose law is known, in small letters."""
    laws = {code: folder for code in known() if (folder := find(code)) is not None and folder.index["kind"] == "law"}
    parts: list[tuple[str, str]] = []
    countries: dict[str, str] = dict(BRITISH)
    for code, names in place_names().items():
        country, _, part = code.partition("-")
        if country not in laws:
            continue
        if not part:
            countries |= {_short(name.rstrip(".")): code for name in (*names, code)}
        elif code in laws or code in laws[country].index.get("subdivisions", {}):
            parts += [(_without_the(name), code) for name in (*names, part)]
    countries.pop("ca", None)  # California, at the end of an address
    return parts, countries


def _figure(text: str, kind: str) -> str:
    amount = units.parse(text, kind)
    if amount.si <= 0:
        raise UnitProblem(f"{amount.text} is not above zero", f"write it like {units.KINDS[kind].examples[0]}")
    return amount.text


def _in_order(given: Given, names: Sequence[str], kind: str, alike: bool = False) -> list[str | None]:
    """One figure for each name: in their order, or behind the name; None for one that is not known. `alike`: one figure may stand for all."""
    items = (_whole(given),) if len(names) == 1 and isinstance(given, str) else _items(given)
    by_name: dict[int, str] = {}
    bare: list[str] = []
    for item in items:
        at = max(
            (n for n, name in enumerate(names) if item.casefold().startswith(name.casefold())),
            key=lambda n: len(names[n]),
            default=None,
        )
        rest = item[len(names[at]) :].lstrip(" :=") if at is not None else ""
        if at is not None and not rest:
            raise UnitProblem(f"'{item}' has no figure", f"write each with its name: {item} {units.KINDS[kind].examples[0]}")
        if at is not None:
            by_name[at] = rest
        else:
            bare.append(item)
    if by_name:
        bare = [item for item in bare if not nobody_knows(item)]
    if bare and by_name:
        raise UnitProblem(
            f"'{bare[0]}' stands beside figures with names",
            f"write each with its name: {names[0]} {units.KINDS[kind].examples[0]}",
        )
    if alike and len(bare) == 1:
        bare *= len(names)
    if bare and len(bare) != len(names):
        order = "; ".join(names)
        raise UnitProblem(
            f"{len(bare)} for {len(names)}",
            f"write one for each, with ; between them and ? for one not known, in this order: {order}",
        )
    told = dict(enumerate(bare)) if bare else by_name
    return [None if n not in told or nobody_knows(told[n]) else _figure(told[n], kind) for n in range(len(names))]


def _day(text: str, as_of: date) -> date:
    day = units.parse_date(text)
    if day > as_of:
        raise UnitProblem(f"{text} lies ahead of {as_of}", "write the day on which it was done")
    return day


def _slug(name: str, otherwise: str, taken: Iterable[str] = ()) -> str:
    """An id out of a name: letters, digits and hyphens, taken by nothing else."""
    import unicodedata

    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    text = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:40].strip("-") or otherwise
    used = {t.casefold() for t in taken}
    return next(key for key in (text, *(f"{text}-{n}" for n in range(2, 1000))) if key not in used)


class Beginning:
    """The answers of one site on one day, each taken once it can be read, and what they make."""

    def __init__(self, as_of: date, language: str, folder: str = "") -> None:
        self.as_of, self.language, self.folder = as_of, language, folder
        self.answers: dict[str, Given] = {}
        self.taken: tuple[str, ...] = ()  # ids of the sites that lie beside it, whose papers lie in one folder with its own
        self.words = said(language)

    # what is known

    def take(self, key: str, given: Given) -> None:
        """Keep an answer. UnitProblem, with what would be right, for one that cannot be read; the answers are then as they were."""
        for text in (given,) if isinstance(given, str) else given:
            if BYTES.search(text):
                raise UnitProblem(
                    "the answer holds bytes that are no text in UTF-8", "type the answer again, or save it as UTF-8"
                )
            if sign := unseen(text):
                raise UnitProblem(f"sign {text.index(sign) + 1} is U+{ord(sign):04X}, which nobody sees", "type the answer again")
            if taken := misread(text):
                raise UnitProblem(taken[1], taken[2])
        before = dict(self.answers)
        self.answers[key] = WORD if nobody_knows(given) else given
        try:
            if key == "address" and nobody_knows(given):
                right = "write at least the state, the province or the country; the street can come later"
                raise UnitProblem("the place decides whose law binds and which units are used, so it cannot be left open", right)
            if "address" in self.answers:
                self._would_be_read()
            elif key in READERS and not nobody_knows(given):
                self.draft()
        except UnitProblem:
            self.answers = before
            raise

    def _would_be_read(self) -> None:
        """The draft has no problems by the reader of profiles itself."""
        source, not_known = without_unknown(read_text(self.text(self.draft())))
        problems = (*check(source), *undecided(source, ((n.path, n.mark) for n in not_known)))
        for problem in problems[:1]:
            raise UnitProblem(problem.message, problem.hint)

    def skipped(self, key: str) -> bool:
        """Whether a question makes no sense any more."""
        return key == "decks" and "vehicles" in self.answers and self._of("vehicles") is None

    def _of(self, key: str) -> Given | None:
        given = self.answers.get(key)
        return None if given is None or nobody_knows(given) else given

    @property
    def jurisdiction(self) -> str:
        """The code of the place."""
        return jurisdiction_of(_whole(self.answers["address"]))

    @property
    def law(self) -> LawAlone:
        """The law of the place on the day."""
        try:
            return law_of(self.jurisdiction, SECTOR, self.as_of)
        except CodeError as error:
            raise UnitProblem(str(error), "write another place") from None

    @property
    def units(self) -> str:
        """us or si, by the place; us where it is not known yet."""
        return self.law.units if "address" in self.answers else "us"

    @property
    def name(self) -> str:
        """The name of the site, or a working one."""
        given = self._of("site")
        return _whole(given) if given is not None else self.words["names"]["site"]

    @property
    def id(self) -> str:
        """The id of the site, out of its name, or of the folder where it has none."""
        key = _slug(self.name if self._of("site") is not None else self.folder or self.name, "site")
        kept_apart = (rule["not"]["pattern"] for rule in FORMS["file_id"]["allOf"] if "not" in rule)
        return _slug(f"{key}-site" if any(re.search(pattern, key) for pattern in kept_apart) else key, "site", self.taken)

    @property
    def bays(self) -> tuple[str, ...]:
        """Names of the bays; one with a working name where nobody told them."""
        given = self._of("bays")
        return _items(given) if given is not None else (self.words["names"]["bay"],)

    def _vehicles(self) -> dict[str, list[int]]:
        """Name of a vehicle -> the bays in which it stands."""
        given, found = self._of("vehicles"), dict[str, list[int]]()
        for item in _items(given) if given is not None else ():
            what, at = item, 0
            if len(self.bays) > 1:
                what, at = self._placed(item)
            elif (match := IN.fullmatch(item)) and match["bay"].casefold() == self.bays[0].casefold():
                what = match["what"]
            name = next((n for n in found if n.casefold() == what.casefold()), what)
            found.setdefault(name, [])
            if at not in found[name]:
                found[name].append(at)
        return found

    def _placed(self, item: str) -> tuple[str, int]:
        for at, bay in sorted(enumerate(self.bays), key=lambda each: -len(each[1])):
            match = re.fullmatch(rf"(.+?)\s+(?:in|at|on)\s+(?:the\s+)?{re.escape(bay)}", item, re.IGNORECASE)
            if match:
                return match[1], at
        what = re.sub(r"(.)\s+in\s+.+", r"\1", item, flags=re.IGNORECASE)  # a bay that there is not is left out
        raise UnitProblem(f"'{item}' names no bay", f"write it as  {what} in {self.bays[0]}; the bays are {', '.join(self.bays)}")

    # the draft

    def draft(self) -> dict[str, Any]:
        """The profile as far as the answers go. UnitProblem for an answer that cannot be read."""
        evidence = self._evidence()
        bays = [f"B{n}" for n in range(1, len(self.bays) + 1)]
        rail = self._figures("rail", self.bays, "length")
        arrest = self._figures("arrest", self.bays, "length", alike=True)
        vehicles = self._vehicles()
        if not vehicles and self._of("decks") is not None:
            raise UnitProblem("no vehicle is named whose surface this is", "name it under vehicles, or leave this out")
        decks = self._figures("decks", tuple(vehicles), "length")
        data: dict[str, Any] = {"profile": 2, "site": self._site()}
        people = self._people()
        if isinstance(people["shifts"], list):
            data["site"]["gate"] = {"opens": [{"shift": shift["id"], "how": WORD} for shift in people["shifts"]]}
        data["bays"] = [
            {
                "id": key,
                "name": name,
                "heights_from": WORD,
                "rail": {
                    "part": f"R-{n}",
                    "underside": evidence(rail[n - 1]),
                    "stops": [{"at": self.words["names"][end], "basis": WORD} for end in ("stop-first", "stop-last")],
                },
            }
            for n, (key, name) in enumerate(zip(bays, self.bays, strict=True), 1)
        ]
        self._lower_than_rail(vehicles, decks, rail)
        keys: list[str] = []
        for name in vehicles:
            keys.append(_slug(name, "vehicle", keys))
        data["vehicles"] = [
            {"id": key, "name": name, "deck": evidence(deck), "sides": [_side(side) for side in AROUND]}
            for key, name, deck in zip(keys, vehicles, decks, strict=True)
        ] or WORD
        work = self._of("work")
        data["tasks"] = [
            {"id": f"{key}-{bays[at].lower()}" if len(places) > 1 else f"{key}-work", "name": WORD if work is None else _whole(work),
             "bay": bays[at], "vehicle": key}
            for key, places in zip(keys, vehicles.values(), strict=True) for at in places
        ] or WORD  # fmt: skip
        harness = {"id": "H-1", "kind": "harness", "capacity": {"min": WORD, "max": WORD}, "attachment": WORD}
        data["equipment"] = [*self._equipment(arrest), harness]
        data["systems"] = [
            {"id": f"S{n}", "bay": key, "parts": [f"{letter}-{n}" for _, letter in PARTS], "harnesses": ["H-1"]}
            for n, key in enumerate(bays, 1)
        ]
        data["limits"] = {"lower": {"value": WORD}, "upper": {"value": WORD}}
        data |= people
        data |= self._help()
        data["document"] = {"effective": self.as_of}
        return data

    def _lower_than_rail(
        self, vehicles: Mapping[str, Sequence[int]], decks: Sequence[str | None], rail: Sequence[str | None]
    ) -> None:
        for (name, places), deck in zip(vehicles.items(), decks, strict=True):
            for at in places:
                over = rail[at]
                if deck is not None and over is not None and units.parse(deck, "length").si >= units.parse(over, "length").si:
                    raise UnitProblem(
                        f"{deck} for {name} is not below the rail over {self.bays[at]}, which is at {over}",
                        "measure both from the same ground, and look whether one of the two is a slip",
                    )

    def _site(self) -> dict[str, Any]:
        address = self._of("address")
        told = _whole(address) if address is not None and "," in _whole(address) else WORD
        return {
            "id": self.id, "name": self.name, "address": told, "sector": SECTOR,
            "jurisdiction": self.jurisdiction if address is not None else "",
        }  # fmt: skip

    def _evidence(self) -> Callable[[str | None], Any]:
        """How a height stands in the profile: with the day on which it was measured, as assumed, or bare."""
        given = self._of("measured")
        text = _whole(given) if given is not None else ""
        if given is None:
            return lambda figure: WORD if figure is None else figure
        if text.casefold() in NO:
            return lambda figure: WORD if figure is None else {"value": figure, "how": "assumed"}
        try:
            day = _day(text, self.as_of)
        except UnitProblem as wrong:
            raise UnitProblem(wrong.message, f"{wrong.hint}, or say no") from None
        return lambda figure: WORD if figure is None else {"value": figure, "how": "measured", "on": day}

    def _figures(self, key: str, names: Sequence[str], kind: str, alike: bool = False) -> list[str | None]:
        given = self._of(key)
        return [None] * len(names) if given is None or not names else _in_order(given, names, kind, alike)

    def _equipment(self, arrest: Sequence[str | None]) -> Iterator[dict[str, Any]]:
        for n, distance in enumerate(arrest, 1):
            for kind, letter in PARTS:
                part: dict[str, Any] = {"id": f"{letter}-{n}", "kind": kind}
                if kind in ("structure", "rail"):
                    part["rated_users"] = WORD
                if kind == "connector":
                    part["proof"] = WORD
                if kind in ("trolley", "srd"):
                    part["capacity"] = {"min": WORD, "max": WORD} if kind == "srd" else {"max": WORD}
                if kind == "srd":
                    part["arrest_distance"] = WORD if distance is None else {"value": distance, "how": "label"}
                yield part
            for kind, letter in OF_OTHERS:
                yield {"id": f"{letter}-{n}", "kind": kind, "part_of": WORD}

    def _people(self) -> dict[str, Any]:
        found: dict[str, Any] = {"roles": WORD, "people": {"users": WORD, "rescuers": WORD}, "shifts": WORD}
        roles: list[dict[str, Any]] = []
        if (given := self._of("charge")) is not None:
            name, title, phone, since = self._charge(given)
            roles.append(
                {"id": _slug(title, "manager"), "title": title, "part": ["management"],
                 "holders": [{"name": name, "from": since}], **({"phone": phone} if phone else {})}
            )  # fmt: skip
        roles += self._named([role["id"] for role in roles])
        found["roles"] = roles or WORD
        if (given := self._of("rescuers")) is not None:
            text = _whole(given)
            if not re.fullmatch(r"\d{1,2}", text):
                raise UnitProblem(f"'{text}' is no number of people", "write a whole number, such as 4, or 0 if there are none")
            found["people"]["rescuers"] = [{"id": f"RS-{n}", "shifts": WORD} for n in range(1, int(text) + 1)]
        if (given := self._of("shifts")) is not None:
            keys: list[str] = []
            found["shifts"] = []
            for item in _items(given):
                match = SHIFT.fullmatch(item)
                if match is None:
                    raise UnitProblem(f"'{item}' is no shift with its hours", "write it as  Day 06:00-14:00")
                keys.append(_slug(match["name"], "shift", keys))
                found["shifts"].append({"id": keys[-1], "name": match["name"], "hours": _hours(match["hours"]), "climbing": True})
            if isinstance(found["people"]["rescuers"], list) and len(keys) == 1:
                for one in found["people"]["rescuers"]:
                    one["shifts"] = list(keys)
        if (given := self._of("contractors")) is not None:
            text = _whole(given).casefold()
            if text not in CLIMBING:
                raise UnitProblem(f"'{_whole(given)}' does not say who climbs", "write drivers, firms, both, or no")
            named = self.words["names"]
            found["contractors"] = {
                "classes": [{"id": key, "name": named[key], "may_climb": key in CLIMBING[text]} for key in ("driver", "firm")]
            }
        return found

    def _named(self, taken: list[str]) -> list[dict[str, Any]]:
        """The roles of those who were named, each with its holder; the title may be changed."""
        given = self._of("named")
        items = _items(given) if given is not None else ()
        if given is not None and len(items) != len(NAMED):
            told = "; ".join(self.words["names"][part] for part in NAMED)
            raise UnitProblem(
                f"{len(items)} for {len(NAMED)}",
                f"write one for each, with ; between them and ? for nobody yet, in this order: {told}",
            )
        roles = []
        for (part, parts), item in zip(NAMED.items(), items, strict=False):
            if nobody_knows(item):
                continue
            told, since = self._since(item)
            name, _, qualification = (piece.strip() for piece in told.partition(","))
            key = _slug(part, part, taken)
            roles.append(
                {"id": key, "title": self.words["names"][part], "part": list(parts), "holders": [{"name": name, "from": since}],
                 "qualification": qualification or WORD}
            )  # fmt: skip
        return roles

    def _since(self, text: str) -> tuple[str, date]:
        """What is told without the day since when it holds; the day of the start where none is told."""
        match = SINCE.fullmatch(text)
        return (match[1].strip(), _day(match[2], self.as_of)) if match else (text, self.as_of)

    def _charge(self, given: Given) -> tuple[str, str, str, date]:
        pieces = list(_items(given))
        since = self.as_of
        if pieces and (match := SINCE.fullmatch(pieces[-1])):
            since = _day(match[2], self.as_of)
            pieces[-1:] = [match[1].strip()] if match[1].strip() else []
        if not 2 <= len(pieces) <= 3:
            raise UnitProblem(
                f"'{_whole(given)}' has not name, title and telephone",
                "write them with ; between: R. Marlow; Terminal manager; 555-0140",
            )
        phone = pieces[2] if len(pieces) == 3 and not nobody_knows(pieces[2]) else ""
        if phone and not re.search(r"\d{3}", phone):
            raise UnitProblem(f"'{phone}' is no telephone number", "write it as one dials it: 555-0140")
        return pieces[0], pieces[1], phone, since

    def _help(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        if (given := self._of("help")) is not None:
            found["rescue"] = {"methods": [self._outside(_whole(given))], "external": {"agency": _whole(given)}}
        if "address" in self.answers and (number := self.public_number):
            found["emergency"] = {
                "contacts": [{"role": self.words["names"]["contact"], "number": number, "hours": WORD}],
                "public": {"number": number, "non_emergency": WORD},
            }
        return found

    def _outside(self, agency: str) -> dict[str, Any]:
        """Help from outside as a method: it is called, comes and brings down; who calls, and how long each takes, is not known."""
        told = self.words["names"]
        steps = [
            {"id": key, "text": told[f"help-{key}"].format(agency=agency), "who": WORD, "time": {"worst": WORD}, **more}
            for key, more in (
                ("call", {"does": ["call"]}),
                ("arrive", {"does": ["arrive"], "after": ["call"]}),
                ("lower", {"after": ["arrive"]}),
            )
        ]
        return {
            "id": "OUT", "name": agency, "kind": "outside", "unconscious": WORD, "night": WORD, "persons": 0, "contact_step": "arrive",
            "ground_step": "lower", "steps": steps, "rows": WORD,
        }  # fmt: skip

    @property
    def public_number(self) -> str:
        """The public emergency number that the law of the place names; the first where it names two, empty where it names none."""
        answer = self.law.ask("public_emergency_number")
        return next(iter(SHORT.findall(answer.says_plain or "")), "")

    # the files

    def text(self, data: Mapping[str, Any]) -> str:
        """The profile as it is written, with its comments."""
        return _Writer(self).text(data)

    def filled(self, data: Mapping[str, Any], checked: Assessed) -> dict[str, Any]:
        """The draft with each field that is asked for and not there as `unknown`."""
        full: dict[str, Any] = _copy(data)
        for path in (*ALWAYS, *_asked(checked)):
            _open(full, path)
        return full

    def save(self, target: Path) -> None:
        """Write the answers given so far, in one step. RecordError where the folder cannot be written or somebody else has."""
        lines = [f"# {self.words['answers']}"]
        lines += [f"{key}: {scalar(v if isinstance(v, str) else list(v))}" for key, v in self.answers.items()]
        put(target, "\n".join(lines) + "\n")


#: Questions whose answer is looked at before the place is known.
READERS = frozenset(
    {"bays", "vehicles", "rail", "decks", "measured", "arrest", "charge", "named", "shifts", "rescuers", "contractors"}
)


def _side(side: str) -> dict[str, Any]:
    """A side of a vehicle, with all that is measured at an edge from which somebody can fall."""
    return {"side": side, "edge": WORD, "lower": {"what": WORD, "height": WORD}, "edge_top": WORD, "edge_kind": WORD}


def _hours(text: str) -> str:
    ends = []
    for end in re.findall(r"(\d{1,2}):(\d{2})", text):
        hour, minute = int(end[0]), int(end[1])
        if hour > 24 or minute > 59 or (hour == 24 and minute):
            raise UnitProblem(f"{end[0]}:{end[1]} is no time of the day", "write it as 06:00-14:00")
        ends.append(f"{hour:02}:{minute:02}")
    return "-".join(ends)


def put(target: Path, text: str) -> None:
    """A file with this text, whether or not it was there, in one step."""
    data = text.encode("utf-8")
    try:
        if target.exists():
            replace_file(target, target.read_bytes(), data)
        else:
            new_file(target, data)
    except FileExistsError:
        raise RecordError("profile-moved", file=str(target)) from None
    except OSError as error:
        raise Refusal("site-not-writable", folder=str(target.parent), reason=error.strerror or type(error).__name__) from None


# --- what is unknown -----------------------------------------------------------------------------------------------------


def _copy(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _copy(inner) for key, inner in value.items()}
    return [_copy(v) for v in value] if isinstance(value, list) else value


def _asked(checked: Assessed) -> Iterator[str]:
    """Paths of what is missing: of the facts that are asked for, and of the findings that stop issue or use and name a field."""
    for fact in checked.view.facts:
        yield from fact.paths
    for found in checked.assessed.findings:
        yield found.path


def _open(data: dict[str, Any], path: str) -> None:
    """Put `unknown` at a path of the profile where nothing stands; of a record the word for each part of it that may be left out."""
    cls: Any = Site
    here: Any = data
    steps = STEP.findall(path)
    for n, (key, entry) in enumerate(steps):
        slot = next((s for s in slots_of(cls) if s.key == key), None) if isinstance(here, dict) else None
        if slot is None:
            return
        said = _says(cls, slot)
        if key not in here:
            if entry or said.required or said.decided or said.administrative:
                return
            if n < len(steps) - 1:
                if slot.what != "record" or slot.many:
                    return
                here[key] = {}
            else:
                here[key] = _not_known(slot)
                return
        cls, here = slot.arg if slot.what == "record" else None, here[key]
        if slot.many and entry:
            here = _entry(here, entry)
        if cls is None:
            return


def _entry(entries: Any, name: str) -> Any:
    """The entry of a list that a path names: by its id, its side or its kit, or by its number where it has none of these."""
    if not isinstance(entries, list):
        return None
    found = next((e for e in entries if isinstance(e, dict) and name in (e.get("id"), e.get("side"), e.get("kit"))), None)
    return entries[int(name)] if found is None and name.isdecimal() and int(name) < len(entries) else found


def _not_known(slot: Slot) -> Any:
    """The word; of a record whose parts may all be left out, the parts that are asked for with it."""
    if slot.what != "record" or slot.many:
        return WORD
    parts = [(s, _says(slot.arg, s)) for s in slots_of(slot.arg)]
    if any(p.required or p.decided for _, p in parts):
        return WORD
    return {s.key: WORD for s, p in parts if p.need != "o" and not p.when} or WORD


def _says(cls: Any, slot: Slot) -> Says:
    return cast(Says, cls.__dataclass_fields__[slot.name].metadata["says"])


# --- the text ------------------------------------------------------------------------------------------------------------


class _Writer:
    """Writes a profile in lines: a heading over each group, and over each line to fill in what it is and where it is read off."""

    def __init__(self, begun: Beginning) -> None:
        self.begun = begun
        self.words: Mapping[str, str] = begun.words["profile"]
        self.told: set[tuple[str, str]] = set()

    def text(self, data: Mapping[str, Any]) -> str:
        begun = self.begun
        lines = [f"# yaml-language-server: $schema={SCHEMAS}/site_profile.schema.json"]
        lines += _comment(self.words["head"].format(name=begun.name, folder=begun.folder or begun.id), 0)
        lines += _comment(self.words["heights_from_head"], 0)
        lines += ["", f"profile: {data['profile']}"]
        slots = {s.key: s for s in slots_of(Site)}
        for key in (*SECTIONS, *(k for k in slots if k not in SECTIONS)):
            if key not in data:
                continue
            slot = slots[key]
            lines.append("")
            if head := begun.words["groups"].get(key):
                lines += _comment(head, 0)
            lines += self.value(Site, slot, data[key], 0, key)
        return "\n".join(lines) + "\n"

    def value(self, cls: Any, slot: Slot, value: Any, indent: int, path: str) -> Iterator[str]:
        """The lines of one key and its value."""
        pad = " " * indent
        if value == WORD:
            yield from self.asked(_says(cls, slot), path, indent)
            yield f"{pad}{slot.key}: {WORD}"
        elif slot.what == "record" and slot.many:
            yield from self.remark(path, value, indent)
            yield f"{pad}{slot.key}:" if value else f"{pad}{slot.key}: []"
            for entry in value:
                inner = [*self.record(slot.arg, entry, indent + 4, path)]
                first = next(n for n, line in enumerate(inner) if not line.lstrip().startswith("#"))
                yield from inner[:first]
                yield f"{pad}  - {inner[first].lstrip()}"
                yield from inner[first + 1 :]
        elif slot.what == "record":
            yield f"{pad}{slot.key}:"
            yield from self.record(slot.arg, value, indent + 2, path)
        else:
            yield from self.remark(path, value, indent)
            yield f"{pad}{slot.key}: {_flow(value)}"

    def record(self, cls: Any, entry: Mapping[str, Any], indent: int, path: str) -> Iterator[str]:
        for slot in slots_of(cls):
            if slot.key in entry:
                yield from self.value(cls, slot, entry[slot.key], indent, f"{path}.{slot.key}")

    def asked(self, about: Says, path: str, indent: int) -> Iterator[str]:
        """What a line asks, where it is read off, and an example; said once for all lines of its kind."""
        if (path, about.sentence) in self.told:
            return
        self.told.add((path, about.sentence))
        text = about.asked if about.asked.endswith((".", "?")) else f"{about.asked}."
        if about.read_off:
            text += f" {self.words['read_off'].format(where=about.read_off)}"
        sample = next((e for e in about.examples), None)
        if sample is not None and len(shown := _flow(sample)) <= SAMPLE:
            text += f" {self.words['example'].format(example=shown)}"
        yield from _comment(text, indent)

    def remark(self, path: str, value: Any, indent: int) -> Iterator[str]:
        """What must be said beside a value that the answers did not give word for word."""
        key = {"roles.holders.from": "from", "emergency.public.number": "number", "vehicles.sides": "sides"}.get(path)
        if key is not None and (key, "") not in self.told:
            self.told.add((key, ""))
            yield from _comment(self.words[key], indent)


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {_flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_flow, value))}]"
    return scalar(value)


def _comment(text: str, indent: int) -> list[str]:
    lead = f"{' ' * indent}# "
    return textwrap.wrap(text, WIDE, initial_indent=lead, subsequent_indent=lead, break_long_words=False, break_on_hyphens=False)


# --- what comes next -----------------------------------------------------------------------------------------------------

#: Why a finding closes a bay -> who knows; whatever closes none is decided.
WHO = {
    "facts": "walk", "fall-distance": "engineer", "danger": "walk", "part-strength": "labels", "anchorage-strength": "engineer",
    "no-rescue": "rescue-lead", "inspection-overdue": "labels", "check-overdue": "decide",
}  # fmt: skip
COUNTED = ("bay-facts-missing", "paper-facts-missing")  # the facts themselves are counted


def next_steps(checked: Assessed, sentence: Callable[[Any], str], most: int = 5) -> tuple[Step, ...]:
    """What to do next, by who knows: what keeps bays closed first. `sentence` gives the words of a finding."""
    things: dict[str, list[tuple[bool, str]]] = {}
    for fact in checked.view.facts:
        who: str = "walk" if fact.station in WALKED else fact.station
        things.setdefault(who, []).extend((fact.need == "A", s) for s in fact.sentences)
    for found in checked.assessed.findings:
        if found.severity != "must-fix" or found.stops not in ("issue", "use") or found.name in COUNTED:
            continue
        reason = reason_of(found.name, SUBJECT[found.name], found.stops)
        things.setdefault("decide" if reason is None else WHO.get(reason, "decide"), []).append(
            (reason is not None, sentence(found))
        )
    order = ("walk", "labels", "engineer", "rescue-lead", "decide", "counsel")
    steps = []
    for who in order:
        lines = things.get(who, [])
        if lines:
            closing = sum(1 for closes, _ in lines if closes)
            first = next((s for closes, s in lines if closes), lines[0][1])
            steps.append(Step(who, closing, len(lines) - closing, first))
    return tuple(sorted(steps, key=lambda s: (not s.closing, order.index(s.who)))[:most])


# --- the files -----------------------------------------------------------------------------------------------------------


def begin(begun: Beginning, folder: Path) -> Assessed:
    """Write the files of a new site into its folder, the profile last, and give back the site as it is checked then.

    Raises Refusal where a profile is there, a log or private file that is there does not fit, or the folder cannot be written.
    """
    if (folder / PROFILE).exists():
        raise Refusal("profile-is-there", file=str(folder / PROFILE), folder=str(folder))
    draft = begun.draft()
    text = begun.text(begun.filled(draft, _checked(begun, begun.text(draft))))
    if there := {name: (folder / name).read_bytes() for name in (LOG, PRIVATE) if (folder / name).is_file()}:
        _checked(begun, text, folder, there)
    words, name = begun.words, begun.name
    files = {
        f"{SCHEMAS}/site_profile.schema.json": schema_text("site_profile"),
        f"{SCHEMAS}/site_log.schema.json": schema_text("site_log"),
        LOG: _headed(words["log"].format(name=name, folder=folder), "log: 1\nentries: []", "site_log"),
        PRIVATE: _headed(words["private"].format(), "people: {}"),
        ".gitignore": _headed(words["ignore"], PRIVATE),
    }
    for file, content in files.items():
        if not (folder / file).exists():
            put(folder / file, content)
    _ignored(folder / ".gitignore")
    try:
        new_file(folder / PROFILE, text.encode("utf-8"))
    except FileExistsError:
        raise Refusal("profile-is-there", file=str(folder / PROFILE), folder=str(folder)) from None
    checked = check_site(folder, begun.as_of)
    if not isinstance(checked, Assessed):
        raise DocgenError(checked.problems[0].message)
    return checked


def _ignored(path: Path) -> None:
    """The private file is named in a list of what version control leaves out that was there before, too."""
    text = path.read_text(encoding="utf-8", errors="surrogateescape")
    if PRIVATE not in text.split():
        replace_file(
            path, text.encode("utf-8", "surrogateescape"), f"{text.rstrip()}\n{PRIVATE}\n".encode("utf-8", "surrogateescape")
        )


def _headed(comment: str, text: str, schema: str = "") -> str:
    first = [f"# yaml-language-server: $schema={SCHEMAS}/{schema}.schema.json"] if schema else []
    return "\n".join([*first, *_comment(comment, 0), text]) + "\n"


def _checked(begun: Beginning, text: str, folder: Path | None = None, there: Mapping[str, bytes] | None = None) -> Assessed:
    """The site that a text is, checked in a folder of its own, with the files of `folder` that are there. Refusal where one does not fit."""
    with TemporaryDirectory() as place:
        (Path(place) / PROFILE).write_text(text, encoding="utf-8", newline="\n")
        for name, data in (there or {}).items():
            (Path(place) / name).write_bytes(data)
        checked = check_site(Path(place), begun.as_of)
    if not isinstance(checked, Assessed):
        first = checked.problems[0]
        if folder is not None and (name := Path(first.file).name) in (there or {}):
            at = f"{folder / name}:{first.line}:{first.column}"
            raise Refusal("start-file-does-not-fit", place=at, message=first.message, hint=first.hint)
        raise DocgenError(checked.problems[0].message)
    return checked
