"""portfolio: the sites below a folder, checked, built, listed and compared together."""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from docgen.checked import Refused
from docgen.commands.across import draft, uses
from docgen.commands.options import Parser, as_day, as_span, as_words, types_of
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, WRONG, as_of
from docgen.commands.running import answers, done, found_sites, lost, progress
from docgen.errors import UsageError

if TYPE_CHECKING:
    from docgen.portfolio.build import Built, Job
    from docgen.portfolio.row import Row

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "portfolio": ("docgen portfolio check site_profiles --as-of 2026-11-01", "Exit 0: nothing must be fixed anywhere; 1: some site has problems or must-fix findings; 2: wrong use, or a site that could not be read."),
}  # fmt: skip
ACTIONS = {
    "check": "one line a site: which bays are closed, what stops the issue",
    "render": "write the papers of each site of which something moved, and the register",
    "register": "one page of all sites, with a table and data beside it",
    "due": "what is overdue, was never done, or falls due soon, as docgen due says it",
    "whatif": "what would follow at one site or many if a value were another",
    "uses": "which sites use a model of the library, an answer of law, or a sentence, and where",
    "draft": "what would move at which sites if these templates or this law stood in the place of ours",
    "flatten": "print the profile of one site with all that it takes over",
}


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    told = "; ".join(f"{name}: {what}" for name, what in ACTIONS.items())
    many = commands.add_parser(
        "portfolio",
        help="many sites together: check, render, register, due, whatif, uses, draft, or flatten one",
        description=f"Many sites together. {told}.",
    )
    many.add_argument("action", metavar="ACTION", choices=tuple(ACTIONS), help=", ".join(ACTIONS))
    many.add_argument("folder", metavar="DIR", type=Path, help="a folder with sites below it; of flatten and whatif one site too")
    many.add_argument(
        "--set",
        metavar="PATH=VALUE",
        action="append",
        default=[],
        type=as_words,
        help="with whatif: equipment[D-1].arrest_distance=54 in, or equipment[kind=srd]...; may be given more than once",
    )
    more: dict[str, Any] = {"action": "append", "default": [], "type": as_words}
    many.add_argument("--model", metavar="ID", help="with uses: a model of the library; may be given more than once", **more)
    many.add_argument(
        "--code",
        metavar="KEY",
        help="with uses: a question of law by its key, or a citation; may be given more than once",
        **more,
    )
    many.add_argument(
        "--sentence", metavar="WORDS", help="with uses: words of a sentence of any paper; may be given more than once", **more
    )
    many.add_argument("--templates", metavar="FOLDER", type=Path, help="with draft: templates that stand before ours")
    many.add_argument("--codes", metavar="FOLDER", type=Path, help="with draft: sets of law that stand before ours")
    many.add_argument("--as-of", metavar="DATE", type=as_day, default=None, help="the day to judge by (default: today)")
    many.add_argument("--into", metavar="OUT", type=Path, help="folder to write into (default: papers, in DIR)")
    many.add_argument(
        "--types", metavar="LIST", default="html,docx,pdf", help="comma-separated: md, html, docx, pdf (default: html,docx,pdf)"
    )
    many.add_argument(
        "--documents", metavar="LIST", default="", help="comma-separated names of documents (default: all but the legal file)"
    )
    many.add_argument("--workers", metavar="N", type=int, default=None, help="processes at once (default: one a core)")
    many.add_argument(
        "--scheduler", metavar="ADDRESS", type=as_words, help="workers of a cluster instead, such as tcp://host:8786"
    )
    many.add_argument("--why", action="store_true", help="say of each site that is built what moved")
    many.add_argument(
        "--within", metavar="SPAN", type=as_span, default="60d", help="with due: how far ahead, 60d, 8w or 2m (default: 60d)"
    )
    many.add_argument(
        "--format",
        choices=("text", "json", "csv", "ics"),
        default="text",
        help="text or json; of due and uses also csv, of due also ics (default: text)",
    )
    many.set_defaults(run=_portfolio)


