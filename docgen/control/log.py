"""Entries of the log as somebody gives them: each made into what the file holds, checked against the site and its day, and written together.

    prepared = prepare(read_site(folder), given, today)     # nothing is written
    prepared.faults, prepared.lines
    write(prepared)                                         # one step, or nothing

All or none: one entry that is wrong keeps every other out. What is wrong is told at the place where it was given, a cell or a word.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from docgen.check import nearest
from docgen.control.judge import judge
from docgen.control.safe import new_file, replace_file
from docgen.control.table import Fault, Table, fault_of_cell, read_table
from docgen.errors import RecordError, Refusal
from docgen.frozen import frozen
from docgen.logbook import NAME, appended, read_log_text
from docgen.private import Guard
from docgen.profile import Profile
from docgen.read import Problem
from docgen.records import Records, newest_revision
from docgen.site import build, build_log
from docgen.site.log import KINDS
from docgen.site.schema import entry_schema

__all__ = ["Fault", "Given", "Prepared", "fields_of", "from_table", "given_here", "kinds_of", "prepare", "tabled", "write"]

PLACE = re.compile(r"entries\[(\d+)\](?:\.([A-Za-z_]+))?")
LISTED = re.compile(r"[;,]")
WHOLE = re.compile(r"-?[0-9]{1,9}(\.0+)?")  # a spreadsheet may write 1 as 1.0
LINE = re.compile(r"(?:line )?([0-9]{1,7})")
FIGURES = tuple(f"#/$defs/{kind}" for kind in ("mass", "length", "time"))
HOLD = "hold"  # its entry is made by the command that locks what is on record
MARKED = ("correction", "done")  # kinds that name an earlier entry


@frozen
class Given:
    """One entry as it was given: the words of each field, where each stands, and where the entry stands as a whole."""

    kind: str
    words: Mapping[str, str]
    places: Mapping[str, str]
    place: str = ""


@frozen
class Prepared:
    """The entries as lines of the log, or what is wrong with them. `old` is the file as it was read, None where there is none."""

    target: Path
    old: bytes | None
    text: str
    lines: tuple[str, ...]
    faults: tuple[Fault, ...]


def kinds_of() -> Iterator[tuple[str, str]]:
    """The kinds of entry that can be given, each with its sentence."""
    for kind, cls in KINDS.items():
        if kind != HOLD:
            yield kind, " ".join((cls.__doc__ or "").split())


def fields_of(kind: str) -> list[tuple[str, bool, str]]:
    """The fields of a kind: name, whether it is needed, and its sentence with an example and the values allowed. Refusal for no such kind."""
    if (why := _no_kind(kind)) is not None:
        raise why
    schema = entry_schema(kind)
    told = []
    for name, node in schema["properties"].items():
        if name == "kind":
            continue
        examples = node.get("examples") or [""]
        example = ", ".join(map(str, examples[0])) if isinstance(examples[0], list) else str(examples[0])
        allowed = f" One of: {', '.join(node['enum'])}." if "enum" in node and len(node["enum"]) < 13 else ""
        told.append(
            (
                name,
                name in schema["required"],
                f"{node['description']} Example: {example.lower() if isinstance(examples[0], bool) else example}.{allowed}",
            )
        )
    return told


def _no_kind(kind: str) -> Refusal | None:
    """Why a kind of entry cannot be given, or None."""
    known = ", ".join(name for name, _ in kinds_of())
    if not kind:
        return Refusal("log-kind-missing", known=known)
    if kind == HOLD:
        return Refusal("log-hold-elsewhere")
    if kind in KINDS:
        return None
    near = nearest(kind, list(KINDS))
    return (
        Refusal("log-kind-unknown-but-near", kind=kind, near=near, known=known)
        if near
        else Refusal("log-kind-unknown", kind=kind, known=known)
    )


def given_here(kind: str, pairs: Sequence[tuple[str, str]], place: str) -> Given:
    """An entry given as fields with their words. Refusal for a field that is given twice."""
    words: dict[str, str] = {}
    for field, text in pairs:
        if field in words:
            raise Refusal("log-field-twice", field=field)
        words[field] = text
    return Given(kind, words, {field: field for field in words}, place)


def from_table(table: Table, kind: str | None, common: Mapping[str, str]) -> tuple[list[Given], list[Fault]]:
    """The rows of a table as entries. `kind` where all are of one, else its column says it; `common` stands in for cells left blank.

    Refusal for a table whose head cannot be that of entries: a column twice, or none that says the kind.
    """
    heads = [cell for cell in table.head if cell.text]
    for n, cell in enumerate(heads):
        if cell.text in (before.text for before in heads[:n]):
            raise Refusal("table-column-twice", place=table.place(cell), column=cell.text)
    names = {cell.column if table.sheet else n: cell.text for n, cell in enumerate(table.head)}
    if kind is None and "kind" not in names.values():
        raise Refusal("table-without-kind", file=table.file)
    given, faults = [], list(table.faults)
    for row in table.rows:
        place = table.place_of_row(row)
        words, places, days = dict(common), dict.fromkeys(common, place), []
        for n, cell in enumerate(row):
            if not cell.text:
                continue
            name = names.get(cell.column if table.sheet else n, "")
            if not name:
                faults.append(Fault(table.place(cell), Refusal("table-cell-outside", words=cell.text)))
                continue
            if (fault := fault_of_cell(table, cell)) is not None:
                faults.append(fault)
            words[name], places[name] = cell.text, table.place(cell)
            days += [name] if cell.of == "day" else []
        own = words.pop("kind", None)
        if kind is not None and own not in (None, kind):
            faults.append(Fault(places["kind"], Refusal("table-other-kind", found=str(own), kind=kind)))
        one = Given(kind or own or "", words, places, place)
        faults += _made_days(one, days)
        given.append(one)
    return given, faults


def _made_days(one: Given, days: Sequence[str]) -> Iterator[Fault]:
    """Cells of which a spreadsheet made a day where none is asked for: what was typed is lost."""
    fields = entry_schema(one.kind)["properties"] if _no_kind(one.kind) is None else {}
    for name in days:
        if name in fields and fields[name].get("$ref") != "#/$defs/date":
            yield Fault(one.places[name], Refusal("table-cell-made-day", words=one.words[name]))


def tabled(path: Path, kind: str | None, common: Mapping[str, str]) -> tuple[list[Given], list[Fault]]:
    """The rows of a file as entries; Refusal where it is no such table."""
    given, faults = from_table(read_table(path), kind, common)
    if not given:
        raise Refusal("table-without-rows", file=str(path))
    return given, faults


def prepare(
    profile: Profile,
    given: Sequence[Given],
    today: date,
    records: Records,
    corrects: str | None = None,
    reason: str | None = None,
) -> Prepared:
    """Make the entries and check them; nothing is written.

    `corrects` is the mark, or the line in the log, of the entry that the first of them replaces, for a `reason`: it is taken back in the
    same step. Refusal where profile or log have problems of their own, or the entry that is named is none.
    """
    if profile.problems:
        raise Refusal("profile-has-problems")
    tells = tuple(_weights(given, reason, profile.guard))
    target = profile.folder / NAME
    if tells:
        return Prepared(target, None, "", (), tells)
    old = target.read_bytes() if target.is_file() else None
    text = old.decode("utf-8") if old is not None else ""
    faults, made = [], []
    for one in given:
        raw, wrong = _entry(one, profile)
        faults += wrong
        made.append((one, raw))
    if corrects is not None and made:
        made.insert(0, _correction(corrects, reason, made[0], profile))
    if faults:
        return Prepared(target, old, text, (), tuple(faults))
    new = text
    for _, raw in made:
        new = appended(new, raw)
    found = tuple(_faults(profile, made, new, today, records))
    lines = tuple(new.splitlines()[-len(made) :]) if made else ()
    return Prepared(target, old, new, tuple(line.strip() for line in lines), found)


def _weights(given: Sequence[Given], reason: str | None, guard: Guard) -> Iterator[Fault]:
    """Each word that was given and tells a weight, figures of limits aside; nothing of it is repeated."""
    for one in given:
        fields = entry_schema(one.kind)["properties"] if _no_kind(one.kind) is None else {}
        for field, words in one.words.items():
            schema = fields.get(field, {})
            asked = schema.get("$ref") in FIGURES or schema.get("type") == "integer"
            if not asked and guard.told_in(words, free=True):
                yield Fault(one.places.get(field, one.place), Refusal("log-tells-weight"))
    if reason is not None and guard.told_in(reason, free=True):
        yield Fault("reason", Refusal("log-tells-weight"))


def write(prepared: Prepared) -> None:
    """Write the entries in one step. RecordError where somebody else wrote meanwhile or the file cannot be written."""
    data = prepared.text.encode("utf-8")
    try:
        if prepared.old is None:
            new_file(prepared.target, data)
        else:
            replace_file(prepared.target, prepared.old, data)
    except FileExistsError:
        raise RecordError("log-moved", file=str(prepared.target)) from None


def _entry(one: Given, profile: Profile) -> tuple[dict[str, Any], list[Fault]]:
    """The entry as the file will hold it: each word as the kind of thing that its field is."""
    at = one.places.get("kind", one.place)
    if (why := _no_kind(one.kind)) is not None:
        return {}, [Fault(at, why)]
    fields = entry_schema(one.kind)["properties"]
    raw: dict[str, Any] = {"kind": one.kind}
    for field in (*(f for f in fields if f in one.words), *(f for f in one.words if f not in fields)):
        raw[field] = _typed(fields.get(field, {}), one.words[field])
    if one.kind in MARKED and "entry" in raw:
        raw["entry"] = _mark(str(raw["entry"]), profile)[0]
    return raw, []


def _typed(schema: Mapping[str, Any], words: str) -> Any:
    """Words as what their field holds; as they are where they cannot be that, to be told against the schema."""
    kind = schema.get("type")
    if kind == "array":
        return [part.strip() for part in LISTED.split(words) if part.strip()]
    if kind == "boolean" and words.casefold() in ("true", "false"):
        return words.casefold() == "true"
    if kind == "integer" and WHOLE.fullmatch(words):
        return int(words.partition(".")[0])
    if schema.get("$ref") == "#/$defs/date" and re.fullmatch(r"\d{4}-\d\d-\d\d", words):
        try:
            return date.fromisoformat(words)
        except ValueError:
            return words
    return words


def _mark(named: str, profile: Profile) -> tuple[str, str | None]:
    """The mark and the kind of the entry that is named by its mark or by its line in the log; what was named where there is none."""
    for entry in profile.log.entries:
        if entry.mark == named:
            return named, entry.kind
    if match := LINE.fullmatch(named):
        for entry in profile.log.entries:
            mark = profile.log.source_lines.get(entry.path)
            if mark is not None and mark.line == int(match[1]):
                return entry.mark, entry.kind
    return named, None


def _correction(
    named: str, reason: str | None, first: tuple[Given, dict[str, Any]], profile: Profile
) -> tuple[Given, dict[str, Any]]:
    """The entry that takes back the one that is named, by whoever enters what is right."""
    one, new = first
    mark, kind = _mark(named, profile)
    if kind is None:
        raise Refusal("log-corrects-nothing", named=named)
    if reason is None or not reason.strip():
        raise Refusal("log-correction-without-reason")
    if new.get("kind") not in (None, kind):
        raise Refusal("log-correction-of-another-kind", named=named, kind=kind, new=str(new["kind"]))
    raw: dict[str, Any] = {
        "kind": "correction",
        **{k: new[k] for k in ("on", "by") if k in new},
        "entry": mark,
        "reason": " ".join(reason.split()),
    }
    return Given("correction", {}, {k: one.places.get(k, one.place) for k in ("on", "by")}, one.place), raw


def _faults(
    profile: Profile, made: Sequence[tuple[Given, dict[str, Any]]], text: str, today: date, records: Records
) -> Iterator[Fault]:
    """What is wrong with the new entries once they stand in the file: by its form, then by what they say."""
    book = read_log_text(text, profile.folder, profile.source, newest_revision(profile.folder))
    first = len(profile.log.entries)
    if book.problems:
        yield from dict.fromkeys(_fault(p, made, first) for p in profile.guard.clean(book.problems))
        return
    if book.source is None:
        return
    told, hidden = profile.guard.withhold(book.source, lambda: "")
    where = {mark: path for path, mark in book.source.marks.items()}
    tells = [where.get(mark, "") for mark in hidden] + [_path_at(book.source.marks, p) for p in told.problems]
    weights = [match for match in map(PLACE.match, tells) if match and int(match[1]) >= first]
    for match in weights:
        yield Fault(_given_at(match, made, first), Refusal("log-tells-weight"))
    if weights:
        return
    site = build(profile.source)
    log = build_log(book.source, book.marks)
    for n, entry in enumerate(log.entries[first:]):
        one = made[n][0]
        for field, why in judge(entry, site, profile.log, today, records):
            yield Fault(one.places.get(field, one.place), why)
        twice = next((e for e in (*profile.log.standing, *log.entries[first : first + n]) if e.mark == entry.mark), None)
        if twice is not None and not any(raw.get("entry") == entry.mark for _, raw in made):
            mark = log.source_lines.get(twice.path)
            yield Fault(one.place, Refusal("log-entry-twice", line=mark.line if mark is not None else 0))


def _fault(problem: Problem, made: Sequence[tuple[Given, dict[str, Any]]], first: int) -> Fault:
    match = PLACE.match(problem.path)
    what = Refusal("log-entry-wrong", message=problem.message, hint=problem.hint)
    if match is None or int(match[1]) < first:
        return Fault(f"{problem.file}:{problem.line}:{problem.column}", what)
    return Fault(_given_at(match, made, first), what)


def _given_at(match: re.Match[str], made: Sequence[tuple[Given, dict[str, Any]]], first: int) -> str:
    """The place at which the field of a path was given; that of the entry for one that was left out."""
    one = made[int(match[1]) - first][0]
    return one.places.get(match[2] or "", one.place)


def _path_at(marks: Mapping[str, Any], problem: Problem) -> str:
    return next((path for path, m in marks.items() if (m.line, m.column) == (problem.line, problem.column)), "")
