"""The command line. Exit 0 clean; 1 profile problems or must-fix findings; 2 wrong use or an internal fault."""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from docgen import __version__
from docgen.errors import DataError, DocgenError, Refusal, UsageError
from docgen.signs import misread, unseen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from docgen.checked import Assessed, Checked, Refused
    from docgen.control.log import Fault, Given, Prepared
    from docgen.control.withdraw import Place
    from docgen.due import Row
    from docgen.profile import Profile
    from docgen.write.folder import Written

__all__ = ["INSTEAD", "MANUAL", "colours", "command_line", "main", "today"]

CLEAN, FOUND, WRONG = 0, 1, 2
LANGUAGE = "en"  # of what is said at the terminal and of the papers of document control
SPANS = {"d": 1, "w": 7, "m": 31}  # a month ahead is looked at whole
LEVELS = ("must-fix", "fix-soon", "advice")
#: What to type instead, by the name of what was refused; added to the sentence of the refusal.
INSTEAD = {
    "approval-partial": "record it with docgen approve --document {document} --role {role} --scope",
    "approval-missing": "record it with docgen approve --document {document} --role {role}",
    "approver-unnamed": "give --by",
    "digest-unclear": "give them with --digest",
    "day-ahead": "--on names it",
    "day-before-law": "{option} names it",
    "evidence-kind": "give another file with --evidence",
    "folder-is-there": "name another folder with --into",
    "folder-of-yours-is-there": "name another folder with --into",
    "folder-not-writable": "--into names it",
    "hold-needs-name-and-reason": "give --by and --reason",
    "log-correction-without-reason": "give --reason",
    "log-entered-ahead": "--as-of names it",
    "key-unreadable": "--sign names it",
    "licence-incomplete": "give --jurisdiction and --expires",
    "licence-needed": "give --licence, --jurisdiction and --expires, or put them in the profile",
    "nothing-called-so": "docgen explain findings, codes, calculations and elements list names",
    "nothing-called-so-but-near": "docgen explain findings, codes, calculations and elements list names",
    "nothing-issued-yet": "docgen issue makes the first one",
    "option-tells-weight": "--{option} holds it",
    "profile-has-problems": "docgen check lists them",
    "withdrawal-needs-name-and-reason": "give --by and --reason",
}


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return the exit code; nothing but results goes to standard output."""
    for stream in (sys.stdout, sys.stderr):  # a path may hold bytes that are no text, and a terminal may lack a sign
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    options = _parsed(arguments)
    collecting = gc.isenabled()
    gc.disable()  # a command keeps what it makes: collecting would cost a quarter of a check
    try:
        code: int = options.run(options)
        return code
    except Refusal as refusal:
        print(f"docgen: {_refused(refusal)}", file=sys.stderr)
        return WRONG
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
    finally:
        if collecting:  # whoever calls this from a process of their own has it as it was
            gc.enable()


def _parsed(arguments: list[str] | None) -> argparse.Namespace:
    """The command line as it is read: the words of an entry of the log may stand before and after its options."""
    parser = command_line()
    if os.environ.get("_ARGCOMPLETE"):  # a shell asks for what may follow
        import argcomplete

        argcomplete.autocomplete(parser, always_complete_options=False)
    options, rest = parser.parse_known_args(arguments)
    if options.command is None:
        parser.print_help()
        parser.exit(CLEAN)
    if rest:
        if "words" not in options or any(word.startswith("-") for word in rest):
            used = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction)).choices[options.command]
            strange = next((word for word in rest if word.startswith("-")), rest[0]).partition("=")[0]
            options_there = [text for action in used._actions for text in action.option_strings]
            hint = near(strange, options_there) if strange.startswith("-") else ""
            used.error(
                f"{options.command} does not take '{strange}'; {hint or f'docgen {options.command} --help lists what it takes'}"
            )
        options.words = [*options.words, *(_word_of(parser, word) for word in rest)]
    return options


def _word_of(parser: argparse.ArgumentParser, text: str) -> str:
    try:
        return _words(text)
    except argparse.ArgumentTypeError as error:
        parser.error(str(error))


def _noted(written: Written) -> list[str]:
    """The remarks on what was written, in words."""
    from docgen.words import refusal_text

    return [refusal_text(n, LANGUAGE) if isinstance(n, Refusal) else n for n in written.notes]


def _refused(refusal: Refusal) -> str:
    """The sentence of a refusal, and what to type instead where that helps."""
    from docgen.words import refusal_text

    try:
        said = refusal_text(refusal, LANGUAGE)
    except DataError as error:  # the words that would tell it are damaged themselves
        return f"{refusal}\n{error}"
    instead = INSTEAD.get(refusal.name)
    return said if instead is None else f"{said}; {instead.format(**refusal.values)}"


def near(word: str, known: Iterable[str]) -> str:
    """The question after a word that stands close to what was typed; empty where none does."""
    from difflib import get_close_matches

    found = get_close_matches(word, list(known), 1)
    return f"did you mean '{found[0]}'?" if found else ""


class _Parser(argparse.ArgumentParser):
    """A parser that takes no sign that nobody sees, in no option of no command, and repeats none in its messages."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**{"allow_abbrev": False, **given})

    def _check_value(self, action: argparse.Action, value: object) -> None:
        """A word out of a fixed list; what is close to it is named."""
        if action.choices is not None and value not in action.choices:
            command = isinstance(action, argparse._SubParsersAction)
            what = "command" if command else str(action.metavar or action.dest).lower()
            known = [str(choice) for choice in action.choices]
            told = f"there is no {what} '{value}'; {near(str(value), known) or 'there are: ' + ', '.join(known)}"
            raise argparse.ArgumentError(None if command else action, told)

    def _add_action(self, action: argparse.Action) -> argparse.Action:  # type: ignore[override]
        """Every option and argument that takes a value looks at its signs; one that is added later does so too."""
        action = super()._add_action(action)
        if action.nargs != 0 and action.choices is None:
            action.type = _LOOKED_AT.get(action.type, action.type)
        return action

    def error(self, message: str) -> NoReturn:
        shown = "".join(c if c.isprintable() and unseen(c) is None else f"\\u{ord(c):04x}" for c in message)
        super().error(shown)


