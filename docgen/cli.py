"""The command line. Exit 0 clean; 1 profile problems or must-fix findings; 2 wrong use or an internal fault."""

from __future__ import annotations

import argparse
import gc
import sys
from datetime import date
from pathlib import Path

from docgen import __version__
from docgen.errors import DocgenError, UsageError

__all__ = ["main"]

CLEAN, FOUND, WRONG = 0, 1, 2


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return the exit code; nothing but results goes to standard output."""
    options = _parser().parse_args(arguments)
    gc.disable()  # a short process that keeps what it makes: collecting would cost a quarter of a check
    try:
        return options.run(options)
    except DocgenError as error:
        print(f"docgen: {error}", file=sys.stderr)
        return WRONG
    except BrokenPipeError:
        return WRONG
    except KeyboardInterrupt:
        print("docgen: stopped", file=sys.stderr)
        return WRONG
    except Exception as error:
        if options.trace:
            raise
        kind = type(error).__name__
        print(f"docgen: internal fault ({kind}: {error}); run again with --trace to see where, and report it", file=sys.stderr)
        return WRONG


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="docgen",
        description="Checks a site profile, does the engineering, and writes the fall-protection plan, the contractor notice and the rescue procedure.",
    )
    parser.add_argument("--version", action="version", version=f"docgen {__version__}")
    parser.add_argument("--trace", action="store_true", help="show the full trace of an internal fault")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="profile problems, then findings with numbers and what to do")
    _common(check)
    check.set_defaults(run=_check)

    render = commands.add_parser("render", help="write every document in every language of the profile")
    _common(render)
    render.add_argument("--into", required=True, metavar="DIR", type=Path, help="folder to write into; made if it is not there")
    render.add_argument(
        "--types", metavar="LIST", default="md,html,docx,pdf", help="comma-separated: md, html, docx, pdf (default: all)"
    )
    render.add_argument("--documents", metavar="LIST", default="", help="comma-separated names of documents (default: all)")
    render.set_defaults(run=_render)

    explain = commands.add_parser("explain", help="what a finding, calculation, question of law, citation or profile field is")
    explain.add_argument("name", metavar="NAME", help="such as clearance-short, clearance, arrest_force_max; findings, codes and calculations list them")
    explain.add_argument("profile", metavar="PROFILE", type=Path, nargs="?", help="a profile: how this site's number came out")
    explain.add_argument("--case", metavar="CASE", help="one case, as check names it, instead of the governing ones")
    explain.add_argument("--as-of", metavar="DATE", type=_day, default=None, help="the day to judge by (default: today)")
    explain.set_defaults(run=_explain)
    return parser


def _common(command: argparse.ArgumentParser) -> None:
    command.add_argument("profile", metavar="PROFILE", type=Path, help="a profile file, or a site folder that holds profile.yaml")
    command.add_argument(
        "--as-of", metavar="DATE", type=_day, default=None, help="the day to judge by, as 2026-11-01 (default: today)"
    )
    command.add_argument("--format", choices=("text", "json"), default="text", help="how results are printed (default: text)")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a day; write it as 2026-11-01") from None


def _as_of(options: argparse.Namespace) -> date:
    # the one place where the clock is read, and only where no day was given
    return options.as_of or date.today()


def _check(options: argparse.Namespace) -> int:
    from docgen.pipeline import check_site
    from docgen.report import REPORTERS

    checked = check_site(options.profile, _as_of(options))
    sys.stdout.write(REPORTERS[options.format](checked, "en"))
    return CLEAN if checked.clean else FOUND


def _explain(options: argparse.Namespace) -> int:
    from docgen.explain import explain
    from docgen.pipeline import check_site
    from docgen.report import REPORTERS

    checked = None
    if options.profile is not None:
        checked = check_site(options.profile, _as_of(options))
        if checked.problems:
            sys.stdout.write(REPORTERS["text"](checked, "en"))
            return FOUND
    elif options.case is not None:
        raise UsageError("--case needs a profile: docgen explain clearance PROFILE --case CASE")
    sys.stdout.write(explain(options.name, checked, options.case, _as_of(options)))
    return CLEAN


def _types(text: str) -> tuple[str, ...]:
    from docgen.write.folder import TYPES

    wanted = [t.strip() for t in text.split(",") if t.strip()]
    unknown = [t for t in wanted if t not in TYPES]
    if unknown or not wanted:
        raise UsageError(f"--types takes a list out of {', '.join(TYPES)}; got '{text}'")
    return tuple(t for t in TYPES if t in wanted)


def _documents(text: str) -> tuple[str, ...]:
    from docgen.compose.outline import outlines

    known = tuple(o.name for o in outlines() if o.name != "index")
    wanted = tuple(t.strip() for t in text.split(",") if t.strip())
    if unknown := [w for w in wanted if w not in known]:
        raise UsageError(f"there is no document '{unknown[0]}'; --documents takes a list out of {', '.join(known)}")
    return wanted


def _render(options: argparse.Namespace) -> int:
    import json

    from docgen.pipeline import check_site, render_site
    from docgen.report import REPORTERS

    types = _types(options.types)
    checked = check_site(options.profile, _as_of(options))
    if checked.problems:
        sys.stdout.write(REPORTERS[options.format](checked, "en"))
        print("docgen: nothing was written; put the problems right first", file=sys.stderr)
        return FOUND
    written = render_site(checked, options.into, types, _documents(options.documents))
    must = sum(1 for f in checked.assessed.findings if f.severity == "must-fix")
    if options.format == "json":
        names = [str(p.relative_to(options.into)) for p in written.files]
        print(
            json.dumps({"folder": written.folder.name, "files": names, "notes": list(written.notes), "must_fix": must}, indent=2)
        )
    else:
        for path in written.files:
            print(path)
        for note in written.notes:
            print(f"note: {note}")
        if must:
            print(f"{must} must-fix finding{'s' if must != 1 else ''}: run docgen check {options.profile} to read them")
    return CLEAN if not must else FOUND


if __name__ == "__main__":
    sys.exit(main())
