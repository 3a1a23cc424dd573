"""A hold on a site: from its day on nothing on record is deleted or overwritten, until somebody lifts it by name."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from docgen.control.safe import lock, new_file, unlock
from docgen.errors import RecordError, UsageError
from docgen.records import Records

__all__ = ["set_hold"]


def set_hold(folder: Path, site: str, records: Records, state: str, by: str, on: date, reason: str) -> Path:
    """Append one entry to `folder/holds` and take the right to write from what is on record, or give it back.

    RecordError if the site is in that state already; UsageError without a name or a reason.
    """
    if not by.strip() or not reason.strip():
        raise UsageError("a hold begins and ends by a name and for a reason: give --by and --reason")
    now = "on" if records.held else "off"
    if now == state:
        raise RecordError(
            f"the site {'is on hold already, since ' + records.held.on.isoformat() if records.held else 'is not on hold'}"
        )
    number = len(records.holds) + 1
    target = folder / "holds" / f"H-{number:04d}.json"
    row = {
        "schema_version": 1,
        "site": site,
        "id": target.stem,
        "state": state,
        "by": by.strip(),
        "on": on.isoformat(),
        "reason": reason.strip(),
    }
    try:
        new_file(target, (json.dumps(row, indent=1, ensure_ascii=False) + "\n").encode("utf-8"))
    except FileExistsError:
        raise RecordError(f"{target}: somebody else has just made this entry; look at it first") from None
    for place in _places(folder):
        (lock if state == "on" else unlock)(place)
    return target


def _places(folder: Path) -> list[Path]:
    """The folders of the revisions, and what lies in approvals; new ones can still be added beside them."""
    revisions = sorted(p for p in (folder / "issued").glob("rev-*") if p.is_dir())
    return [*revisions, *sorted((folder / "approvals").glob("*"))]
