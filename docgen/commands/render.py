"""render: every paper in every language."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from docgen.commands.options import READ, Parser, near, takes_site_and_day, types_of
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, checked_site, noted
from docgen.errors import UsageError

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "render": ("docgen render site_profiles/harrow-ridge --into out --types html,pdf --as-of 2026-11-01", READ),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    render = commands.add_parser("render", help="write every document in every language of the profile")
    takes_site_and_day(render)
    render.add_argument(
        "--into",
        metavar="DIR",
        type=Path,
        help="folder to write into; made if it is not there (default: papers, beside the site)",
    )
    render.add_argument(
        "--types", metavar="LIST", default="md,html,docx,pdf", help="comma-separated: md, html, docx, pdf (default: all)"
    )
    render.add_argument(
        "--documents", metavar="LIST", default="", help="comma-separated names of documents (default: all but the legal file)"
    )
    render.add_argument("--all", action="store_true", help="every document, the legal file too, in a folder of its own")
    render.set_defaults(run=_render)


def _render(options: argparse.Namespace) -> int:
    import json

    from docgen.checked import Refused
    from docgen.pipeline import compared_site, render_site, stated
    from docgen.profile import site_folder
    from docgen.report import REPORTERS, unprinted_lines
    from docgen.words import finding_text

    types = types_of(options.types)
    checked = checked_site(options)
    if isinstance(checked, Refused):
        sys.stdout.write(REPORTERS[options.format](checked, LANGUAGE))
        print("docgen: nothing was written; put the problems right first", file=sys.stderr)
        return FOUND
    wanted = documents_of(options.documents, options.all)
    into = options.into or site_folder(options.profile).resolve().parent / "papers"
    checked, bodies = compared_site(checked, wanted)
    written = render_site(checked, into, types, wanted, bodies)
    must = sum(1 for f in checked.assessed.findings if f.severity == "must-fix")
    if options.format == "json":
        names = [str(p.relative_to(into)) for p in written.files]
        print(json.dumps({"folder": written.folder.name, "files": names, "notes": noted(written), "must_fix": must}, indent=2))
    else:
        for path in () if options.quiet else written.files:
            print(path)
        for note in (
            *noted(written),
            *(unprinted_lines(stated(checked, bodies, written.documents), LANGUAGE) if not wanted else ()),
        ):
            print(f"note: {note}")
        for contradiction in (f for f in checked.assessed.findings if f.name == "documents-contradict"):
            print(f"{contradiction.name}: {finding_text(contradiction, 'message', LANGUAGE, checked.assessed.system)}")
        if must:
            print(f"{must} must-fix finding{'s' if must != 1 else ''}: run docgen check {options.profile} to read them")
    return CLEAN if not must else FOUND


def documents_of(text: str, everything: bool) -> tuple[str, ...]:
    """The papers asked for; with `everything` all that this version writes, those kept apart too."""
    from docgen.papers import papers

    known = {o.name: o for o in papers()}
    written = tuple(o.name for o in papers() if o.written)
    if everything:
        if text:
            raise UsageError("give --documents or --all, not both")
        return written
    wanted = tuple(t.strip() for t in text.split(",") if t.strip())
    for name in wanted:
        if name not in known:
            hint = near(name, written) or f"--documents takes a list out of {', '.join(written)}"
            raise UsageError(f"there is no document '{name}'; {hint}")
        if name not in written:
            raise UsageError(
                f"this version does not write the {known[name].called_in(LANGUAGE)} yet; it writes {', '.join(written)}"
            )
    return wanted
