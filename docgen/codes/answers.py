"""From an entry in a data file to an `Answer`: the entry in force, its value in SI, its printed form, its citation."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

from docgen.codes.folder import HOME, Folder, Timelines
from docgen.codes.model import Amendment, Answer, DayBasis, Expected, Question, Reading, Source, Value
from docgen.data import blocks
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.units import KINDS, Amount, UnitProblem, parse, parse_interval

__all__ = [
    "Line",
    "cited",
    "in_force",
    "not_looked_answer",
    "question",
    "questions",
    "read_value",
    "silent_answer",
    "source_of",
    "value_answer",
]

Fields = Mapping[str, Any]
_OPTIONAL_PARTS = {"paragraph": "", "prefix": ""}
_CLOCK = re.compile(r"[1-9][0-9]* (?:h|days?|working days?)")
_FIGURE = re.compile(r"^[0-9]+(?=[ .]|$)")


@cache
def question(key: str) -> Question:
    """One question of the fixed list. Raises CodeError, with the nearest key, for one that is not in it."""
    entries = blocks(HOME / "questions.yaml", "code/questions")
    if key not in entries:
        from difflib import get_close_matches

        near = get_close_matches(key, list(entries), 1)
        told = f"did you mean '{near[0]}'?" if near else "the list is questions.yaml"
        raise CodeError(f"no question '{key}' may be asked of the law; {told}")
    fields = dict(entries[key])
    for name in ("options", "fallbacks"):
        fields[name] = tuple(fields.get(name, ()))
    fields["when"] = {name: tuple(needed) for name, needed in fields.get("when", {}).items()}
    return Question(key=key, **fields)


def questions() -> tuple[str, ...]:
    """Every key of the fixed list, in its order."""
    return tuple(blocks(HOME / "questions.yaml", "code/questions"))


def source_of(home: Folder, id: str) -> Source:
    """A source by id. Raises CodeError when the folder has none of that name."""
    entries = home.file("sources.yaml")
    if id not in entries:
        raise CodeError(f"{home.path.name}/sources.yaml has no source '{id}'; add it or mend the name")
    entry = dict(entries[id])
    return Source(
        id=id,
        jurisdiction=home.code,
        cite=tuple((part, str(text)) for part, text in entry.pop("cite", {}).items()),
        effective=entry.pop("effective", None),
        effective_basis=entry.pop("effective_basis", "memory"),
        **entry,
    )


def cited(source: Source, at: str | Mapping[str, str] | None) -> str:
    """The printed citation: parts of the source and those that an answer adds. Raises CodeError for a missing part."""
    added = {"paragraph": at} if isinstance(at, str) else dict(at or {})
    try:
        return source.form.format_map({**_OPTIONAL_PARTS, **dict(source.cite), **added})
    except KeyError as part:
        raise CodeError(f"a citation of {source.id} lacks the part {part}; add it to 'at' or to 'cite'") from None


def in_force(timelines: Timelines, sector: str, on: date) -> tuple[date, str, Fields] | None:
    """The entry in force: its day, its sector and its fields. A sector's own line comes before that of all."""
    for name in (sector, "all"):
        days = [day for day in timelines.get(name, {}) if isinstance(day, date) and day <= on]
        if days:
            return max(days), name, timelines[name][max(days)]
    return None


def _printed(written: str) -> str:
    """`1800 lbf` as `1,800 lbf`."""
    return _FIGURE.sub(lambda figure: f"{int(figure[0]):,}", written)


