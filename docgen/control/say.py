"""Short sentences on changes of clauses, shared by refusals, the change report, the change brief and the registers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from docgen.compose.standing import Lapse
from docgen.words import words

__all__ = ["cell", "clause_names", "control_words", "label", "lapse_text", "role_title", "shown"]

MOST = 4
#: SI units of the quantities that a profile states, for a computed value that has no text of its own.
UNITS = {
    "length": "m",
    "mass": "kg",
    "force": "N",
    "time": "s",
    "angle": "rad",
    "speed": "m/s",
    "temperature": "K",
    "voltage": "V",
    "stress": "N/m^2",
    "second_moment": "m^4",
    "section_modulus": "m^3",
}


def control_words(language: str) -> Mapping[str, Any]:
    """The words of document control in a language."""
    found: Mapping[str, Any] = words(language)["changes"]
    return found


def role_title(role: str, language: str) -> str:
    """The part in which somebody approves, in words; a part that no words name stays as it is."""
    return str(words(language)["approvals"].get(role, role))


def label(revision: int | None, language: str) -> str:
    """`revision 2`, or `the profile` where it is none."""
    t = control_words(language)["labels"]
    return str(t["profile"]) if revision is None else str(t["revision"]).format(n=revision)


def cell(day: object) -> str:
    """A day, a name or a text as a cell of a table shows it; a dash where there is none."""
    return "–" if day is None or day == "" else str(day)


def shown(value: str, language: str) -> str:
    """A canonical value as people write it: a quantity keeps its text, a missing value reads `none`.

    >>> shown("140.613635 mass ~0  310 lb", "en"), shown("-", "en"), shown("555-0150", "en")
    ('310 lb', 'none', '555-0150')
    """
    if value == "-":
        return str(control_words(language)["none"])
    if " ~" in value:
        number, _, rest = value.partition(" ~")
        parts = rest.split(" ")[2:] if rest.count(" ") > 1 else []
        text = " ".join(w for w in parts if w)
        if text:
            return text
        amount, _, kind = number.partition(" ")
        return f"{float(amount):.4g} {UNITS.get(kind, kind)}"
    return value


def lapse_text(lapse: Lapse, language: str) -> str:
    """One change in one sentence: `fall-protection-plan.weakest.S1: its text changed (equipment[D-1].class: Class 2 -> Class 1)`."""
    t = control_words(language)
    changes = [f"{path}: {shown(old, language)} -> {shown(new, language)}" for path, old, new in lapse.inputs]
    more = f" {t['and_more'].format(n=len(changes) - MOST)}" if len(changes) > MOST else ""
    inputs = f" ({'; '.join(changes[:MOST])}{more})" if changes else ""
    return f"{lapse.clause or lapse.language}: {t['lapse'][lapse.what]}{inputs}"


def clause_names(lapses: Iterable[Lapse], language: str) -> str:
    """The clauses that changed, in one line."""
    t = control_words(language)
    names = list(dict.fromkeys(x.clause or t["lapse"][x.what] for x in lapses))
    more = f" {t['and_more'].format(n=len(names) - MOST)}" if len(names) > MOST else ""
    return ", ".join(names[:MOST]) + more
