"""register, show, hold: what is on record, read and kept."""

from __future__ import annotations

import argparse
from pathlib import Path

from docgen.commands.approve import place_line
from docgen.commands.options import DONE, Parser, as_words, takes_day, takes_site
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, as_of, not_ahead, noted, read_site, skipped
from docgen.errors import DocgenError, UsageError

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "register": ("docgen register site_profiles/harrow-ridge --into out --on 2026-11-12", DONE),
    "show": ("docgen show site_profiles/harrow-ridge --into out --on 2026-11-12", DONE),
    "hold": ("docgen hold site_profiles/harrow-ridge on --by 'A. Petrie' --reason 'Claim of 2026-11-10' --on 2026-11-12", DONE),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    register = commands.add_parser("register", help="clause register of the notice for counsel, and the list of postings")
    register.add_argument(
        "profiles", metavar="SITE", type=Path, nargs="+", help="site folders that hold profile.yaml, or profile files"
    )
    register.add_argument("--into", metavar="DIR", type=Path, help="folder to write into")
    register.add_argument(
        "--program",
        metavar="VERSION",
        type=as_words,
        help="only name the revisions that this version of docgen wrote, and where their papers hang",
    )
    register.add_argument("--format", choices=("text", "json"), default="text", help="how --program prints (default: text)")
    takes_day(register, "the day to judge by")
    register.set_defaults(run=_register)

    show = commands.add_parser("show", help="gather what was in force on a day in one folder with digests")
    takes_site(show)
    show.add_argument("--into", required=True, metavar="DIR", type=Path, help="folder in which the new folder is made")
    takes_day(show, "the day")
    show.set_defaults(run=_show)

    hold = commands.add_parser("hold", help="stop deletion and overwriting of everything on record, or lift that")
    takes_site(hold)
    hold.add_argument("state", choices=("on", "off"), help="begin or lift the hold")
    hold.add_argument("--by", required=True, metavar="NAME", type=as_words, help="who orders it")
    hold.add_argument("--reason", required=True, metavar="TEXT", type=as_words, help="why")
    takes_day(hold, "the day")
    hold.set_defaults(run=_hold)


def _register(options: argparse.Namespace) -> int:
    from docgen.revisions import register_papers
    from docgen.write.folder import place_papers, possible

    if options.program is not None:
        return _written_by(options)
    if options.into is None:
        raise UsageError("register writes files: give --into DIR, or --program VERSION to see what a version of docgen wrote")
    code = CLEAN
    for profile in options.profiles:
        options.profile = profile
        checked = read_site(options)
        if checked is None:
            code = FOUND
            continue
        papers = register_papers(checked, possible(("html", "docx", "pdf")), LANGUAGE)
        written = place_papers(options.into / checked.site.site.id / "register", papers, checked.happened.held is not None)
        for line in (*written.files, *(f"note: {n}" for n in noted(written))):
            print(line)
    return code


def _written_by(options: argparse.Namespace) -> int:
    """What a version of the program wrote at each site; a site that cannot be read stops no other."""
    import json

    from docgen.revisions import written_by

    rows, code = [], CLEAN
    for profile in options.profiles:
        try:
            found = written_by(profile, options.program, as_of(options))
        except DocgenError as error:
            code = skipped(profile, error)
            continue
        rows += [(profile, w) for w in found]
    if options.format == "json":
        told = [
            {
                "site": w.revision.site, "folder": str(profile), "revision": w.revision.revision, "on": w.revision.on.isoformat(), "state": w.state,
                "in_force": [{"document": d, "language": of} for d, of in w.in_force],
                "places": [{"id": p.id, "place": p.place, "document": p.document, "language": p.language, "revision": p.revision} for p in w.places],
            }
            for profile, w in rows
        ]  # fmt: skip
        print(json.dumps({"schema_version": 1, "program": options.program, "revisions": told}, indent=2, ensure_ascii=False))
        return code
    for profile, w in rows:
        print(f"{profile}: revision {w.revision.revision} of {w.revision.on.isoformat()}, {w.state}")
        for document, of in w.in_force:
            print(f"  in force: {document} ({of})")
        for place in w.places:
            print(f"  hangs: {place_line(place)}")
    print(f"{len(rows)} revision{'s' if len(rows) != 1 else ''} written by docgen {options.program}")
    return code


def _show(options: argparse.Namespace) -> int:
    from docgen.control.digests import SUMS
    from docgen.records import sha256
    from docgen.revisions import show_site

    checked = read_site(options)
    if checked is None:
        return FOUND
    folder = show_site(options.profile, checked.as_of, options.into, LANGUAGE)
    print(f"{folder}: open contents.md or index.html first")
    print(f"digest of the list of digests: {sha256((folder / SUMS).read_bytes())}")
    return CLEAN


def _hold(options: argparse.Namespace) -> int:
    from docgen.revisions import hold_site

    not_ahead(options)
    checked = read_site(options)
    if checked is None:
        return FOUND
    entry = hold_site(checked, options.profile, options.state, options.by, options.reason)
    print(f"{entry}: hold {options.state} since {checked.as_of.isoformat()} by {options.by}")
    return CLEAN