def read_value(ask: Question, raw: Any, also: str = "", printed: str = "") -> tuple[Value, str, str]:
    """Value, printed text and binding unit of what is written for a question. Raises ValueError for a value of another kind."""
    if ask.kind in KINDS:
        amount: Amount = parse(str(raw), ask.kind)
        other = f" ({_printed(parse(also, ask.kind).text)})" if also else ""
        return amount.si, printed or _printed(amount.text) + other, amount.unit
    if ask.kind == "interval":
        interval = parse_interval(str(raw))
        return interval, printed or interval.text, interval.text.split()[-1]
    if ask.kind == "ratio":
        return float(raw), printed or str(raw), ""
    if ask.kind == "clock":
        return _clock(str(raw))
    if ask.kind == "count":
        return int(raw), printed or str(raw), ""
    if ask.kind == "list" and isinstance(raw, list):
        return tuple(raw), "; ".join(raw), ""
    if ask.kind == "flag" and isinstance(raw, bool):
        return raw, "yes" if raw else "no", ""
    if (ask.kind == "text" and isinstance(raw, str)) or (ask.kind == "choice" and raw in ask.options):
        return raw, raw, ""
    raise ValueError(f"{raw!r} is not a {ask.kind}" + (f"; write one of {', '.join(ask.options)}" if ask.options else ""))


def _read(ask: Question, entry: Fields, where: str) -> tuple[Value, str, str]:
    """Value, printed text and binding unit of an entry. Raises CodeError for a value of another kind."""
    raw = entry.get("value", entry.get("says") if ask.kind == "text" else None)
    try:
        return read_value(ask, raw, str(entry.get("also", "")), entry.get("printed", ""))
    except (UnitProblem, TypeError, ValueError, AttributeError) as fault:
        raise CodeError(f"{where} {ask.key}: {fault}") from None


def _clock(raw: str) -> tuple[Value, str, str]:
    """How long a report may take: words of the law, or a figure with its unit, which may be working days."""
    worded = tuple(blocks(HOME / "vocabulary.yaml", "code/vocabulary")["clocks"])
    if raw not in worded and not _CLOCK.fullmatch(raw):
        told = f"write {' or '.join(map(repr, worded))}, or a figure with h, days or working days"
        raise ValueError(f"'{raw}' is no time of a report; {told}")
    return raw, raw, ""


@frozen
class Line:
    """An entry in force and where it stands: folder, question, file, all its lines, sector, day, fields."""

    home: Folder
    ask: Question
    where: str
    timelines: Timelines
    sector: str
    day: date
    entry: Fields

    @property
    def inclusive(self) -> bool:
        """Whether exactly-at is inside."""
        return bool(self.entry.get("inclusive", self.ask.at_limit == "inside"))


def _announced(line: Line) -> tuple[Expected, ...]:
    """Announced changes; one whose day has come stays here, announced only, until someone enters it."""
    found = []
    for written, entry in sorted(line.timelines.get(line.sector, {}).get("expected", {}).items(), key=str):
        day = written if isinstance(written, date) else None
        text = "silent" if entry.get("silent") else _read(line.ask, entry, line.where)[1]
        citation = cited(source_of(line.home, entry["source"]), entry.get("at")) if "source" in entry else ""
        found.append(Expected(day, text, citation, entry.get("announced"), entry.get("note", "")))
    return tuple(found)


def _day_basis(line: Line, source: Source) -> DayBasis:
    stated: DayBasis | None = line.entry.get("day_basis")
    if stated is not None:
        return stated
    if line.day == source.effective:
        return source.effective_basis
    told = f"{line.day} is not the day of {source.id}; add day_basis (read, memory or edition) to say how it is known"
    raise CodeError(f"{line.where} {line.ask.key}: {told}")


def value_answer(line: Line, own: bool) -> Answer:
    """The answer of an entry that holds a value; `own` when the set asked has it, and no parent of it."""
    ask, entry = line.ask, line.entry
    if "source" not in entry:
        raise CodeError(f"{line.where} {ask.key}: the answer of {line.day} names no source")
    source = source_of(line.home, entry["source"])
    value, text, unit = _read(ask, entry, line.where)
    return Answer(
        key=ask.key,
        state="answered" if own else "inherited",
        kind=ask.kind,
        value=value,
        text=text,
        bound=ask.bound,
        inclusive=line.inclusive,
        unit=unit,
        also=_printed(entry.get("also", "")),
        says=entry.get("says", ""),
        says_plain=_plain_of(line),
        citation=cited(source, entry.get("at")),
        source=source.id,
        title=source.title,
        body=source.body,
        edition=source.edition,
        url=source.url,
        stable=source.stable,
        force=entry.get("force", source.force),
        basis="memory" if entry.get("recalled") else "read",
        read=_reading(line),
        effective=line.day,
        effective_basis=_day_basis(line, source),
        note=entry.get("note", ""),
        jurisdiction=line.home.code,
        sector=line.sector,
        fallbacks=ask.fallbacks,
        alternative=entry.get("alternative", ""),
        starts=entry.get("starts", ""),
        written=entry.get("written", ""),
        only_where=tuple(entry.get("only_where", ())),
        looked_in=tuple(_cited_whole(source_of(line.home, id)) for id in entry.get("law", {}).get("looked_in", ())),
        looked_on=entry.get("law", {}).get("looked"),
        covers={kind: parse_interval(str(interval)) for kind, interval in entry.get("covers", {}).items()},
        amended_by=tuple(Amendment(a["on"], a["by"], a.get("what", "")) for a in entry.get("amended_by", ())),
        expected=_announced(line),
    )


