"""What falls due at one site of many, as plain values that go through a wire."""

from __future__ import annotations

from datetime import date, timedelta

from docgen.checked import Assessed
from docgen.due import Row, rows_of
from docgen.errors import DocgenError, Refusal
from docgen.frozen import frozen
from docgen.pipeline import check_site
from docgen.portfolio.sites import Spot
from docgen.words import refusal_text

__all__ = ["Ask", "Told", "due_of"]


@frozen
class Ask:
    """A site, the day, and how far ahead is looked."""

    spot: Spot
    as_of: date
    within: timedelta
    language: str


@frozen
class Told:
    """The rows of a site, its id and name; or what is wrong with it."""

    site: str = ""
    called: str = ""
    rows: tuple[Row, ...] = ()
    wrong: str = ""


def due_of(ask: Ask) -> Told:
    """What is overdue, was never done or falls due; what keeps the site from being read is told, not raised."""
    try:
        checked = check_site(ask.spot.folder, ask.as_of)
    except Refusal as refusal:
        return Told(wrong=refusal_text(refusal, ask.language))
    except (DocgenError, OSError) as error:
        return Told(wrong=str(error))
    if not isinstance(checked, Assessed):
        first = checked.problems[0]
        return Told(wrong=f"{first.file}:{first.line}:{first.column}: {first.path}: {first.message}")
    site = checked.site.site
    return Told(site.id, site.name or site.id, rows_of(checked, ask.within, ask.language))
