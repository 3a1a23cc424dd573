"""Takes a revision or an approval out of force: a record of its own, never an edit of the one that was wrong.

A withdrawn revision is never in force, and its number is never used again; the one before it stays superseded, so that nothing is in force of the papers
in it until they are issued again.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from docgen import __version__
from docgen.checked import Assessed
from docgen.codes import LawAlone
from docgen.compose.document import Document
from docgen.control.page import paper
from docgen.control.safe import new_file
from docgen.control.say import control_words, label
from docgen.control.sign import Signer
from docgen.control.tell import document_title
from docgen.errors import RecordError, Refusal
from docgen.filing import as_bytes
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.records import SIGNATURE, Approval, Issued, Records, Withdrawal, read_records, revision_name, sha256
from docgen.signs import alike
from docgen.site import Site

__all__ = ["Place", "Taken", "drafted", "places_of", "recorded", "withdrawal_paper"]

APPROVAL = re.compile(r"A-\d{4,}")
REVISION = re.compile(r"(?:rev-)?0*(\d+)")
UNNUMBERED = ""


@frozen
class Place:
    """A place with a copy that is to be taken down. `revision` is None where the log does not say which one hangs there."""

    id: str
    place: str
    document: str
    language: str
    revision: int | None


@frozen
class Taken:
    """The record that was made, its file and the digest of that file, and where copies are to be taken down."""

    withdrawal: Withdrawal
    file: Path
    digest: str
    places: tuple[Place, ...]


def drafted(
    name: str, by: str, on: date, reason: str, checked: Assessed, records: Records, today: date
) -> tuple[Withdrawal, tuple[Place, ...]]:
    """The record as it will read, but for its number. `name` is a revision (`2`, `rev-002`) or an approval (`A-0003`); `records` are all.
    What bears a day that is ahead of `today` by a slip is taken back on any day, all else not before the day that it bears.

    Refusal or RecordError says what stands against it.
    """
    if not by.strip() or not reason.strip():
        raise Refusal("withdrawal-needs-name-and-reason")
    known = checked.site.everyone_on(on)
    called = checked.site.called_on(by, on)
    person = next((n for n in known if alike(n) == alike(called)), None)
    if person is None:
        raise RecordError("withdrawer-not-named", by=by.strip(), on=on, known=known)
    places: tuple[Place, ...] = ()
    if APPROVAL.fullmatch(name):
        dated = _approval(name, records).on
        what, full = "approval", name
    elif match := REVISION.fullmatch(name):
        revision = _revision(int(match[1]), records)
        what, full = "revision", revision_name(revision.revision)
        places, dated = places_of(revision, checked.happened), revision.on
    else:
        raise Refusal("withdrawal-of-what", name=name)
    if on < dated <= today:
        raise RecordError("withdrawn-before", name=full, dated=dated, on=on)
    made = Withdrawal(
        site=checked.site.site.id, id=UNNUMBERED, what="approval" if what == "approval" else "revision", name=full, by=person, on=on,
        reason=" ".join(reason.split()), places=tuple(dict.fromkeys(p.id for p in places)), program=__version__,
    )  # fmt: skip
    return made, places


def _approval(name: str, records: Records) -> Approval:
    """It is on record, stands there, and no revision in force rests on it."""
    found = next((a for a in records.approvals if a.id == name), None)
    if found is None:
        raise Refusal("approval-unknown", name=name, known=tuple(a.id for a in records.approvals) or ("-",))
    if all(a.id != name for a in records.unwithdrawn):
        raise RecordError("withdrawn-already", name=name)
    in_force = {number for number, _ in records.posted().values()}
    resting = tuple(str(r.revision) for r in records.issued if name in r.approvals and r.revision in in_force)
    if resting:
        raise RecordError("approval-rested-on", name=name, revisions=resting)
    return found


def _revision(number: int, records: Records) -> Issued:
    """It is on record, and something of it is in force."""
    revision = records.revision(number)
    if revision is None:
        if not records.issued:
            raise RecordError("nothing-issued-yet")
        raise RecordError("revision-unknown", revision=number, last=records.issued[-1].revision)
    if records.withdrawal_of(number) is not None:
        raise RecordError("withdrawn-already", name=revision_name(number))
    if number not in {held for held, _ in records.posted().values()}:
        raise RecordError("revision-superseded", revision=number)
    return revision


def recorded(withdrawal: Withdrawal, folder: Path, key: Path | None = None) -> tuple[Withdrawal, Path, str]:
    """Write the record under the next number; RecordError where somebody else has just withdrawn something. Its file, and the digest of that."""
    signer = Signer(key) if key is not None else None
    there = read_records(folder, withdrawal.site)
    made = replace(
        withdrawal,
        id=f"W-{len(there.withdrawals) + 1:04d}",
        before=there.before(),
        signed_with=signer.fingerprint if signer else None,
    )
    target, data = there.withdrawal_file(made.id), as_bytes(made)
    signature = signer.signature(data) if signer else None
    try:
        new_file(target, data)
    except FileExistsError:
        raise RecordError("withdrawn-meanwhile", file=str(target)) from None
    if signature is not None:
        new_file(target.with_name(target.name + SIGNATURE), signature)
    return made, target, sha256(data)


def places_of(revision: Issued, happened: Happened) -> tuple[Place, ...]:
    """Where a copy of this revision hangs by the log, and where one of its papers hangs of which the log does not say which revision it is."""
    held = {(t.document, t.language) for t in revision.texts}
    found = []
    for posting in happened.site.posting:
        hanging = happened.hangs(posting.id)
        paper_of, language = posting.paper, posting.language or ""
        if (paper_of, language) in held and hanging is not None and hanging.revision in (None, revision.revision):
            found.append(Place(posting.id, posting.place or posting.id, paper_of, language, hanging.revision))
    return tuple(found)


def withdrawal_paper(
    withdrawal: Withdrawal, revision: Issued, places: tuple[Place, ...], site: Site, code: LawAlone, day: date, language: str
) -> Document:
    """One page: what is out of force, by whom and why, and the list of places with room to sign that the copy was taken down."""
    t: Mapping[str, object] = control_words(language)
    values = {
        "label": label(revision.revision, language), "on": withdrawal.on.isoformat(), "by": withdrawal.by, "reason": withdrawal.reason, "id": withdrawal.id,
        "papers": "; ".join(f"{document_title(x.document, language)}, {x.language}" for x in revision.texts),
        "places": [
            {"id": p.id, "place": p.place, "document": f"{document_title(p.document, language)}, {p.language}", "revision": str(p.revision or "–")}
            for p in places
        ],
    }  # fmt: skip
    return paper("withdrawal", str(t["withdrawal_title"]), values, site, code, day, language)
