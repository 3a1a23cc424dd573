"""Nothing that is typed for a record, and nothing that is frozen with a revision, tells what a person weighs.

    untold(guard, note=request.note, by=request.by)     # a Refusal names the one that does

A record is never edited: what stands in it once stays.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from docgen.checked import Assessed
from docgen.control.comments import comments_of
from docgen.errors import Refusal
from docgen.logbook import NAME
from docgen.private import Guard

__all__ = ["frozen_tells", "untold"]


def untold(guard: Guard, **typed: str | tuple[str, ...] | None) -> None:
    """Refusal where a text typed for a record gives a weight, named as the option is in which it was given."""
    for name, given in typed.items():
        for text in (given,) if isinstance(given, str) else given or ():
            if guard.told_in(text, free=True):
                raise Refusal("option-tells-weight", option=name.replace("_", "-"))


def frozen_tells(checked: Assessed, guard: Guard) -> Iterator[Refusal]:
    """What a revision would freeze and no paper prints: comments of profile and log, and texts of the log, that give a weight.

    Entries that an earlier revision froze are on record as they are, and are not told again.
    """
    file = Path(checked.source.file)
    log = file.parent / NAME
    told = log.read_text(encoding="utf-8") if log.is_file() else ""
    before = _frozen_lines(checked)
    for name, text in ((file, checked.source.whole), (log, told)):
        for comment in comments_of(text):
            if comment.text not in before and guard.told_in(comment.text, free=True):
                yield Refusal("comment-tells-weight", place=f"{name}:{comment.line}:{comment.column}")
    lines, marks = told.splitlines(), checked.happened.log.source_lines
    for path in checked.view.private.withheld:
        if (mark := marks.get(path)) is not None and lines[mark.line - 1].strip() not in before:
            yield Refusal("log-text-tells-weight", place=f"{log}:{mark.line}:{mark.column}")


def _frozen_lines(checked: Assessed) -> frozenset[str]:
    """The lines of the log that lies with the newest revision, and the comments of it."""
    if not checked.records.issued:
        return frozenset()
    path = checked.records.revision_folder(checked.records.issued[-1].revision) / NAME
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    return frozenset((*(line.strip() for line in text.splitlines()), *(c.text for c in comments_of(text))))
