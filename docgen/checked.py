"""What a check of one profile yields: refused, with the problems; or assessed, with the law and everything computed and found."""

from __future__ import annotations

from datetime import date

from docgen.codes import LawAlone
from docgen.findings.model import Assessment, Finding
from docgen.findings.states import PaperState
from docgen.findings.view import View
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.look import NONE as PLAIN
from docgen.look import Look
from docgen.read import Problem, Source
from docgen.records import Records
from docgen.site import Log, Site
from docgen.unknown import NotKnown

__all__ = ["Assessed", "Checked", "Refused"]


@frozen
class Refused:
    """A profile with problems: there is no site."""

    source: Source
    as_of: date
    problems: tuple[Problem, ...]

    @property
    def clean(self) -> bool:
        """Never: there are problems."""
        return False


@frozen
class Assessed:
    """A profile without problems: the site, the law alone (`code`), what was found, and the records that existed on the day.

    `view` and `found` are what the second stage of the findings starts from when finished papers are compared.
    `not_known` are the values that the profile says are not known; `if_open` is what would
    stand were no bay closed by decision. `papers` are the states of the papers, `unprinted` the paths of fields that are given and that
    no paper prints (`pipeline.stated` adds both). `look` is that of the client's papers, with what was read of its files.
    """

    source: Source
    as_of: date
    site: Site
    code: LawAlone
    assessed: Assessment
    records: Records
    view: View
    found: tuple[Finding, ...]
    not_known: tuple[NotKnown, ...] = ()
    if_open: tuple[Finding, ...] = ()
    papers: tuple[PaperState, ...] = ()
    unprinted: tuple[str, ...] = ()
    look: Look = PLAIN

    @property
    def happened(self) -> Happened:
        """What happened up to the day."""
        return self.view.happened

    @property
    def log(self) -> Log:
        """All of the log."""
        return self.view.happened.log

    @property
    def problems(self) -> tuple[Problem, ...]:
        """None, or the profile would have been refused."""
        return ()

    @property
    def clean(self) -> bool:
        """Whether nothing must be fixed."""
        return not any(f.severity == "must-fix" for f in self.assessed.findings)


Checked = Refused | Assessed
