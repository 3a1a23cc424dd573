"""The whole way of one site on one screen: read, check, build, assess, compose, write."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.assess import assess
from docgen.check import check
from docgen.checked import Checked
from docgen.codes import load
from docgen.errors import CodeError, DocgenError
from docgen.read import Problem, read_profile
from docgen.site import build

if TYPE_CHECKING:
    from docgen.write.folder import Written

__all__ = ["check_site", "render_site"]


def check_site(path: Path, as_of: date) -> Checked:
    """Read, check and assess one profile. Problems are results; only an unreadable file raises."""
    source = read_profile(path)
    problems = check(source)
    if problems:
        return Checked(source, as_of, problems)
    site = build(source)
    try:
        code = load(site.site.jurisdiction, site.site.sector, as_of)
    except CodeError as error:
        mark = site.source_lines["site.jurisdiction"]
        return Checked(source, as_of, (Problem(source.file, mark.line, mark.column, "site.jurisdiction", str(error), ""),))
    return Checked(source, as_of, (), site, code, assess(site, code, as_of))


def render_site(checked: Checked, into: Path, types: tuple[str, ...], wanted: tuple[str, ...] = ()) -> Written:
    """Write every document (or those wanted) in every language, drafts despite findings.

    DocgenError if the profile has problems.
    """
    from docgen.compose import compose_all
    from docgen.write.folder import possible, write_all

    if checked.problems:
        raise DocgenError("the profile has problems; nothing was written")
    documents = compose_all(checked.site, checked.code, checked.assessed, checked.as_of, possible(types), wanted=wanted)
    return write_all(documents, checked, into, types)
