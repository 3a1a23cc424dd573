"""What a check of one profile yields: problems, or the site with the law and the assessment."""

from __future__ import annotations

from datetime import date

from docgen.assess.model import Assessment
from docgen.codes import Code
from docgen.frozen import frozen
from docgen.read import Problem, Source
from docgen.records import NONE, Records
from docgen.site import Site

__all__ = ["Checked"]


@frozen
class Checked:
    """A profile as far as it got: with problems there is no site, without problems there is everything."""

    source: Source
    as_of: date
    problems: tuple[Problem, ...]
    site: Site | None = None
    code: Code | None = None
    assessed: Assessment | None = None
    records: Records = NONE  # those that existed on the day

    @property
    def clean(self) -> bool:
        return not self.problems and not any(f.severity == "must-fix" for f in self.assessed.findings)
