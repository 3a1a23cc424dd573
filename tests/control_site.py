"""A site folder with records, made for the tests: the full demo, approved and issued through the pipeline."""

from __future__ import annotations

import re
import shutil
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest
from support import SITES

from docgen.control import issue as control
from docgen.control.approve import Request
from docgen.control.approve import approve as record
from docgen.logbook import appended
from docgen.pipeline import check_site, compared_site
from docgen.read import read_profile
from docgen.records import Issued
from docgen.report import as_json
from docgen.revisions import approve_site, issue_site
from docgen.site.log import mark_of
from docgen.words import refusal_text

FIRST, LATER, LAST = date(2026, 11, 1), date(2026, 11, 12), date(2026, 11, 16)
TYPES = ("md", "html", "docx")
SIGNERS = (
    ("engineering-record", "qualified-person", "T. Maran", ("document",)),
    ("fall-protection-plan", "issuing-authority", "R. Oduya", ("document",)),
    ("contractor-notice", "counsel", "A. Petrie", ("document",)),
    ("contractor-notice", "issuing-authority", "R. Oduya", ("document",)),
    ("rescue-procedure", "rescue-lead", "D. Sorensen", ("document",)),
    ("rescue-procedure", "issuing-authority", "R. Oduya", ("document",)),
    ("fall-protection-plan", "rescue-lead", "D. Sorensen", ("rescue",)),
    ("incident-sheet", "issuing-authority", "R. Oduya", ("document",)),
)


@contextmanager
def refused(kind, match: str):
    """What is done inside is refused with an error of that kind whose sentence matches."""
    with pytest.raises(kind) as seen:
        yield seen
    assert re.search(match, refusal_text(seen.value, "en")), refusal_text(seen.value, "en")


def new_site(folder: Path) -> Path:
    """A copy of the full demo without records."""
    site = folder / "site"
    shutil.copytree(SITES / "harrow-ridge", site)
    return site


def approve(site: Path, day: date, **given):
    """One approval on a day."""
    return approve_site(check_site(site, day), site, Request(on=day, **given), "en")


def approve_all(site: Path, day: date, only: tuple[tuple[str, str], ...] | None = None) -> None:
    """Every approval that the site needs, and counsel's; or those (document, role) named."""
    checked, bodies = compared_site(check_site(site, day))
    for document, role, by, scope in SIGNERS:
        if only is None or (document, role) in only:
            record(Request(document, role, by, day, scope, entered_by="L. Brandt"), checked, bodies, site, "en")


def issue(site: Path, day: date, types=TYPES, **given):
    """The revision, and the reasons against it."""
    return issue_site(check_site(site, day), site, types, "en", **given)


def prepare(
    site: Path, by: str, types: tuple[str, ...] = ("md",), wanted: tuple[str, ...] = ()
) -> tuple[Issued, dict[str, bytes]]:
    """A revision ready to be written: its record, and its files by name."""
    checked, bodies = compared_site(check_site(site, FIRST))
    chosen = control.choose(checked, bodies, wanted)
    made = control.draft(checked, bodies, chosen, types, FIRST, None, by, checked.records, "en")
    return made, control.contents_of(made, checked, bodies, types, as_json(checked).encode("utf-8"))


def happened(site: Path, **entry: object) -> str:
    """One more entry in the log of a site; gives back its mark."""
    log = site / "log.yaml"
    log.write_text(appended(log.read_text(encoding="utf-8") if log.is_file() else "", entry), encoding="utf-8")
    return mark_of(read_profile(log).data["entries"][-1])


def swap(site: Path, *pairs: tuple[str, str]) -> None:
    """Change the text of the profile; each old text must stand there."""
    path = site / "profile.yaml"
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")


#: Device D-1 exchanged for one with another arrest distance.
DEVICE = (
    ("arrest_distance: {value: 30 in, how: label, by: competent-person, on: 2026-06-09}",
     "arrest_distance: {value: 36 in, how: label, by: competent-person, on: 2026-11-10}"),
    ("serial: D1-20417", "serial: D1-30001"),
    ("in_service: 2025-03-20\n    label_photo: photos/D-1-label.jpg", "in_service: 2026-11-10\n    label_photo: photos/D-1-label-30001.jpg"),
)  # fmt: skip


def exchange(site: Path) -> None:
    """Exchange that device, and enter that the new one was inspected."""
    swap(site, *DEVICE)
    happened(site, kind="inspection", on=date(2026, 11, 10), by="J. Whitlow", part="D-1", result="pass", serial="D1-30001")