def command_line() -> argparse.ArgumentParser:
    """The commands and what each takes."""
    parser = _Parser(
        prog="docgen",
        description="Checks a site profile, does the engineering, and writes the fall-protection plan, the contractor notice and the rescue procedure.",
    )
    parser.add_argument("--version", action="version", version=f"docgen {__version__}")
    parser.add_argument("--trace", action="store_true", help="show the full trace of an internal fault")
    parser.set_defaults(day_option="--as-of")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    check = commands.add_parser(
        "check", help="profile problems, then findings with numbers and what to do; of one site or of many"
    )
    check.add_argument("profiles", metavar="SITE", type=Path, nargs="*", help=f"{SITES}; of more than one a summary is printed")
    _day_and_format(check)
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

    render = commands.add_parser("render", help="write every document in every language of the profile")
    _common(render)
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

    _control_commands(commands)

    due = commands.add_parser("due", help="what is overdue, was never done, or falls due soon; of one site or of many")
    due.add_argument("profiles", metavar="SITE", type=Path, nargs="+", help=SITES)
    due.add_argument("--within", metavar="SPAN", type=_span, default="60d", help="how far ahead: 60d, 8w, or 2m (default: 60d)")
    due.add_argument("--as-of", metavar="DATE", type=_day, default=None, help="the day to judge by (default: today)")
    due.add_argument(
        "--format", choices=("text", "csv", "json", "ics"), default="text", help="text, csv, json, or ics for a calendar"
    )
    due.set_defaults(run=_due)

    copy = commands.add_parser(
        "demo", help="copy a demo site of an invented place to try things on; without a name they are listed"
    )
    copy.add_argument("name", metavar="NAME", type=_words, nargs="?", help="such as harrow-ridge")
    copy.add_argument(
        "--into", metavar="DIR", type=Path, default=Path(), help="folder in which its folder is made (default: here)"
    )
    copy.set_defaults(run=_demo)

    completion = commands.add_parser("completion", help="what a shell reads so that it completes commands and options")
    completion.add_argument("shell", metavar="SHELL", choices=("bash", "zsh", "fish"), help="bash, zsh or fish")
    completion.set_defaults(run=_completion)

    explain = commands.add_parser("explain", help="what a finding, calculation, question of law, citation or profile field is")
    explain.add_argument(
        "name",
        metavar="NAME",
        help="such as clearance-short, clearance, arrest_force_max; findings, codes, calculations and elements list them",
    )
    explain.add_argument("profile", metavar="PROFILE", type=Path, nargs="?", help="a profile: how this site's number came out")
    explain.add_argument("--case", metavar="CASE", help="one case, as check names it, instead of the governing ones")
    explain.add_argument("--as-of", metavar="DATE", type=_day, default=None, help="the day to judge by (default: today)")
    explain.add_argument(
        "--review", action="store_true", help="with codes: the answers of law as they are due for reading, oldest first"
    )
    explain.set_defaults(run=_explain)
    for name, command in commands.choices.items():
        command.add_argument("--quiet", action="store_true", help="print only what must be acted on")
        command.add_argument("--no-color", action="store_true", help="no colour, also on a terminal (NO_COLOR does the same)")
        example, codes = MANUAL[name]
        command.description = (
            command.description or str(next(a.help for a in commands._choices_actions if a.dest == name)).capitalize() + "."
        )
        command.epilog = f"Example: {example} {codes}"
    return parser


