"""approve, issue, withdraw: what is put on record."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.commands.options import DONE, Parser, as_day, as_words, listed, takes_day, takes_key, takes_site, types_of
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, by_the_clock, not_ahead, noted, read_site, refused

if TYPE_CHECKING:
    from docgen.control.withdraw import Place

__all__ = ["MANUAL", "add", "place_line"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "approve": ("docgen approve site_profiles/harrow-ridge --document contractor-notice --role issuing-authority --by 'R. Oduya' --on 2026-11-02", DONE),
    "issue": ("docgen issue site_profiles/harrow-ridge --reason 'First issue' --by 'L. Brandt' --on 2026-11-02", "Exit 0: issued; 1: profile problems, or reasons against the issue; 2: wrong use."),
    "withdraw": ("docgen withdraw site_profiles/harrow-ridge 1 --by 'R. Oduya' --reason 'Wrong telephone number' --on 2026-11-02", DONE),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    approve = commands.add_parser("approve", help="record who approved which document, bound to the text that was read")
    takes_site(approve)
    approve.add_argument("--document", required=True, metavar="NAME", type=as_words, help="such as fall-protection-plan")
    approve.add_argument(
        "--role",
        required=True,
        metavar="ROLE",
        type=as_words,
        help="the part in which the person approves, such as qualified-person or counsel",
    )
    approve.add_argument("--by", required=True, metavar="NAME", type=as_words, help="the person who approved")
    approve.add_argument(
        "--scope",
        metavar="LIST",
        type=as_words,
        default=None,
        help="comma-separated sections or clause ids, or document; default: what that part approves of the document",
    )
    approve.add_argument("--licence", metavar="NUMBER", type=as_words, help="number of the licence (default: the profile's)")
    approve.add_argument("--jurisdiction", metavar="CODE", type=as_words, help="where the licence is valid, such as US-KS")
    approve.add_argument("--expires", metavar="DATE", type=as_day, help="last day of the licence")
    approve.add_argument(
        "--digest",
        metavar="DIGITS",
        help="the digest printed on the page that was signed: refused if the text is another one today",
    )
    approve.add_argument("--entered-by", metavar="NAME", type=as_words, help="who types this in")
    approve.add_argument(
        "--evidence", metavar="FILE", type=Path, help="scan or photo of the signed page; a copy is kept with the record"
    )
    approve.add_argument("--note", metavar="TEXT", type=as_words, help="a condition or remark of the one who approved")
    takes_key(approve)
    takes_day(approve, "the day of the approval")
    approve.set_defaults(run=_approve)

    issue = commands.add_parser("issue", help="freeze the next revision of every document whose text is not in force")
    takes_site(issue)
    issue.add_argument(
        "--document", metavar="NAME", action="append", default=[], help="only this document; may be given more than once"
    )
    issue.add_argument("--reason", metavar="TEXT", type=as_words, help="why, for the revision history")
    issue.add_argument("--by", metavar="NAME", type=as_words, help="who issues it")
    issue.add_argument(
        "--types", metavar="LIST", default="md,html,docx,pdf", help="comma-separated: md, html, docx, pdf (default: all)"
    )
    takes_key(issue)
    takes_day(issue, "the day of issue")
    issue.set_defaults(run=_issue)

    withdraw = commands.add_parser("withdraw", help="take a revision or an approval out of force; nothing on record is edited")
    takes_site(withdraw)
    withdraw.add_argument(
        "name", metavar="NAME", type=as_words, help="the revision, such as 2 or rev-002, or the approval, such as A-0003"
    )
    withdraw.add_argument(
        "--by", required=True, metavar="NAME", type=as_words, help="who withdraws it: somebody whom the profile names"
    )
    withdraw.add_argument("--reason", required=True, metavar="TEXT", type=as_words, help="why")
    withdraw.add_argument(
        "--into", metavar="DIR", type=Path, help="write the list of copies to take down and the closure sheets there"
    )
    takes_key(withdraw)
    takes_day(withdraw, "the day of the withdrawal")
    withdraw.set_defaults(run=_withdraw)


def _approve(options: argparse.Namespace) -> int:
    from docgen.control.approve import Request
    from docgen.revisions import approve_site

    not_ahead(options)
    checked = read_site(options)
    if checked is None:
        return FOUND
    request = Request(
        options.document, options.role, options.by, checked.as_of, listed(options.scope, "--scope") if options.scope is not None else None, options.licence, options.jurisdiction,
        options.expires, options.entered_by, options.evidence, options.note, options.digest,
    )  # fmt: skip
    taken = approve_site(checked, options.profile, request, LANGUAGE, options.sign)
    made = taken.approval
    instead = f" for {made.delegate_of}" if made.delegate_of else ""
    print(f"{made.id}: {made.document} approved by {made.by}{instead} as {made.role} on {made.on.isoformat()}")
    for text in made.texts:
        print(f"  text ({text.language}) {text.digest}")
    print(f"  clauses in scope ({', '.join(made.scope)}): {len(taken.clauses)}; recorded in {taken.file}")
    print(f"  digest of this record {taken.digest}")
    if taken.signature is not None:
        print(f"  signed with {made.signed_with}: {taken.signature}")
    print(made.what)
    return CLEAN


def _issue(options: argparse.Namespace) -> int:
    from docgen.control.say import control_words
    from docgen.profile import site_folder
    from docgen.records import RECORD, revision_name, sha256
    from docgen.revisions import issue_site, to_hang

    not_ahead(options)
    checked = read_site(options)
    if checked is None:
        return FOUND
    issued, against = issue_site(
        checked,
        options.profile,
        types_of(options.types),
        LANGUAGE,
        tuple(options.document),
        options.reason,
        options.by,
        options.sign,
    )
    if issued is None:
        for reason in against:
            print(refused(reason))
        print(f"not issued: {len(against)} reason{'s' if len(against) != 1 else ''}")
        return FOUND
    print(f"revision {issued.revision} of {issued.on.isoformat()}: {issued.reason}")
    for text in issued.texts:
        print(f"  {text.document} ({text.language}) {text.digest}")
    print(f"  rests on {', '.join(issued.approvals) or 'no approval'}; frozen in issued/rev-{issued.revision:03d}")
    record = site_folder(options.profile) / "issued" / revision_name(issued.revision) / RECORD
    print(f"  digest of its record {sha256(record.read_bytes())}")
    if places := to_hang(checked, issued, LANGUAGE):
        print(f"\n{control_words(LANGUAGE)['to_hang']} ({len(places)})\n")
        for line in places:
            print(f"  {line}")
    return CLEAN


def _withdraw(options: argparse.Namespace) -> int:
    from docgen.revisions import withdraw_site, withdrawn_papers
    from docgen.write.folder import possible

    not_ahead(options)
    checked = read_site(options)
    if checked is None:
        return FOUND
    taken = withdraw_site(checked, options.profile, options.name, options.by, options.reason, options.sign, by_the_clock())
    made = taken.withdrawal
    print(f"{made.id}: {made.name} withdrawn by {made.by} on {made.on.isoformat()}: {made.reason}")
    print(f"  recorded in {taken.file}")
    print(f"  digest of this record {taken.digest}")
    if made.what == "revision":
        for place in taken.places:
            print(f"  take down: {place_line(place)}")
        if not taken.places:
            print("  the log says of no place that a copy hangs there; look at each")
    if options.into is not None and made.what == "revision":
        for written in withdrawn_papers(options.profile, taken, options.into, possible(("html", "docx", "pdf")), LANGUAGE):
            for line in (*written.files, *(f"note: {n}" for n in noted(written))):
                print(line)
    return CLEAN


def place_line(place: Place) -> str:
    """A place where a copy hangs, in one line."""
    which = f"revision {place.revision}" if place.revision is not None else "which revision is not recorded"
    return f"{place.id}, {place.place}: {place.document} ({place.language}), {which}"