def _portfolio(options: argparse.Namespace) -> int:
    if options.set and options.action != "whatif":
        raise UsageError("--set goes with whatif; nothing else changes a value")
    for action, names in (("uses", ("model", "code", "sentence")), ("draft", ("templates", "codes"))):
        if options.action != action and (name := next((n for n in names if getattr(options, n)), None)):
            raise UsageError(f"--{name} goes with {action}")
    if options.action == "flatten":
        return _flatten(options)
    if options.workers is not None and not 1 <= options.workers <= 1024:
        raise UsageError(f"--workers takes a number from 1 to 1024; got {options.workers}")
    if options.action not in {"text": ACTIONS, "json": ACTIONS, "csv": ("due", "uses"), "ics": ("due",)}[options.format]:
        raise UsageError(f"--format {options.format} goes with due{' and uses' if options.format == 'csv' else ''}")
    if options.action == "uses":
        return uses(options)
    if options.action == "draft":
        return draft(options)
    if options.action == "whatif":
        return _whatif(options)
    if options.action == "due":
        return _due(options)
    rows, built = _rows(options)
    code = max(
        WRONG if any(r["fault"] for r in rows) else CLEAN, FOUND if any(r["problems"] or r["must_fix"] for r in rows) else CLEAN
    )
    _told(options, rows, built)
    return code


def _rows(options: argparse.Namespace) -> tuple[list[Row], int]:
    """The lines of all sites by name, and how many were built anew."""
    from docgen.portfolio.build import fresh

    rows, stale = {}, []
    for job in _jobs(options):
        found = fresh(job)
        if found is None:
            stale.append(job)
        else:
            rows[job.spot.name] = found.row
    anew = 0
    with progress(options, len(stale)) as tell:
        for built in _built(options, stale):
            rows[built.name] = built.row
            anew += bool(built.moved)
            tell(built)
    if options.action != "check":
        from docgen.portfolio.register import write_register

        write_register(options.into or options.folder / "papers", [rows[n] for n in sorted(rows)], as_of(options), LANGUAGE)
    return [rows[name] for name in sorted(rows)], anew


def _jobs(options: argparse.Namespace) -> list[Job]:
    from docgen.commands.render import documents_of
    from docgen.portfolio.build import Job

    types = types_of(options.types) if options.action == "render" else ()
    wanted = documents_of(options.documents, False) if options.action == "render" else ()
    into = None if options.action == "check" else (options.into or options.folder.resolve() / "papers").resolve()
    return [Job(spot, as_of(options), LANGUAGE, into, types, wanted) for spot in found_sites(options)]


def _built(options: argparse.Namespace, jobs: list[Job]) -> Iterator[Built]:
    """What came of the jobs; one that a worker cannot end is told as a fault of its site."""
    from docgen.portfolio.build import build, lost

    for job, came in done(options, build, jobs):
        yield lost(job, came) if isinstance(came, BaseException) else came


def _due(options: argparse.Namespace) -> int:
    from docgen.due import FORMATS
    from docgen.portfolio.due import Ask, due_of

    day, code, names, rows = as_of(options), CLEAN, {}, []
    asks = [Ask(spot, day, options.within, LANGUAGE) for spot in found_sites(options)]
    came = {ask.spot.name: result for ask, result in done(options, due_of, asks)}
    ids = Counter(told.site.casefold() for told in came.values() if not isinstance(told, BaseException))
    for ask in asks:
        told = came[ask.spot.name]
        wrong = lost(told) if isinstance(told, BaseException) else told.wrong
        if isinstance(told, BaseException) or wrong:
            print(f"{ask.spot.name}: {wrong}", file=sys.stderr)
            code = max(code, FOUND)
            continue
        key = told.site if ids[told.site.casefold()] == 1 else ask.spot.name  # two clients may have a site of one id
        names[key] = told.called
        rows += [replace(row, site=key) for row in told.rows if not options.quiet or row.state != "coming"]
    sys.stdout.write(FORMATS[options.format](rows, names, day, day + options.within, LANGUAGE))
    return max(code, FOUND if any(row.state != "coming" for row in rows) else CLEAN)


def _whatif(options: argparse.Namespace) -> int:
    from docgen.portfolio.whatif import EMPTY, Ask, change_of, what_if

    if not options.set:
        raise UsageError("whatif needs a value: --set 'equipment[D-1].arrest_distance=54 in'")
    changes = tuple(change_of(text) for text in options.set)
    asks = [Ask(spot, as_of(options), LANGUAGE, changes) for spot in found_sites(options)]
    came = answers(options, what_if, asks, EMPTY)
    nowhere = [c.text for n, c in enumerate(changes) if not any(a["places"] and a["places"][n] for a in came)]
    if nowhere and not any(a["fault"] for a in came):
        raise UsageError(
            f"nothing at these sites is at '{nowhere[0].rpartition('=')[0]}'; docgen fields lists what a profile holds"
        )
    if options.format == "json":
        told = {"schema_version": 1, "as_of": as_of(options).isoformat(), "set": options.set, "sites": came}
        print(json.dumps(told, indent=2, ensure_ascii=False))
    else:
        for answer in came:
            print("\n".join(_answer_lines(answer)))
        flips, papers = (sum(bool(a[key]) for a in came) for key in ("cases", "papers"))
        print(f"sites asked: {len(came)}; cases flip at {flips}, papers would change at {papers}; nothing was written")
    bad = any(a["fault"] or a["problems"] for a in came)
    return FOUND if bad or any(f["severity"] == "must-fix" for a in came for f in a["appear"]) else CLEAN


