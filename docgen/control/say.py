"""Short sentences on changes of clauses, shared by refusals, the change report and the change brief."""

from __future__ import annotations

from collections.abc import Iterable

from docgen.compose.standing import Lapse

__all__ = ["clause_names", "lapse_text", "shown"]

WHAT = {
    "text": "its text changed",
    "input": "a figure or fact that it rests on changed",
    "gone": "the clause is gone",
    "new": "the clause is new in what was approved",
    "heading": "a heading changed",
    "language": "the text in this language is gone",
}
MOST = 4
UNITS = {
    "length": "m",
    "mass": "kg",
    "force": "N",
    "time": "s",
    "angle": "rad",
    "speed": "m/s",
    "temperature": "K",
    "voltage": "V",
}


def shown(value: str) -> str:
    """A canonical value as people write it: a quantity keeps its text, a missing value reads `none`.

    >>> shown("140.613635 mass ~0  310 lb"), shown("-"), shown("555-0150")
    ('310 lb', 'none', '555-0150')
    """
    if value == "-":
        return "none"
    if " ~" in value:
        number, _, rest = value.partition(" ~")
        words = rest.split(" ")[2:] if rest.count(" ") > 1 else []
        text = " ".join(w for w in words if w)
        if text:
            return text
        amount, _, kind = number.partition(" ")
        return f"{float(amount):.4g} {UNITS.get(kind, kind)}"
    return value


def lapse_text(lapse: Lapse) -> str:
    """One change in one sentence: `fall-protection-plan.weakest.S1: its text changed (equipment[D-1].class: Class 2 -> Class 1)`."""
    changes = [f"{path}: {shown(old)} -> {shown(new)}" for path, old, new in lapse.inputs]
    more = f" and {len(changes) - MOST} more" if len(changes) > MOST else ""
    inputs = f" ({'; '.join(changes[:MOST])}{more})" if changes else ""
    return f"{lapse.clause or lapse.language}: {WHAT[lapse.what]}{inputs}"


def clause_names(lapses: Iterable[Lapse]) -> str:
    """The clauses that changed, in one line."""
    names = list(dict.fromkeys(x.clause or WHAT[x.what] for x in lapses))
    more = f" and {len(names) - MOST} more" if len(names) > MOST else ""
    return ", ".join(names[:MOST]) + more