SITES = "a site folder, its profile file, or a folder of sites"
_READ = "Exit 0: nothing must be fixed; 1: profile problems or must-fix findings; 2: wrong use."
_DONE = "Exit 0: done; 1: profile problems; 2: refused, or wrong use."
#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "check": ("docgen check site_profiles/harrow-ridge --as-of 2026-11-01", _READ),
    "render": ("docgen render site_profiles/harrow-ridge --into out --types html,pdf --as-of 2026-11-01", _READ),
    "approve": ("docgen approve site_profiles/harrow-ridge --document contractor-notice --role issuing-authority --by 'R. Oduya' --on 2026-11-02", _DONE),
    "issue": ("docgen issue site_profiles/harrow-ridge --reason 'First issue' --by 'L. Brandt' --on 2026-11-02", "Exit 0: issued; 1: profile problems, or reasons against the issue; 2: wrong use."),
    "withdraw": ("docgen withdraw site_profiles/harrow-ridge 1 --by 'R. Oduya' --reason 'Wrong telephone number' --on 2026-11-02", _DONE),
    "changes": ("docgen changes site_profiles/harrow-ridge --into out --as-of 2026-11-12", _DONE),
    "log": ("docgen log site_profiles/harrow-ridge inspection part=D-1 result=pass serial=D1-20417 --by 'J. Whitlow' --on 2026-11-03", "Exit 0: entered, or shown before it is; 1: something is wrong with it and nothing was entered; 2: wrong use."),
    "replace": ("docgen replace site_profiles/harrow-ridge D-1 --by D-9 --reason 'Retired' --on 2026-11-12", _DONE),
    "register": ("docgen register site_profiles/harrow-ridge --into out --on 2026-11-12", _DONE),
    "show": ("docgen show site_profiles/harrow-ridge --into out --on 2026-11-12", _DONE),
    "hold": ("docgen hold site_profiles/harrow-ridge on --by 'A. Petrie' --reason 'Claim of 2026-11-10' --on 2026-11-12", _DONE),
    "due": ("docgen due site_profiles --within 60d --as-of 2026-11-01", "Exit 0: nothing is overdue; 1: something is overdue or was never done, or a profile has problems; 2: wrong use."),
    "demo": ("docgen demo harrow-ridge --into out", "Exit 0: copied or listed; 2: no such demo, or its folder is there already."),
    "completion": ("docgen completion bash", "Put what it prints where the shell reads it at its start. Exit 0: printed; 2: wrong use."),
    "explain": ("docgen explain clearance-short", "Exit 0: explained; 1: profile problems; 2: nothing is called so."),
}  # fmt: skip


def _control_commands(commands: argparse._SubParsersAction[_Parser]) -> None:
    """Documents under control: approve, issue, changes, register, show, hold."""
    approve = commands.add_parser("approve", help="record who approved which document, bound to the text that was read")
    _site(approve)
    approve.add_argument("--document", required=True, metavar="NAME", type=_words, help="such as fall-protection-plan")
    approve.add_argument(
        "--role",
        required=True,
        metavar="ROLE",
        type=_words,
        help="the part in which the person approves, such as qualified-person or counsel",
    )
    approve.add_argument("--by", required=True, metavar="NAME", type=_words, help="the person who approved")
    approve.add_argument(
        "--scope",
        metavar="LIST",
        type=_words,
        default=None,
        help="comma-separated sections or clause ids, or document; default: what that part approves of the document",
    )
    approve.add_argument("--licence", metavar="NUMBER", type=_words, help="number of the licence (default: the profile's)")
    approve.add_argument("--jurisdiction", metavar="CODE", type=_words, help="where the licence is valid, such as US-KS")
    approve.add_argument("--expires", metavar="DATE", type=_day, help="last day of the licence")
    approve.add_argument(
        "--digest",
        metavar="DIGITS",
        help="the digest printed on the page that was signed: refused if the text is another one today",
    )
    approve.add_argument("--entered-by", metavar="NAME", type=_words, help="who types this in")
    approve.add_argument(
        "--evidence", metavar="FILE", type=Path, help="scan or photo of the signed page; a copy is kept with the record"
    )
    approve.add_argument("--note", metavar="TEXT", type=_words, help="a condition or remark of the one who approved")
    _sign(approve)
    _on(approve, "the day of the approval")
    approve.set_defaults(run=_approve)

    issue = commands.add_parser("issue", help="freeze the next revision of every document whose text is not in force")
    _site(issue)
    issue.add_argument(
        "--document", metavar="NAME", action="append", default=[], help="only this document; may be given more than once"
    )
    issue.add_argument("--reason", metavar="TEXT", type=_words, help="why, for the revision history")
    issue.add_argument("--by", metavar="NAME", type=_words, help="who issues it")
    issue.add_argument(
        "--types", metavar="LIST", default="md,html,docx,pdf", help="comma-separated: md, html, docx, pdf (default: all)"
    )
    _sign(issue)
    _on(issue, "the day of issue")
    issue.set_defaults(run=_issue)

    withdraw = commands.add_parser("withdraw", help="take a revision or an approval out of force; nothing on record is edited")
    _site(withdraw)
    withdraw.add_argument(
        "name", metavar="NAME", type=_words, help="the revision, such as 2 or rev-002, or the approval, such as A-0003"
    )
    withdraw.add_argument(
        "--by", required=True, metavar="NAME", type=_words, help="who withdraws it: somebody whom the profile names"
    )
    withdraw.add_argument("--reason", required=True, metavar="TEXT", type=_words, help="why")
    withdraw.add_argument(
        "--into", metavar="DIR", type=Path, help="write the list of copies to take down and the closure sheets there"
    )
    _sign(withdraw)
    _on(withdraw, "the day of the withdrawal")
    withdraw.set_defaults(run=_withdraw)

    changes = commands.add_parser(
        "changes", help="what changed since an issue, which approvals lapse, whom to tell, what to replace, by when"
    )
    _common(changes)
    changes.add_argument("--since", metavar="REVISION", type=int, help="compare with this revision (default: the newest)")
    changes.add_argument("--to", metavar="REVISION", type=int, help="compare this revision instead of the profile of today")
    changes.add_argument(
        "--into", metavar="DIR", type=Path, help="write the change brief, the posting list and the comparison there as well"
    )
    changes.add_argument(
        "--redline", action="store_true", help="with --into: every changed document as DOCX with tracked changes, and as HTML"
    )
    changes.add_argument("--author", metavar="NAME", type=_words, help="author of the tracked changes (default: docgen)")
    changes.add_argument(
        "--all",
        action="store_true",
        help="print everything: fields, clauses, reasons, approvals that stand (default: what to do)",
    )
    changes.set_defaults(run=_changes)

    _log_command(commands)

    replace = commands.add_parser(
        "replace", help="a part, a person or a vehicle is replaced: new id, old one retired, evidence asked for"
    )
    _site(replace)
    replace.add_argument("id", metavar="ID", type=_words, help="the id of what leaves, such as D-1, tanker, U-03 or RS-2")
    replace.add_argument(
        "--by", required=True, metavar="ID", type=_words, help="the id of what takes its place; it was never used before"
    )
    replace.add_argument("--name", metavar="NAME", type=_words, help="what the new one is called (default: as the old one)")
    replace.add_argument("--reason", metavar="TEXT", type=_words, help="why the old one leaves")
    replace.add_argument("--preview", action="store_true", help="show what would change and write nothing")
    _on(replace, "the day on which the old one leaves")
    replace.set_defaults(run=_replace)

    register = commands.add_parser("register", help="clause register of the notice for counsel, and the list of postings")
    register.add_argument(
        "profiles", metavar="SITE", type=Path, nargs="+", help="site folders that hold profile.yaml, or profile files"
    )
    register.add_argument("--into", metavar="DIR", type=Path, help="folder to write into")
    register.add_argument(
        "--program",
        metavar="VERSION",
        type=_words,
        help="only name the revisions that this version of docgen wrote, and where their papers hang",
    )
    register.add_argument("--format", choices=("text", "json"), default="text", help="how --program prints (default: text)")
    _on(register, "the day to judge by")
    register.set_defaults(run=_register)

    show = commands.add_parser("show", help="gather what was in force on a day in one folder with digests")
    _site(show)
    show.add_argument("--into", required=True, metavar="DIR", type=Path, help="folder in which the new folder is made")
    _on(show, "the day")
    show.set_defaults(run=_show)

    hold = commands.add_parser("hold", help="stop deletion and overwriting of everything on record, or lift that")
    _site(hold)
    hold.add_argument("state", choices=("on", "off"), help="begin or lift the hold")
    hold.add_argument("--by", required=True, metavar="NAME", type=_words, help="who orders it")
    hold.add_argument("--reason", required=True, metavar="TEXT", type=_words, help="why")
    _on(hold, "the day")
    hold.set_defaults(run=_hold)