def _answer_lines(answer: dict[str, Any]) -> Iterator[str]:
    if answer["fault"] or answer["problems"]:
        yield f"{answer['name']}: {answer['fault'] or answer['problems'][0]}"
        return
    if not any(answer["places"]):
        yield f"{answer['name']}: it has no such place"
        return
    parts = (
        ("bay", [f"{b['bay']}: {b['before']} -> {b['after']}" for b in answer["bays"]]),
        ("case", [f"{c['case']}: {c['before'] or 'not there'} -> {c['after'] or 'not there'}" for c in answer["cases"]]),
        ("would appear", [f"{f['finding']} ({f['severity']}) at {f['at']}" for f in answer["appear"]]),
        ("would vanish", [f"{f['finding']} ({f['severity']}) at {f['at']}" for f in answer["vanish"]]),
        ("paper", answer["papers"]),
        ("approval would lapse", [f"{a['paper']}: {a['part']}, {a['by']}" for a in answer["lapse"]]),
        ("tell", answer["tell"]),
        ("by when", answer["by"]),
    )
    other = any(lines for _, lines in parts)
    yield f"{answer['name']}: {'this would be another' if other else 'nothing that is printed or found would be another'}"
    for head, lines in parts:
        yield from (f"  {head}: {line}" for line in lines)


def _told(options: argparse.Namespace, rows: list[Row], built: int) -> None:
    """The lines of all sites, and a line of sums."""
    if options.format == "json":
        print(
            json.dumps(
                {"schema_version": 1, "as_of": as_of(options).isoformat(), "built": built, "sites": rows},
                indent=2,
                ensure_ascii=False,
            )
        )
        return
    for row in rows:
        if not options.quiet or row["problems"] or row["fault"] or row["must_fix"]:
            print(_line(row))
    closed = sum(any(b["state"] not in ("open", "waiting") for b in row["bays"]) for row in rows)
    wrong = sum(bool(row["problems"] or row["fault"]) for row in rows)
    counts = f"{closed} with a bay closed, {sum(bool(r['must_fix']) for r in rows)} with something that must be fixed, {sum(bool(r['overdue']) for r in rows)} with something overdue"
    print(
        f"{len(rows)} site{'s' if len(rows) != 1 else ''}: {counts}, {wrong} that cannot be read; {built} built, {len(rows) - built} as before"
    )


def _line(row: Row) -> str:
    if row["fault"] is not None:
        return f"{row['name']}: {row['fault']}"
    if row["problems"]:
        more = f" ({len(row['problems'])} problems)" if len(row["problems"]) > 1 else ""
        return f"{row['name']}: {row['problems'][0]}{more}"
    closed, waiting = (
        [b["name"] for b in row["bays"] if b["state"] != "open" and (b["state"] == "waiting") is wait] for wait in (False, True)
    )
    bays = (
        "; ".join(f"{said}: {', '.join(names)}" for said, names in (("closed", closed), ("not yet", waiting)) if names) or "open"
    )
    must, soon = (sum(row[k].values()) for k in ("must_fix", "fix_soon"))
    due = f", next due {row['next_due']}" if row["next_due"] else ""
    late = f", {row['overdue']} overdue" if row["overdue"] else ""
    return (
        f"{row['name']}: {bays}; {must} must fix, {soon} fix soon; {row['computed']} of {row['cases']} cases computed{late}{due}"
    )


def _flatten(options: argparse.Namespace) -> int:
    from docgen.profile import read_site
    from docgen.report import REPORTERS

    profile = read_site(options.folder, log=False)
    if profile.problems:
        sys.stdout.write(REPORTERS["text"](Refused(profile.source, as_of(options), profile.problems), LANGUAGE))
        return FOUND
    sys.stdout.write(profile.source.whole)
    return CLEAN
