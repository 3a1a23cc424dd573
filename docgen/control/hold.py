"""A hold on a site: from its day on nothing on record is deleted or overwritten, until somebody lifts it by name.

It is an entry of the log. While it stands the frozen folders can be read and not written; new revisions and approvals lie beside them.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Literal

from docgen.control.safe import lock, new_file, replace_file, unlock
from docgen.errors import RecordError, Refusal
from docgen.happened import Happened
from docgen.logbook import NAME, appended, read_log_text
from docgen.read import Source
from docgen.records import newest_revision

__all__ = ["set_hold"]


def set_hold(
    folder: Path, profile: Source, happened: Happened, state: Literal["on", "off"], by: str, on: date, reason: str
) -> Path:
    """Append one entry to the log of the site and take the right to write from what is on record, or give it back.

    RecordError if the site is in that state already; Refusal without a name or a reason.
    """
    if not by.strip() or not reason.strip():
        raise Refusal("hold-needs-name-and-reason")
    held = happened.held
    if held is not None and state == "on":
        raise RecordError("hold-stands", since=held.on or on)
    if held is None and state == "off":
        raise RecordError("hold-stands-not")
    target = folder / NAME
    old = target.read_bytes() if target.is_file() else None
    entry = {"kind": "hold", "on": on, "by": by.strip(), "state": state, "reason": " ".join(reason.split())}
    new = appended(old.decode("utf-8") if old is not None else "", entry)
    for problem in read_log_text(new, folder, profile, newest_revision(folder)).problems:
        raise Refusal("log-entry-refused", file=f"{target}:{problem.line}", message=problem.message)
    try:
        if old is None:
            new_file(target, new.encode("utf-8"))
        else:
            replace_file(target, old, new.encode("utf-8"))
    except FileExistsError:
        raise RecordError("log-moved", file=str(target)) from None
    for place in _places(folder):
        (lock if state == "on" else unlock)(place)
    return target


def _places(folder: Path) -> list[Path]:
    """The folders of the revisions, and what lies in approvals and withdrawn; new ones can still be added beside them."""
    revisions = sorted(p for p in (folder / "issued").glob("rev-*") if p.is_dir())
    return [*revisions, *sorted((folder / "approvals").glob("*")), *sorted((folder / "withdrawn").glob("*"))]