def _log_command(commands: argparse._SubParsersAction[_Parser]) -> None:
    log = commands.add_parser(
        "log",
        help="enter what happened: inspection, training, drill, call, kit check, posting, event",
        description="Enters what happened into log.yaml, one line an entry, once all of it was checked against the site.",
    )
    _site(log)
    log.add_argument(
        "words",
        metavar="KIND FIELD=VALUE",
        nargs="*",
        type=_words,
        help="what happened, and its fields; without them the kinds are listed, without fields those of the kind",
    )
    log.add_argument("--by", metavar="NAME", type=_words, help="who did it: the person, not the role")
    log.add_argument("--note", metavar="TEXT", type=_words, help="what else is worth keeping")
    log.add_argument("--on", metavar="DATE", type=_day, help="the day on which it happened (default: the day of --as-of)")
    log.add_argument("--corrects", metavar="MARK", type=_words, help="mark or line number of the entry that this one replaces")
    log.add_argument("--reason", metavar="TEXT", type=_words, help="with --corrects: what was wrong with that entry")
    log.add_argument(
        "--from",
        dest="table",
        metavar="FILE",
        type=Path,
        help="a table (CSV): fields in its first line, an entry a line, all or none; with the kind posting also the codes of a walk, one a line: CODE; PLACE; DAY; NAME",
    )
    log.add_argument("--yes", action="store_true", help="with --from: enter them; without it they are only shown")
    log.add_argument("--as-of", metavar="DATE", type=_day, default=None, help="the day on which it is entered (default: today)")
    log.add_argument("--format", choices=("text", "json"), default="text", help="how results are printed (default: text)")
    log.set_defaults(run=_log)


def _site(command: argparse.ArgumentParser) -> None:
    command.add_argument("profile", metavar="SITE", type=Path, help="a site folder that holds profile.yaml, or its profile file")


def _sign(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--sign", metavar="KEY", type=Path, help="sign the record with this SSH private key (ssh-keygen -Y verify checks it)"
    )


def _on(command: argparse.ArgumentParser, what: str) -> None:
    command.set_defaults(day_option="--on")
    command.add_argument(
        "--on", dest="as_of", metavar="DATE", type=_day, default=None, help=f"{what}, as 2026-11-01 (default: today)"
    )


def _common(command: argparse.ArgumentParser) -> None:
    _site(command)
    _day_and_format(command)


