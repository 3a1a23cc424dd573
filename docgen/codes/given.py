"""Answers of law that counsel or a named person looked up, entered in the profile (`codes.answers`): they stand before the set's own."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from docgen.codes.answers import question, read_value
from docgen.codes.code import LawAlone
from docgen.codes.model import Answer, Question, Reading
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.site import LawAnswer, Site

__all__ = ["Ungiven", "given", "ungiven", "with_given"]


@frozen
class Ungiven:
    """An answer of the profile that cannot be taken: where it stands, its question, and why (`unknown`, `unreadable`)."""

    path: str
    question: str
    told: str


def with_given(law: LawAlone, site: Site) -> LawAlone:
    """The law with the answers of the profile before its own; the law itself where there are none that can be taken."""
    found = {a.question: taken for a in site.codes.answers if isinstance(taken := given(a, law), Answer)}
    return law.before(MappingProxyType(found)) if found else law


def ungiven(site: Site, law: LawAlone) -> tuple[Ungiven, ...]:
    """The answers of the profile that cannot be taken, in their order."""
    return tuple(taken for a in site.codes.answers if isinstance(taken := given(a, law), Ungiven))


def given(entry: LawAnswer, law: LawAlone) -> Answer | Ungiven:
    """One answer of the profile in the form of the law's own; it says who read it, when and in which copy."""
    try:
        ask = question(entry.question)
    except CodeError as error:
        return Ungiven(f"{entry.path}.question", entry.question, str(error))
    said, by, on = entry.text or "", entry.by or "", entry.on or law.on  # the profile's schema requires them
    try:
        value, text, unit = read_value(ask, _raw(ask, entry))
    except ValueError as error:
        return Ungiven(f"{entry.path}.value" if entry.value else entry.path, ask.key, str(error))
    return replace(
        law.blank(ask.key), state="answered", value=value, text=text, unit=unit, says=said, says_plain=said,
        citation=entry.citation or "", source=f"given-{ask.key}", title=entry.citation or "", body=by, force=entry.force or "mandatory", basis="read",
        read=Reading(on, entry.copy or "", "given", "", "", "words", True), effective=on, effective_basis="none",
        note="", fallback="", looked=True, given_by=by,
    )  # fmt: skip


def _raw(ask: Question, entry: LawAnswer) -> object:
    """What an entry gives as the value: its figure, or the text itself where the question asks for words."""
    if ask.kind == "text":
        return entry.text
    if entry.value is None:
        raise ValueError(f"{ask.key} is a {ask.kind}; write its value")
    if ask.kind == "flag":
        if entry.value not in ("yes", "no"):
            raise ValueError(f"'{entry.value}' is no yes and no no; write value: 'yes' or 'no'")
        return entry.value == "yes"
    return entry.value.split("; ") if ask.kind == "list" else entry.value
