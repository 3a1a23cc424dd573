"""check: the problems of a profile, then its findings."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from docgen.commands.options import LEVELS, READ, SITES, Parser, near, takes_day_and_format
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, WRONG, colours, each
from docgen.errors import UsageError

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "check": ("docgen check site_profiles/harrow-ridge --as-of 2026-11-01", READ),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    check = commands.add_parser(
        "check", help="profile problems, then findings with numbers and what to do; of one site or of many"
    )
    check.add_argument("profiles", metavar="SITE", type=Path, nargs="*", help=f"{SITES}; of more than one a summary is printed")
    takes_day_and_format(check)
    check.add_argument(
        "--record", metavar="DIR", type=Path, help="compare a folder made by show, or an issued revision, with its digests"
    )
    check.add_argument("--only", metavar="NAMES", default="", help="comma-separated names of findings to show")
    check.add_argument(
        "--severity", metavar="LEVEL", choices=LEVELS, help="show findings at least this severe: must-fix, fix-soon, advice"
    )
    check.add_argument(
        "--compare", action="store_true", help="also compose the documents and hold them against each other (slower)"
    )
    check.set_defaults(run=_check)


def _check(options: argparse.Namespace) -> int:
    from docgen.checked import Assessed
    from docgen.pipeline import compared_site, stated
    from docgen.report import REPORTERS, Choice, json_of_many, summary

    if options.record is not None:
        return _check_record(options)
    if not options.profiles:
        raise UsageError("check needs a site, or --record DIR")
    choice = Choice(_findings(options.only), options.severity, colours(options), "docgen check --severity {severity} {file}")
    code, found = CLEAN, []
    for checked, one in each(options):
        if checked is None:
            code = WRONG
            continue
        if isinstance(checked, Assessed):
            if options.compare:
                checked = stated(*compared_site(checked))
            elif options.format == "json":
                checked = stated(checked)
        code = code if checked.clean else max(code, FOUND)
        if options.format == "json" and not one:
            found.append(checked)
        elif options.quiet and isinstance(checked, Assessed) and options.format == "text":
            sys.stdout.write(REPORTERS["text"](checked, LANGUAGE, choice).splitlines(keepends=True)[-1])
        else:
            sys.stdout.write(REPORTERS[options.format](checked, LANGUAGE, choice) if one else summary(checked, LANGUAGE, choice))
    if found:
        sys.stdout.write(json_of_many(found, LANGUAGE, choice))
    return code


def _check_record(options: argparse.Namespace) -> int:
    import json

    from docgen.control.digests import SUMS, verify
    from docgen.words import refusal_words

    if options.profiles:
        raise UsageError("check takes a site or --record DIR, not both")
    words = refusal_words(LANGUAGE)
    wrong = [f"{w.name}: {words[w.how]}" for w in verify(options.record)]
    if options.format == "json":
        print(json.dumps({"schema_version": 1, "record": str(options.record), "wrong": wrong}, indent=2, ensure_ascii=False))
    else:
        for line in wrong:
            print(f"{options.record}/{line}")
        print(
            f"{options.record}: {'every file is as recorded in ' + SUMS if not wrong else f'files that differ from {SUMS}: {len(wrong)}'}"
        )
    return CLEAN if not wrong else FOUND


def _findings(text: str) -> tuple[str, ...]:
    from docgen.findings import RULES

    known = [rule.name for rule in RULES]
    wanted = tuple(t.strip() for t in text.split(",") if t.strip())
    for name in wanted:
        if name not in known:
            raise UsageError(f"there is no finding '{name}'; {near(name, known) or 'docgen explain findings lists them'}")
    return wanted
