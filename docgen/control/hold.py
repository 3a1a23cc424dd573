"""A hold on a site: from its day on nothing on record is deleted or overwritten, until somebody lifts it by name."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Literal

from docgen.control.safe import lock, new_file, unlock
from docgen.errors import RecordError, Refusal
from docgen.filing import as_bytes
from docgen.records import Hold, Records

__all__ = ["set_hold"]


def set_hold(site: str, records: Records, state: Literal["on", "off"], by: str, on: date, reason: str) -> Path:
    """Append one entry to the site's holds and take the right to write from what is on record, or give it back.

    RecordError if the site is in that state already; Refusal without a name or a reason.
    """
    if not by.strip() or not reason.strip():
        raise Refusal("hold-needs-name-and-reason")
    held = records.held
    if held is not None and state == "on":
        raise RecordError("hold-stands", since=held.on)
    if held is None and state == "off":
        raise RecordError("hold-stands-not")
    entry = Hold(site, f"H-{len(records.holds) + 1:04d}", state, by.strip(), on, reason.strip())
    target = records.folder / "holds" / f"{entry.id}.json"
    try:
        new_file(target, as_bytes(entry))
    except FileExistsError:
        raise RecordError("hold-entry-taken", file=str(target)) from None
    for place in _places(records.folder):
        (lock if state == "on" else unlock)(place)
    return target


def _places(folder: Path) -> list[Path]:
    """The folders of the revisions, and what lies in approvals; new ones can still be added beside them."""
    revisions = sorted(p for p in (folder / "issued").glob("rev-*") if p.is_dir())
    return [*revisions, *sorted((folder / "approvals").glob("*"))]
