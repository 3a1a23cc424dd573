"""What a revision froze beside its texts: its profile and its log, read as they were stored, and the findings of that day."""

from __future__ import annotations

import json

from docgen.errors import RecordError
from docgen.findings.rule import SEVERITIES
from docgen.frozen import frozen
from docgen.logbook import NAME
from docgen.profile import read_site
from docgen.read import Source, read_profile
from docgen.records import Issued, Records, kept_bytes
from docgen.site import Log, Site, build, build_log

__all__ = ["Found", "stored_findings", "stored_log", "stored_shut", "stored_site"]

PROFILE, CHECK = "profile.yaml", "check.json"
#: States of a bay in a report that the papers of the revision print; one that is closed for the day stands on no paper with a digest.
SHUT = ("closed-by-decision", "closed-by-finding")


@frozen
class Found:
    """One finding as it stood in a report. `path` and `line` are in the profile of that day."""

    severity: str
    name: str
    path: str
    line: int | None
    message: str


def stored_site(records: Records, revision: Issued) -> tuple[Source, Site]:
    """The profile of a revision. RecordError where it is damaged, or of a form that this program does not read: it is never guessed."""
    path = records.revision_folder(revision.revision) / PROFILE
    kept_bytes(path)
    profile = read_site(path, log=False)
    if profile.source.problems or profile.source.data is None:
        raise RecordError("profile-damaged", file=str(path))
    if profile.problems:
        first = profile.problems[0]
        raise RecordError(
            "profile-of-another-form", file=str(path), revision=revision.revision, program=revision.program,
            problem=f"{first.path}: {first.message}" if first.path else first.message,
        )  # fmt: skip
    return profile.source, build(profile.source)


def stored_log(records: Records, revision: Issued) -> Log:
    """The log that was frozen with a revision; an empty one where there was none. RecordError where it is damaged."""
    path = records.revision_folder(revision.revision) / NAME
    if not path.is_file():
        return Log()
    source = read_profile(path)
    if source.problems or source.data is None:
        raise RecordError("record-damaged", file=str(path), reason=source.problems[0].message if source.problems else "-")
    try:
        return build_log(source)
    except (KeyError, TypeError, ValueError) as error:
        raise RecordError("record-damaged", file=str(path), reason=f"{type(error).__name__}: {error}") from error


def stored_findings(records: Records, revision: Issued) -> tuple[Found, ...]:
    """What was open when a revision was issued, out of its report. RecordError where that is damaged."""
    path = records.revision_folder(revision.revision) / CHECK
    try:
        rows = json.loads(kept_bytes(path).decode("utf-8"))["findings"]
        return tuple(_found(row) for row in rows)
    except (ValueError, KeyError, TypeError) as error:
        raise RecordError("record-damaged", file=str(path), reason=f"{type(error).__name__}: {error}") from error


def stored_shut(records: Records, revision: Issued) -> frozenset[str]:
    """The bays that the papers of a revision close, out of its report. RecordError where that is damaged."""
    path = records.revision_folder(revision.revision) / CHECK
    try:
        rows = json.loads(kept_bytes(path).decode("utf-8"))["bays"]
        return frozenset(str(row["id"]) for row in rows if row["state"] in SHUT)
    except (ValueError, KeyError, TypeError) as error:
        raise RecordError("record-damaged", file=str(path), reason=f"{type(error).__name__}: {error}") from error


def _found(row: dict[str, object]) -> Found:
    severity, name, path, line, message = (row[key] for key in ("severity", "name", "path", "line", "message"))
    texts = (severity, name, path, message)
    if not all(isinstance(x, str) for x in texts) or severity not in SEVERITIES or not isinstance(line, int | None):
        raise ValueError(f"'{name}' is no finding")
    return Found(str(severity), str(name), str(path), line, str(message))