def silent_answer(line: Line) -> Answer:
    """The answer of an entry that says that the text is silent: where and when it was searched, and what may stand in."""
    ask, entry = line.ask, line.entry
    looked = entry.get("looked")
    searched = looked if isinstance(looked, date) else None
    return replace(
        _without(line.home, ask, line.sector, entry["note"], line.day),
        inclusive=line.inclusive,
        fallback=entry["fallback"],
        looked=searched is not None,
        looked_on=searched,
        looked_in=tuple(_cited_whole(source_of(line.home, id)) for id in entry.get("looked_in", ())) if searched else (),
        expected=_announced(line),
    )


def _reading(line: Line) -> Reading | None:
    """When and in which copy the place was read; None for what is recalled. Raises CodeError for a copy that is not listed."""
    read = line.entry.get("read")
    if read is None:
        return None
    copies = line.home.file("copies.yaml")
    if read["in"] not in copies:
        told = f"was read in '{read['in']}', which {line.home.path.name}/copies.yaml does not list; add it or mend the name"
        raise CodeError(f"{line.where} {line.ask.key}: the answer of {line.day} {told}")
    copy = copies[read["in"]]
    of = read.get("of", "words")
    return Reading(
        on=read["on"], copy=copy["of"], grade="secondary" if of == "summary" else copy["grade"], state=copy.get("state", ""),
        url=copy.get("url", ""), of=of, paragraph=read.get("paragraph") != "recalled",
    )  # fmt: skip


def _plain_of(line: Line) -> str:
    """The sentence for the papers of a site. Raises CodeError for a place of a figure in an answer that has none."""
    plain = str(line.entry.get("says_plain", ""))
    if "{}" in plain and line.ask.kind in ("text", "flag"):
        told = "leaves a place for a figure, and this question has none; write the sentence out"
        raise CodeError(f"{line.where} {line.ask.key}: says_plain of the answer of {line.day} {told}")
    return plain


def not_looked_answer(home: Folder, ask: Question, sector: str, why: str) -> Answer:
    """Silence of another kind: nobody looked into the text for this, so nothing is known of it. `why` is its note."""
    return _without(home, ask, sector, why, date.min)


def _without(home: Folder, ask: Question, sector: str, note: str, since: date) -> Answer:
    """An answer that holds no value, and into which nobody looked."""
    return Answer(
        key=ask.key,
        state="silent",
        kind=ask.kind,
        value=None,
        text="",
        bound=ask.bound,
        inclusive=ask.at_limit == "inside",
        unit="",
        also="",
        says="",
        says_plain="",
        citation="",
        source="",
        title="",
        body="",
        edition="",
        url="",
        stable="",
        force="",
        basis="memory",
        read=None,
        effective=since,
        effective_basis="memory",
        note=note,
        jurisdiction=home.code,
        sector=sector,
        fallback=ask.fallbacks[0],
        fallbacks=ask.fallbacks,
        looked=False,
    )


def _cited_whole(source: Source) -> str:
    """How a whole source is named: its citation without paragraph, or its title where the form asks for more."""
    try:
        return cited(source, None).rstrip(", ")
    except CodeError:
        return source.title