def _day_and_format(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--as-of", metavar="DATE", type=_day, default=None, help="the day to judge by, as 2026-11-01 (default: today)"
    )
    command.add_argument("--format", choices=("text", "json"), default="text", help="how results are printed (default: text)")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a day; write it as 2026-11-01") from None


def _span(text: str) -> timedelta:
    number, unit = text[:-1], text[-1:]
    if not (number.isascii() and number.isdigit() and len(number) <= 4 and unit in SPANS):
        raise argparse.ArgumentTypeError(f"'{text}' is no span; write days, weeks or months: 60d, 8w or 2m")
    return timedelta(days=int(number) * SPANS[unit])


def _words(text: str) -> str:
    """A text that is kept in a record or printed: every sign of it can be seen, and none is taken for another."""
    if sign := unseen(text):
        raise argparse.ArgumentTypeError(
            f"sign {text.index(sign) + 1} is U+{ord(sign):04X}, which nobody sees; type the text again"
        )
    if taken := misread(text):
        raise argparse.ArgumentTypeError(f"{taken[1]}; {taken[2]}")
    return text


def _path(text: str) -> Path:
    """A path as it is typed: bytes that are no text may stand in it, a sign that hides or moves what is printed may not."""
    for number, sign in enumerate(text, 1):
        if not "\ud800" <= sign <= "\udfff" and unseen(sign):
            raise argparse.ArgumentTypeError(
                f"sign {number} of the path is U+{ord(sign):04X}, which nobody sees; give the file or folder another name"
            )
    return Path(text)


#: How a value is read -> how it is read once its signs were looked at.
_LOOKED_AT: dict[object, Callable[[str], object]] = {None: _words, Path: _path}


def today() -> date:
    """The day by the clock, which is read here and nowhere else."""
    return date.today()


def _as_of(options: argparse.Namespace) -> date:
    return options.as_of or today()


def _not_ahead(options: argparse.Namespace) -> None:
    """What is approved, issued or withdrawn has happened: never on a day ahead."""
    if options.as_of is not None and options.as_of > (now := today()):
        raise Refusal("day-ahead", on=options.as_of, today=now)


def _checked(options: argparse.Namespace, path: Path | None = None) -> Checked:
    """The site as it is on the day asked for; a day before the law data begin is told as one of the option that gave it."""
    from docgen.checked import Assessed
    from docgen.pipeline import check_site

    checked = check_site(path or options.profile, _as_of(options))
    if options.as_of is not None and isinstance(checked, Assessed) and not checked.code.knows(options.as_of):
        begun = checked.code.begins()
        raise Refusal("day-before-law", on=options.as_of, place=checked.code.code, begun=begun or "-", option=options.day_option)
    return checked


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
    for checked, one in _each(options):
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


def _each(options: argparse.Namespace) -> Iterator[tuple[Checked | None, bool]]:
    """Each site named, or in a folder named, checked, and whether it is the only one; of many, None for one that cannot be read, which is told."""
    from docgen.profile import sites_under

    paths = [site for path in options.profiles for site in sites_under(path)]
    for path in paths:
        try:
            yield _checked(options, path), len(paths) == 1
        except DocgenError as error:
            if len(paths) == 1:
                raise
            _skipped(path, error)
            yield None, False


def _skipped(path: Path, error: DocgenError) -> int:
    """A site that cannot be read is told, and stops no other."""
    print(f"docgen: {path}: {_refused(error) if isinstance(error, Refusal) else error}", file=sys.stderr)
    return WRONG


def _due(options: argparse.Namespace) -> int:
    from docgen.checked import Assessed
    from docgen.due import FORMATS, rows_of
    from docgen.report import REPORTERS

    code, sites = CLEAN, {}
    rows: list[Row] = []
    for checked, _ in _each(options):
        if checked is None:
            code = WRONG
            continue
        if not isinstance(checked, Assessed):
            print(REPORTERS["text"](checked, LANGUAGE), end="", file=sys.stderr)
            code = max(code, FOUND)
            continue
        sites[checked.site.site.id] = checked.site.site.name or checked.site.site.id
        rows += rows_of(checked, options.within, LANGUAGE)
    if options.quiet:
        rows = [r for r in rows if r.state != "coming"]
    day = _as_of(options)
    sys.stdout.write(FORMATS[options.format](rows, sites, day, day + options.within, LANGUAGE))
    return max(code, FOUND if any(r.state != "coming" for r in rows) else CLEAN)


def _demo(options: argparse.Namespace) -> int:
    from docgen.demos import copy_demo, demos

    there = demos()
    if options.name is None:
        for name, what in there.items():
            print(f"{name}: {what}")
        return CLEAN
    if options.name not in there:
        raise UsageError(f"there is no demo '{options.name}'; {near(options.name, there) or 'docgen demo lists them'}")
    folder = copy_demo(options.name, options.into)
    print(f"{folder}: an invented place, to try things on")
    print(f"docgen check {folder} --as-of 2026-11-01 is the day for which it is kept")
    return CLEAN


def _completion(options: argparse.Namespace) -> int:
    import argcomplete

    print(argcomplete.shellcode(["docgen"], shell=options.shell))  # type: ignore[attr-defined]
    return CLEAN


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
        print(f"{options.record}: {'every file is as recorded in ' + SUMS if not wrong else f'{len(wrong)} differ from {SUMS}'}")
    return CLEAN if not wrong else FOUND


def _read_site(options: argparse.Namespace) -> Assessed | None:
    """The site, or None after its problems were printed."""
    from docgen.checked import Assessed

    checked = _checked(options)
    if isinstance(checked, Assessed):
        return checked
    _problems(checked)
    return None


def _problems(refused: Refused) -> int:
    """Print the problems that keep anything from being recorded."""
    from docgen.report import REPORTERS

    sys.stdout.write(REPORTERS["text"](refused, LANGUAGE))
    print("docgen: nothing was recorded; put the problems right first", file=sys.stderr)
    return FOUND


def _listed(text: str, option: str) -> tuple[str, ...]:
    names = tuple(t.strip() for t in text.split(",") if t.strip())
    if not names:
        raise UsageError(f"{option} takes a list separated by commas; got '{text}'")
    return names


def _approve(options: argparse.Namespace) -> int:
    from docgen.control.approve import Request
    from docgen.revisions import approve_site

    _not_ahead(options)
    checked = _read_site(options)
    if checked is None:
        return FOUND
    request = Request(
        options.document, options.role, options.by, checked.as_of, _listed(options.scope, "--scope") if options.scope is not None else None, options.licence, options.jurisdiction,
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

    _not_ahead(options)
    checked = _read_site(options)
    if checked is None:
        return FOUND
    issued, against = issue_site(
        checked,
        options.profile,
        _types(options.types),
        LANGUAGE,
        tuple(options.document),
        options.reason,
        options.by,
        options.sign,
    )
    if issued is None:
        for reason in against:
            print(_refused(reason))
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

    _not_ahead(options)
    checked = _read_site(options)
    if checked is None:
        return FOUND
    taken = withdraw_site(checked, options.profile, options.name, options.by, options.reason, options.sign, today())
    made = taken.withdrawal
    print(f"{made.id}: {made.name} withdrawn by {made.by} on {made.on.isoformat()}: {made.reason}")
    print(f"  recorded in {taken.file}")
    print(f"  digest of this record {taken.digest}")
    if made.what == "revision":
        for place in taken.places:
            print(f"  take down: {_place(place)}")
        if not taken.places:
            print("  the log says of no place that a copy hangs there; look at each")
    if options.into is not None and made.what == "revision":
        for written in withdrawn_papers(options.profile, taken, options.into, possible(("html", "docx", "pdf")), LANGUAGE):
            for line in (*written.files, *(f"note: {n}" for n in _noted(written))):
                print(line)
    return CLEAN


def _place(place: Place) -> str:
    which = f"revision {place.revision}" if place.revision is not None else "which revision is not recorded"
    return f"{place.id}, {place.place}: {place.document} ({place.language}), {which}"


def _changes(options: argparse.Namespace) -> int:
    from docgen.control.tell import FORMATS
    from docgen.revisions import compare_site, papers_of
    from docgen.write.folder import place_papers, possible

    if options.redline and options.into is None:
        raise UsageError("--redline writes files: give --into DIR as well")
    checked = _read_site(options)
    if checked is None:
        return FOUND
    changes = compare_site(checked, options.since, options.to)
    sys.stdout.write(FORMATS["all" if options.all and options.format == "text" else options.format](changes, LANGUAGE))
    if options.format == "text" and not options.all and not changes.none:
        print(f"docgen changes {options.profile} --all lists them")
    if options.into is not None:
        papers = papers_of(checked, changes, possible(("docx", "pdf")), options.redline, options.author, LANGUAGE)
        written = place_papers(options.into / checked.site.site.id / "changes", papers, checked.happened.held is not None)
        for line in (*written.files, *(f"note: {n}" for n in _noted(written))):
            print(line, file=sys.stderr if options.format == "json" else sys.stdout)
    return CLEAN


def _replace(options: argparse.Namespace) -> int:
    from docgen.control.say import control_words
    from docgen.revisions import replace_in_site

    checked = _read_site(options)
    if checked is None:
        return FOUND
    made = replace_in_site(checked, options.profile, options.id, options.by, options.name, options.reason, options.preview)
    words = control_words(LANGUAGE)["replaced"]
    sys.stdout.write(made.difference)
    print(words["preview" if options.preview else "done"].format(old=options.id, new=options.by, file=made.file))
    print(words["asked"].format(new=options.by, n=len(made.asked)))
    for line in words["due"][made.of]:
        print(f"  - {line}")
    if lines := made.still_named(options.id):
        print(words["named"].format(old=options.id, lines=", ".join(map(str, lines))))
    print(f"docgen check {options.profile} --as-of {checked.as_of} lists what is missing, and docgen changes what follows")
    return CLEAN


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
        checked = _read_site(options)
        if checked is None:
            code = FOUND
            continue
        papers = register_papers(checked, possible(("html", "docx", "pdf")), LANGUAGE)
        written = place_papers(options.into / checked.site.site.id / "register", papers, checked.happened.held is not None)
        for line in (*written.files, *(f"note: {n}" for n in _noted(written))):
            print(line)
    return code


def _written_by(options: argparse.Namespace) -> int:
    """What a version of the program wrote at each site; a site that cannot be read stops no other."""
    import json

    from docgen.revisions import written_by

    rows, code = [], CLEAN
    for profile in options.profiles:
        try:
            found = written_by(profile, options.program, _as_of(options))
        except DocgenError as error:
            code = _skipped(profile, error)
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
            print(f"  hangs: {_place(place)}")
    print(f"{len(rows)} revision{'s' if len(rows) != 1 else ''} written by docgen {options.program}")
    return code


def _show(options: argparse.Namespace) -> int:
    from docgen.control.digests import SUMS
    from docgen.records import sha256
    from docgen.revisions import show_site

    checked = _read_site(options)
    if checked is None:
        return FOUND
    folder = show_site(options.profile, checked.as_of, options.into, LANGUAGE)
    print(f"{folder}: open contents.md or index.html first")
    print(f"digest of the list of digests: {sha256((folder / SUMS).read_bytes())}")
    return CLEAN


def _hold(options: argparse.Namespace) -> int:
    from docgen.revisions import hold_site

    _not_ahead(options)
    checked = _read_site(options)
    if checked is None:
        return FOUND
    entry = hold_site(checked, options.profile, options.state, options.by, options.reason)
    print(f"{entry}: hold {options.state} since {checked.as_of.isoformat()} by {options.by}")
    return CLEAN


def _log(options: argparse.Namespace) -> int:
    from docgen.checked import Refused
    from docgen.control.log import given_here
    from docgen.profile import read_site
    from docgen.revisions import log_site

    kind, fields = _kind_and_fields(options.words)
    if options.table is None and (kind is None or not (fields or options.by or options.corrects)):
        return _log_help(kind)
    if options.table is not None and options.corrects is not None:
        raise UsageError("--corrects goes with one entry; a row of a table takes one back by the kind correction")
    if (options.corrects is None) != (options.reason is None):
        raise UsageError("--corrects and --reason go together: which entry is replaced, and what was wrong with it")
    if options.yes and options.table is None:
        raise UsageError("--yes goes with --from: one entry is written at once")
    if options.as_of is not None and options.as_of > today():
        raise Refusal("log-entered-ahead", on=options.as_of, today=today())
    day = _as_of(options)
    profile = read_site(options.profile)
    if profile.problems:
        return _problems(Refused(profile.source, day, profile.problems))
    on = options.on or (day if options.table is None else None)
    common = {"on": on.isoformat() if on else None, "by": options.by, "note": options.note}
    shared = {name: text for name, text in common.items() if text is not None and name not in dict(fields)}
    if options.table is not None:
        given, faults = _given(options, profile, kind, {**shared, **dict(fields)}, day)
    else:
        given, faults = [given_here(kind or "", [*fields, *shared.items()], f"docgen log {kind}")], []
    prepared = log_site(profile, given if not faults else (), day, options.corrects, options.reason)
    faults = [*faults, *prepared.faults]
    preview = options.table is not None and not options.yes
    moved = [] if faults or preview else _entered(prepared, options.profile, day)
    wrong = [(f.place, _refused(f.why)) for f in faults]
    _tell_log(options.format, str(prepared.target), () if wrong else prepared.lines, wrong, preview, moved)
    return FOUND if wrong else CLEAN


def _given(
    options: argparse.Namespace, profile: Profile, kind: str | None, common: dict[str, str], day: date
) -> tuple[list[Given], list[Fault]]:
    """The entries of a file: rows of a table, or the scans of a walk, which are of the day of entering where nothing else is said."""
    from docgen.control.log import tabled
    from docgen.control.scans import KIND
    from docgen.revisions import scans_of

    if kind == KIND:
        scans = scans_of(profile, options.table, {"on": day.isoformat(), **common})
        if scans is not None:
            return scans
    return tabled(options.table, kind, common)


def _entered(prepared: Prepared, path: Path, today: date) -> list[str]:
    """Write the entries; what they changed for the bays: each whose state is another, in the words of check."""
    from docgen.checked import Assessed
    from docgen.control.log import write
    from docgen.pipeline import check_site
    from docgen.report import bay_lines

    before = check_site(path, today)
    write(prepared)
    after = check_site(path, today)
    if not (isinstance(before, Assessed) and isinstance(after, Assessed)):
        return []
    was = {b.bay: (b.state, b.reasons) for b in before.assessed.bays}
    bays = tuple(b for b in after.assessed.bays if was.get(b.bay) != (b.state, b.reasons))
    return list(bay_lines(bays, LANGUAGE, after.code.spelling))


def _kind_and_fields(given: list[str]) -> tuple[str | None, list[tuple[str, str]]]:
    """The kind, which has no equals sign, and the fields with their words."""
    kinds = [word for word in given if "=" not in word]
    if len(kinds) > 1:
        raise UsageError(f"'{kinds[1]}' is no FIELD=VALUE; put a value of several words in quotation marks: note=\"two words\"")
    fields = [(name.strip(), text.strip()) for name, _, text in (word.partition("=") for word in given if "=" in word)]
    return (kinds[0] if kinds else None), fields


def _log_help(kind: str | None) -> int:
    """The kinds of entry, or the fields of one, as the schema says them."""
    from docgen.control.log import fields_of, kinds_of
    from docgen.errors import Refusal

    if kind is None:
        for name, what in kinds_of():
            print(f"{name}: {what}")
        raise UsageError(
            "say what happened: docgen log SITE KIND FIELD=VALUE ...; docgen log SITE KIND lists the fields of a kind"
        )
    try:
        told = fields_of(kind)
    except Refusal as refusal:
        raise UsageError(_refused(refusal)) from None
    for name, needed, what in told:
        print(f"{name}{'' if needed else ' (may be left out)'}: {what}")
    raise UsageError("say what happened: FIELD=VALUE for each field above; by, on and note are options too (--by, --on, --note)")


def _tell_log(
    form: str, file: str, lines: tuple[str, ...], wrong: list[tuple[str, str]], preview: bool, moved: list[str]
) -> None:
    import json

    written = not wrong and not preview
    if form == "json":
        problems = [{"place": place, "message": text} for place, text in wrong]
        print(
            json.dumps(
                {
                    "schema_version": 1,
                    "log": file,
                    "written": written,
                    "entries": list(lines),
                    "problems": problems,
                    "bays": moved,
                },
                indent=2,
                ensure_ascii=False,
            )
        )
        return
    for place, text in wrong:
        print(f"{place}: {text}")
    for line in lines:
        print(line)
    count = len(wrong or lines)
    many = "entry" if count == 1 else "entries"
    if wrong:
        print(f"nothing was entered: {count} {'thing' if count == 1 else 'things'} to put right")
    elif preview:
        print(f"{count} {many} for {file}; nothing is entered yet: give --yes")
    else:
        print(f"{count} {many} in {file}")
    for line in moved:
        print(line)


def colours(options: argparse.Namespace) -> bool:
    """Colour is for a terminal only, and not where --no-color or NO_COLOR says so (no-color.org) or the terminal has none."""
    return not options.no_color and sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _findings(text: str) -> tuple[str, ...]:
    from docgen.findings import RULES

    known = [rule.name for rule in RULES]
    wanted = tuple(t.strip() for t in text.split(",") if t.strip())
    for name in wanted:
        if name not in known:
            raise UsageError(f"there is no finding '{name}'; {near(name, known) or 'docgen explain findings lists them'}")
    return wanted


def _explain(options: argparse.Namespace) -> int:
    from docgen.checked import Refused
    from docgen.explain import explain
    from docgen.report import REPORTERS

    assessed = None
    if options.profile is not None:
        checked = _checked(options)
        if isinstance(checked, Refused):
            sys.stdout.write(REPORTERS["text"](checked, LANGUAGE))
            return FOUND
        assessed = checked
    elif options.case is not None:
        raise UsageError("--case needs a profile: docgen explain clearance PROFILE --case CASE")
    if options.review and options.name != "codes":
        raise UsageError("--review goes with codes: docgen explain codes --review")
    sys.stdout.write(explain(options.name, assessed, options.case, _as_of(options), review=options.review))
    return CLEAN


def _types(text: str) -> tuple[str, ...]:
    from docgen.write.folder import TYPES

    wanted = [t.strip() for t in text.split(",") if t.strip()]
    unknown = [t for t in wanted if t not in TYPES]
    if unknown or not wanted:
        raise UsageError(f"--types takes a list out of {', '.join(TYPES)}; got '{text}'")
    return tuple(t for t in TYPES if t in wanted)


def _documents(text: str, everything: bool) -> tuple[str, ...]:
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


def _render(options: argparse.Namespace) -> int:
    import json

    from docgen.checked import Refused
    from docgen.pipeline import compared_site, render_site, stated
    from docgen.profile import site_folder
    from docgen.report import REPORTERS, unprinted_lines
    from docgen.words import finding_text

    types = _types(options.types)
    checked = _checked(options)
    if isinstance(checked, Refused):
        sys.stdout.write(REPORTERS[options.format](checked, LANGUAGE))
        print("docgen: nothing was written; put the problems right first", file=sys.stderr)
        return FOUND
    wanted = _documents(options.documents, options.all)
    into = options.into or site_folder(options.profile).resolve().parent / "papers"
    checked, bodies = compared_site(checked, wanted)
    written = render_site(checked, into, types, wanted, bodies)
    must = sum(1 for f in checked.assessed.findings if f.severity == "must-fix")
    if options.format == "json":
        names = [str(p.relative_to(into)) for p in written.files]
        print(json.dumps({"folder": written.folder.name, "files": names, "notes": _noted(written), "must_fix": must}, indent=2))
    else:
        for path in () if options.quiet else written.files:
            print(path)
        for note in (
            *_noted(written),
            *(unprinted_lines(stated(checked, bodies, written.documents), LANGUAGE) if not wanted else ()),
        ):
            print(f"note: {note}")
        for contradiction in (f for f in checked.assessed.findings if f.name == "documents-contradict"):
            print(f"{contradiction.name}: {finding_text(contradiction, 'message', LANGUAGE, checked.assessed.system)}")
        if must:
            print(f"{must} must-fix finding{'s' if must != 1 else ''}: run docgen check {options.profile} to read them")
    return CLEAN if not must else FOUND


if __name__ == "__main__":
    sys.exit(main())
