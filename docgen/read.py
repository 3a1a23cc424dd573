"""Reads a YAML file strictly: every mistake in it is a problem with its line, and nothing is silently changed.

The YAML parser's events drive a stack of our own, so depth costs no recursion and an alias is never expanded. Plain
text resolves to true, false, null and decimal numbers only; what YAML versions and people read differently (yes,
6:30, 0755, 1e3) is refused.
"""

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple, Protocol

import yaml

from docgen.errors import ProfileUnreadable
from docgen.frozen import frozen
from docgen.signs import UNSEEN, misread
from docgen.slips import BLANKS, CLOSING, OPENING, as_entry, curly, kind_of_file, quoted

__all__ = [
    "MAX_PROBLEMS",
    "QUICKEST_LOADER",
    "Mark",
    "Mend",
    "Problem",
    "Source",
    "join",
    "left_out",
    "read_profile",
    "read_text",
]

MAX_BYTES = 1_048_576
MAX_DEPTH = 40
MAX_NODES = 100_000
MAX_PROBLEMS = 100
_ONE_SITE = "keep one site in a file, and pictures and reports outside it"

QUICKEST_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """A mistake in a file: place (from 1), `path` such as `bays[0].rail.height`, what is wrong, what would be right."""

    file: str
    line: int
    column: int
    path: str
    message: str
    hint: str


class Mark(NamedTuple):
    """Where a value begins and where its key begins (an entry of a list: the value twice); all from 1.

    `file` is another file than the source's own, from which the value was taken over.
    """

    line: int
    column: int
    key_line: int
    key_column: int
    file: str = ""


class Mend(NamedTuple):
    """A slip of form for which nothing else can have been meant: line, the columns from and up to which it stands (from 1), and what should stand there."""

    line: int
    begin: int
    end: int
    right: str


@frozen
class Source:
    """A file as read. `data` is None when it is no mapping at all; it is only fit for use when `problems` is empty.

    `mends` are those of the problems that are a matter of form alone.
    `flat` gives the text of all that holds where something was taken over from another file, `beside` is the text of that file, `client` whose site
    it is there; None and empty where nothing was.
    """

    file: str
    text: str
    data: dict[str, Any] | None
    marks: Mapping[str, Mark]
    problems: tuple[Problem, ...]
    mends: tuple[Mend, ...] = ()
    flat: Callable[[], str] | None = field(default=None, compare=False)
    beside: str = ""
    client: str = ""

    @property
    def whole(self) -> str:
        """The text that says all by itself: what is put on record."""
        return self.text if self.flat is None else self.flat()

    def file_of(self, mark: Mark) -> str:
        """The file in which a mark is."""
        return mark.file or self.file


def join(path: str, step: str | int) -> str:
    """Path of a key or a list index (from 0) below `path`; the root is "".

    >>> join(join(join("", "bays"), 0), "rail")
    'bays[0].rail'
    """
    if isinstance(step, int):
        return f"{path}[{step}]"
    if not (step.isidentifier() or _SIMPLE_KEY.fullmatch(step)) or len(step) > 40:
        return f"{path}['{_short(step)}']"
    return f"{path}.{step}" if path else step


_SIMPLE_KEY = re.compile(r"[\w-]+")


#: How a profile begins; other files that are read in the same way say their own beginning.
FIRST = "'site:' and below it 'name: ...'"


def read_profile(path: Path, first: str = FIRST) -> Source:
    """Read a profile file, or `profile.yaml` in a folder; `first` is how the file begins, for whoever has written nothing in it. Raises ProfileUnreadable when it cannot be opened at all."""
    path = Path(path)
    try:
        if path.is_dir():
            path = path / "profile.yaml"
        shown = str(path).encode("utf-8", "backslashreplace").decode("utf-8")
        if not path.exists():
            raise ProfileUnreadable(f"{shown}: no such file; give a profile file, or a folder that holds profile.yaml")
        if not path.is_file():
            raise ProfileUnreadable(f"{shown}: not a file; give a profile file, or a folder that holds profile.yaml")
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except PermissionError as error:
        raise ProfileUnreadable(f"{path}: may not be read; give this user the right to read it") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ProfileUnreadable(f"{path}: cannot be opened ({reason}); give a profile file that can be read") from error
    if len(raw) > MAX_BYTES:
        return _stopped(shown, Problem(shown, 1, 1, "", "the file is larger than 1 MiB", _ONE_SITE))
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        if kind := kind_of_file(raw) or ("no plain text" if b"\0" in raw else ""):
            return _stopped(shown, _other_file(shown, kind, first))
        before = raw[: error.start].decode("utf-8", "replace")
        line, column = _place(before, len(before))
        return _stopped(shown, Problem(shown, line, column, "", "this is not UTF-8 text", "save the file as UTF-8"))
    if kind := kind_of_file(raw[:200]):  # a form of text that is no YAML
        return _stopped(shown, _other_file(shown, kind, first))
    return read_text(text, shown, first)


def _other_file(file: str, kind: str, first: str) -> Problem:
    hint = "give the site's profile: a plain text in YAML, as each demo has one"
    if kind.startswith("text in "):
        return Problem(file, 1, 1, "", f"this is {kind}, not in UTF-8", "save the file as UTF-8")
    if first != FIRST:
        return Problem(file, 1, 1, "", f"this is {kind}, and no text in YAML", f"give a plain text that begins with {first}")
    return Problem(file, 1, 1, "", f"this is {kind}, and no profile", hint)


def left_out(path: Path, near: re.Pattern[str]) -> Problem | None:
    """What is wrong where a file that may be left out is not there: something else has its name, or a file has a name like it."""
    shown = str(path).encode("utf-8", "backslashreplace").decode("utf-8")
    if os.path.lexists(path):
        return Problem(shown, 1, 1, "", "this is no file that can be read", f"put a file {path.name} here, or take this away")
    try:
        other = next((name for name in sorted(os.listdir(path.parent)) if near.fullmatch(name)), None)
    except OSError:
        return None
    if other is None:
        return None
    return Problem(
        shown, 1, 1, "", f"there is '{_short(other)}' here, which is not read", f"call it {path.name}, or take it away"
    )


def read_text(text: str, file: str = "profile.yaml", first: str = FIRST) -> Source:
    """Read YAML text as `read_profile` does; `file` is the name that problems carry."""
    text = text.removeprefix("\ufeff")
    if len(text) > MAX_BYTES:
        return _stopped(file, Problem(file, 1, 1, "", "the file is larger than 1 MiB", _ONE_SITE))
    if "\0" in text:
        line, column = _place(text, text.index("\0"))
        kind = kind_of_file(text.encode("utf-8", "surrogatepass"))
        if kind:
            return _stopped(file, _other_file(file, kind, first))
        return _stopped(
            file, Problem(file, line, column, "", "this is not a text file", f"give a text in YAML that begins with {first}")
        )
    return _Reading(file, text, first).source()


def _stopped(file: str, problem: Problem) -> Source:
    return Source(file=file, text="", data=None, marks={}, problems=(problem,))


_BREAK = re.compile(r"\r\n|\r|\n")


def _row_of(text: str, line: int) -> str:
    """A line of a text, from 1."""
    rows = _BREAK.split(text)
    return rows[line - 1] if line <= len(rows) else ""


def _place(text: str, index: int) -> tuple[int, int]:
    """Line and column, from 1, of a character."""
    line, begin = 1, 0
    for match in _BREAK.finditer(text, 0, index):
        line, begin = line + 1, match.end()
    return line, index - begin + 1


#: Blanks that are none for YAML, where they are meant as some: at the beginning of a line, and between a key there and its value.
_STRANGE_BLANK = re.compile(
    f"(?m)^[ \\t]*[{BLANKS}][ \\t{BLANKS}]*(?=[^\\s#])|^([ ]*(?:- +)*[\\w.-]+)(:)[ ]*[{BLANKS}][ {BLANKS}]*"
)
_ANY_BLANK = re.compile(f"[{BLANKS}]")
_UNSEEN_RAW = re.compile(f"[{UNSEEN}]")
_UNSEEN_VALUE = re.compile(f"[{UNSEEN}\0\t\n\r]")
_UNSEEN_BLOCK = re.compile(f"[{UNSEEN}\0\t\r]")


@dataclass(slots=True)
class _Frame:
    """A mapping or list being filled. A dead one lies below a key that was refused, and reports nothing."""

    value: dict[str, Any] | list[Any]
    path: str
    dead: bool
    key: str | None = None
    key_line: int = 0
    key_column: int = 0
    key_end: tuple[int, int] = (0, 0)
    refused: bool = False  # the next value belongs to a key that was refused
    wants_value: bool = False
    lines: dict[str, int] = field(default_factory=dict)


_WRITE_OUT = "write the value out each time"
_TOO_DEEP = "look for a bracket or an indentation that is never closed"
_PLAIN = "write the plain value; quote it if it is text"


class _Mark(Protocol):
    """Where something begins or ends, counted from 0."""

    @property
    def line(self) -> int: ...
    @property
    def column(self) -> int: ...


class _Place(NamedTuple):
    """A mark of our own."""

    line: int
    column: int


class _Event(Protocol):
    """What is used of the parser's events; each kind has those that its method asks for."""

    start_mark: _Mark
    end_mark: _Mark
    anchor: str | None
    tag: str | None
    tags: Mapping[str, str] | None
    version: tuple[int, int] | None
    value: str
    style: str | None


class _Stop(Exception):
    """The rest of the file cannot be read in a way that helps."""


class _Reading:
    """One pass over the events of one text."""

    def __init__(self, file: str, text: str, first: str) -> None:
        self.file, self.text, self.first = file, text, first
        self.root: object = None
        self.marks: dict[str, Mark] = {}
        self.problems: list[Problem] = []
        self.stack: list[_Frame] = []
        self.nodes = 0
        self.mends: list[Mend] = []
        self.rows: list[str] | None = None
        self.commented: set[int] = set()  # lines on which a # has cut off the end of a bracket or brace
        self.cut: tuple[int, int] = (-1, 0)  # line and column up to which a text in curly marks goes, which YAML has cut

    def source(self) -> Source:
        try:
            self._events(self._screened())
        except _Stop:
            self.root = None
        except yaml.YAMLError as error:
            self.root = None
            self._not_yaml(error)
        data = self.root if isinstance(self.root, dict) else None
        return Source(self.file, self.text, data, self.marks, tuple(sorted(self.problems)), tuple(self.mends))

    def _keep(self, line: int, column: int, path: str, message: str, hint: str) -> None:
        self.problems.append(Problem(self.file, line, column, path, message, hint))

    def _report(self, mark: _Mark, path: str, message: str, hint: str) -> None:
        """Keep a problem; after the hundredth, say so and stop."""
        self._keep(mark.line + 1, mark.column + 1, path, message, hint)
        if len(self.problems) >= MAX_PROBLEMS:
            self._too_many(mark.line + 1, mark.column + 1)

    def _too_many(self, line: int, column: int) -> None:
        hint = "put these right first, then check again"
        self._keep(line, column, "", f"{MAX_PROBLEMS} problems found so far; reading stops here", hint)
        raise _Stop

    def _screened(self) -> str:
        """The text with unseen characters replaced by a visible one, each reported where it stands."""
        begin, line, at = 0, 1, 0
        for match in _UNSEEN_RAW.finditer(self.text):
            for newline in _BREAK.finditer(self.text, at, match.start()):
                line, begin = line + 1, newline.end()
            at, column = match.start(), match.start() - begin + 1
            self._keep(line, column, "", f"unseen character U+{ord(match[0]):04X}", "delete it, or type the text again")
            if len(self.problems) >= MAX_PROBLEMS:
                self._too_many(line, column)
        text = _UNSEEN_RAW.sub("\N{REPLACEMENT CHARACTER}", self.text) if self.problems else self.text
        return text if text.isascii() else _STRANGE_BLANK.sub(self._plain_blanks, text)

    def _plain_blanks(self, match: re.Match[str]) -> str:
        """Blanks of another kind where a line begins or behind its key: told once a line, and read as those that were meant."""
        sign = next(iter(_ANY_BLANK.findall(match[0])))
        line, column = _place(self.text, match.start() + match[0].index(sign))
        row = " ".join(_row_of(self.text, line).split())
        where = "where the line begins" if column <= len(match[0]) and match[2] is None else "behind the colon"
        message = f"a space that YAML does not read as one (U+{ord(sign):04X}) stands {where}"
        self._keep(line, column, "", message, f"type it with the space bar; the line reads  {_short(row)}")
        if len(self.problems) >= MAX_PROBLEMS:
            self._too_many(line, column)
        plain = _ANY_BLANK.sub(" ", match[0])
        self.mends.append(
            Mend(
                line,
                match.start() - self.text.rfind("\n", 0, match.start()),
                match.end() - self.text.rfind("\n", 0, match.start()),
                plain,
            )
        )
        return plain

    def _mend(self, mark: _Mark, length: int, right: str) -> None:
        self.mends.append(Mend(mark.line + 1, mark.column + 1, mark.column + 1 + length, right))

    def _events(self, text: str) -> None:
        loader = QUICKEST_LOADER(text)
        documents = 0
        try:
            while (event := loader.get_event()) is not None:
                kind = type(event)
                if kind is yaml.ScalarEvent:
                    self._scalar(event)
                elif kind is yaml.MappingStartEvent:
                    self._open(event, {})
                elif kind is yaml.SequenceStartEvent:
                    self._open(event, [])
                elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                    self.stack.pop()
                elif kind is yaml.AliasEvent:
                    self._alias(event)
                elif kind is yaml.DocumentStartEvent:
                    documents += 1
                    self._document(event, documents)
                elif kind is yaml.StreamEndEvent:
                    break
        finally:
            loader.dispose()
        if not isinstance(self.root, dict) and not self.problems:
            message = "the file is empty" if self.nodes == 0 else "the file is not a set of keys"
            self._keep(1, 1, "", message, f"begin with a key and its value, such as {self.first}")

    def _document(self, event: _Event, number: int) -> None:
        if number > 1:
            self._report(event.start_mark, "", "a second document begins here", "keep one site in a file; remove ---")
            raise _Stop
        if event.tags or event.version:
            self._report(event.start_mark, "", "the file begins with a % line", "remove the line; it is not needed")

    def _count(self, event: _Event) -> None:
        self.nodes += 1
        if self.nodes > MAX_NODES:
            self._report(event.start_mark, "", f"the file holds more than {MAX_NODES:,} values", _ONE_SITE)
            raise _Stop

    def _slot(self) -> tuple[str, bool]:
        """Path of the value that comes next, and whether it is dead."""
        if not self.stack:
            return "", False
        frame = self.stack[-1]
        if isinstance(frame.value, list):
            return join(frame.path, len(frame.value)), frame.dead
        return join(frame.path, "?" if frame.key is None else frame.key), frame.dead or frame.refused

    def _put(self, value: object, mark: _Mark, path: str, dead: bool) -> None:
        """Put a finished or opened value into the frame on top."""
        line, column = mark.line + 1, mark.column + 1
        if not self.stack:
            self.root = value
            self.marks[""] = Mark(line, column, line, column)
            return
        frame = self.stack[-1]
        if isinstance(frame.value, list):
            frame.value.append(value)
            key_line, key_column = line, column
        else:
            if not frame.refused and frame.key is not None:
                frame.value[frame.key] = value
            key_line, key_column = frame.key_line, frame.key_column
            frame.wants_value = frame.refused = False
        if not dead:
            self.marks[path] = Mark(line, column, key_line, key_column)

    def _decoration(self, event: _Event, path: str) -> None:
        """Report an anchor or a tag on a value."""
        if event.anchor is not None:
            self._report(event.start_mark, path, f"the anchor &{event.anchor} is not allowed", _WRITE_OUT)
        elif event.tag is not None:
            self._report(event.start_mark, path, "a tag (!) is not allowed", _PLAIN)

    def _is_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].value, dict) and not self.stack[-1].wants_value

    def _open(self, event: _Event, value: dict[str, Any] | list[Any]) -> None:
        self._count(event)
        if len(self.stack) >= MAX_DEPTH:
            self._report(event.start_mark, "", f"values are nested more than {MAX_DEPTH} deep", _TOO_DEEP)
            raise _Stop
        if self._is_key():
            # The group that stands as a key is read as a dead frame; then the value of the refused key follows.
            frame = self.stack[-1]
            self._refuse_key(frame, event.start_mark, "a key must be plain text", "write a word followed by a colon")
            self.stack.append(_Frame(value, frame.path, dead=True))
            return
        path, dead = self._slot()
        if not dead:
            self._decoration(event, path)
        self._put(value, event.start_mark, path, dead)
        self.stack.append(_Frame(value, path, dead))

    def _alias(self, event: _Event) -> None:
        self._count(event)
        if self._is_key():
            frame = self.stack[-1]
            self._refuse_key(frame, event.start_mark, f"the alias *{event.anchor} is not allowed", "write the key out")
            return
        path, dead = self._slot()
        if not dead:
            self._report(event.start_mark, path, f"the alias *{event.anchor} is not allowed", _WRITE_OUT)
        self._put(None, event.start_mark, path, dead)

    def _refuse_key(self, frame: _Frame, mark: _Mark, message: str, hint: str, key: str | None = None) -> None:
        frame.wants_value = frame.refused = True
        frame.key = None
        frame.key_line, frame.key_column = mark.line + 1, mark.column + 1
        if not frame.dead:
            self._report(mark, frame.path if key is None else join(frame.path, key), message, hint)

    def _scalar(self, event: _Event) -> None:
        self._count(event)
        plain = event.style not in ("'", '"', "|", ">")
        if self._is_key():
            self._key(event, plain)
            return
        path, dead = self._slot()
        if dead:
            self._put(None, event.start_mark, path, dead)
            return
        before = len(self.problems)
        self._decoration(event, path)
        value: object = event.value
        mark = event.start_mark
        if plain and len(self.problems) == before:
            if value == "":
                mark = self._nothing(event, path)
            elif slip := self._slip(event, path):
                self._report(mark, path, *slip)
            else:
                value, wrong = _resolve(event.value)
                if wrong:
                    self._report(mark, path, *wrong)
        if isinstance(value, str) and not (value.isascii() and value.isprintable()) and len(self.problems) == before:
            unseen = _UNSEEN_BLOCK if event.style in ("|", ">") else _UNSEEN_VALUE
            if match := unseen.search(value):
                told, hint = _unseen(match[0])
                if match[0] == "\t" and event.style not in ("|", ">") and not unseen.search(value.replace("\t", " ")):
                    hint = f"write it as  {as_entry(path, self._again(' '.join(value.split())))}"
                    if plain and self._from(mark).startswith(value):
                        self._mend(mark, len(value), " ".join(value.split()))
                self._report(mark, path, told, hint)
            elif taken := misread(value):
                self._report(self._place_of(value[taken[0]], mark), path, *taken[1:])
        self._put(value, mark, path, dead)

    def _slip(self, event: _Event, path: str) -> tuple[str, str] | None:
        """Cause, and the line as it should stand, where a plain value was begun or cut by a sign of a word processor or by a #."""
        value, mark = event.value, event.start_mark
        rest = self._from(mark)
        if value[0] in OPENING:
            within = curly(value)
            whole = self._until_closed(rest, value) if within is None else within
            if whole is not None:
                self.cut = (mark.line, mark.column + (len(whole) + 2 if within is None else len(value)))
                self._mend(mark, len(whole) + 2, quoted(whole))
                message = f"the signs {value[0]} and {rest[len(whole) + 1]} are no quotation marks for YAML"
                return message, f"write it as  {as_entry(path, quoted(whole))}"
        if rest.startswith(value) and (match := _CUT.match(rest, len(value))):
            whole = rest[: match.end()].strip()
            begun = self._from(_Place(mark.line, 0))[: mark.column]
            if begun.count("{") + begun.count("[") > begun.count("}") + begun.count("]"):
                whole = re.split(r"[,}\]]", whole)[0].strip()
                self.commented.add(mark.line)
            right = as_entry(path, quoted(whole))
            return f"what stands behind the # of '{_short(whole)}' is a comment and no part of the value", (
                f"write it as  {right}  or, if it is a comment, put a space behind the #"
            )
        return None

    @staticmethod
    def _again(text: str) -> str:
        """A text on one line, in quotation marks where it would be read otherwise without."""
        plain = _resolve(text) == (text, None) and not re.search(r": |:$| #|^[\s\"'{}\[\]&*!|>%@`,?#-]|[,\[\]{}]", text)
        return text if plain else quoted(text)

    def _until_closed(self, rest: str, value: str) -> str | None:
        """What stands between curly marks in a line, where a comma or a colon has ended the value before the second of them."""
        at = next((i for i, sign in enumerate(rest) if i > 0 and sign in OPENING[rest[0]]), None)
        if at is None or at < len(value.rstrip()) or not rest.startswith(value):
            return None
        return rest[1:at]

    def _from(self, mark: _Mark) -> str:
        """The line of the text from a place on."""
        if self.rows is None:
            self.rows = _BREAK.split(self.text)
        return self.rows[mark.line][mark.column :] if mark.line < len(self.rows) else ""

    def _decimal_comma(self, frame: _Frame, mark: _Mark, key: str) -> bool:
        """Whether a key in braces is the rest of a figure with a comma, such as 24,5 ft; the figure before it is told then."""
        before = next(reversed(frame.value), None) if isinstance(frame.value, dict) else None
        match = _REST.fullmatch(key)
        if before is None or match is None or not isinstance(frame.value, dict):
            return False
        row = self._from(_Place(mark.line, 0))
        figure = re.search(r"(-?[0-9]+),$", row[: mark.column])
        path = join(frame.path, before)
        if figure is None or str(frame.value[before]) != figure[1] or path not in self.marks:
            return False
        where, unit = self.marks[path], match[2] and f" {match[2]}"
        if len(match[1]) == 3 and figure[1].lstrip("-") != "0":
            right = f"{as_entry(path, figure[1] + match[1] + unit)}  or  {as_entry(path, figure[1] + '.' + match[1] + unit)}"
        else:
            right = as_entry(path, f"{figure[1]}.{match[1]}{unit or ' ft'}")
            if unit:
                begin = mark.column - len(figure[0])
                self._mend(_Place(mark.line, begin), len(figure[0]) + len(key), f"{figure[1]}.{match[1]}{unit}")
        message = f"{figure[1]},{key} has a comma inside the number"
        self._report(_Place(where.line - 1, where.column - 1), path, message, f"write it as  {right}")
        return True

    def _place_of(self, sign: str, begin: _Mark) -> _Mark:
        """Where a sign of a value stands in the text; where the value begins if it is written in another way there."""
        at = begin.column
        for line, row in enumerate(_BREAK.split(self.text)[begin.line :], begin.line):
            if (column := row.find(sign, at)) >= 0:
                return _Place(line, column)
            at = 0
        return begin

    def _nothing(self, event: _Event, path: str) -> _Mark:
        """Report a key or an entry without a value; gives the mark to use."""
        mark = event.start_mark
        if not self.stack:
            self._report(mark, path, "the file is empty", "begin with a key and its value")
            return mark
        frame = self.stack[-1]
        if isinstance(frame.value, list):
            self._report(mark, path, "this entry of the list is empty", "write a value or take the entry out")
            return mark
        at = _Place(frame.key_line - 1, frame.key_column - 1)
        if self.cut[0] == at.line and at.column < self.cut[1]:  # the rest of a text in curly marks, which was told
            frame.refused = True
            return at
        if (mark.line, mark.column) == frame.key_end and self._decimal_comma(frame, at, frame.key or ""):
            frame.refused = True
            return at
        if (mark.line, mark.column) == frame.key_end:  # no colon: in braces, often the rest of a text after its comma
            hint = self._with_comma(frame) or "put text that holds a comma in quotes, or write a colon and a value"
        elif "".join(_BREAK.split(self.text)[mark.line : mark.line + 1])[mark.column :].lstrip(": ").startswith("#"):
            hint = "what begins with # is a comment: put such a value in quotes, or write another"
        else:
            hint = "write a value or leave the key out"
        mark = _Place(frame.key_line - 1, frame.key_column - 1)
        self._report(mark, path, f"'{_short(frame.key or '')}' has no value", hint)
        return mark

    def _with_comma(self, frame: _Frame) -> str:
        """The entry as it should stand where text in braces was cut at its comma; empty where that cannot be told."""
        last = next(reversed(frame.value), None) if isinstance(frame.value, dict) else None
        said = frame.value.get(last) if isinstance(frame.value, dict) and last is not None else None
        if not isinstance(said, str) or not frame.key:
            return ""
        path = join(frame.path, str(last))
        where = self.marks.get(path)
        row = self._from(_Place(where.line - 1, where.column - 1)) if where and where.line == frame.key_line else ""
        whole = f"{said}, {frame.key}"
        return f"write it as  {as_entry(path, quoted(whole))}" if row.startswith(whole) else ""

    def _key(self, event: _Event, plain: bool) -> None:
        frame, mark, key = self.stack[-1], event.start_mark, event.value
        if plain and self.cut[0] == mark.line and mark.column < self.cut[1]:
            frame.wants_value = frame.refused = True
            frame.key, frame.key_line, frame.key_column = None, mark.line + 1, mark.column + 1
            frame.key_end = event.end_mark.line, event.end_mark.column
            return
        if plain and curly(key):
            right = f"{curly(key)}:"
            self._refuse_key(frame, mark, "curly quotation marks stand round a key", f"write it as  {right}  without them", key)
            return
        if event.anchor is not None or event.tag is not None:
            self._refuse_key(frame, mark, "an anchor or a tag on a key is not allowed", "write the key alone", key)
        elif plain and key == "<<":
            self._refuse_key(frame, mark, "the merge key << is not allowed", "write the keys out in each place", key)
        elif plain and key[:1].isdigit() and _REST.fullmatch(key) and self._decimal_comma(frame, mark, key):
            frame.wants_value = frame.refused = True
            frame.key, frame.key_line, frame.key_column = None, mark.line + 1, mark.column + 1
        elif plain and (wrong := _not_a_key(key)):
            self._refuse_key(frame, mark, *wrong, key)
        elif not (key.isascii() and key.isprintable()) and (match := _UNSEEN_VALUE.search(key)):
            self._refuse_key(frame, mark, *_unseen(match[0]))
        elif key in frame.lines:
            message = f"'{_short(key)}' is already given on line {frame.lines[key]}"
            self._refuse_key(frame, mark, message, "keep one of the two", key)
        else:
            frame.lines[key] = mark.line + 1
            frame.key, frame.wants_value = key, True
            frame.key_end = event.end_mark.line, event.end_mark.column
            frame.key_line, frame.key_column = mark.line + 1, mark.column + 1

    def _not_yaml(self, error: yaml.YAMLError) -> None:
        context_mark = getattr(error, "context_mark", None)
        mark = getattr(error, "problem_mark", None) or context_mark
        said = f"{getattr(error, 'context', None) or ''}: {getattr(error, 'problem', None) or ''}"
        message, hint = next((row[2:] for row in _NOT_YAML if row[0] in said), _NOT_YAML_OTHERWISE)
        if mark is None:
            self._keep(1, 1, "", message, hint)
            return
        if "flow " in said and any(context_mark.line <= line <= mark.line for line in self.commented if context_mark):
            return  # told as what it comes from
        line, column = mark.line + 1, mark.column + 1
        begins_at_context = next((row[1] for row in _NOT_YAML if row[0] in said), False)
        if begins_at_context and context_mark is not None:
            line, column = context_mark.line + 1, context_mark.column + 1
        lines = _BREAK.split(self.text)
        if line > len(lines):  # a parser may count one line more at the end
            line, column = len(lines), len(lines[-1]) + 1
        row = lines[line - 1]
        here = row[column - 1 :]
        if here.startswith("\t") or (re.match(r" *\t", row) and "quote" not in said):
            message, hint = "a tab stands where only spaces may stand", _indented(lines, line)
            column = row.index("\t") + 1
        elif "cannot start any token" in said and here:
            message, hint = f"text cannot begin with {here[0]}", "put the text in quotes"
        hint = _as_it_should(row, said) or hint
        if all(each.line != line or each.path for each in self.problems):  # an unseen character is fault enough
            self._keep(line, column, "", message, hint)


# What the two YAML parsers say (part of it), whether the place is where the construct began, and what a user is told.
_NOT_YAML = (
    ("quoted scalar: found unexpected", True, "a quotation mark is never closed", "close it on the same line"),
    ("quoted scalar: found unknown escape", False, "a \\ in double quotes means something else",
     "use single quotes, or write \\\\"),
    ("quoted scalar", False, "this quoted text cannot be read", "use single quotes around it"),
    ("mapping values are not allowed", False, "a colon stands where none may stand",
     "put text that holds ': ' in quotes, or mend the indentation"),
    ("simple key", True, "this line is no key with a value", "write a key, a colon, a space and the value"),
    ("flow sequence", True, "a [ is never closed, or a comma is missing",
     "close it with ] and part the entries by commas"),
    ("flow mapping", True, "a { is never closed, or a comma is missing",
     "close it with } and part the entries by commas"),
    ("tag", False, "a tag (!) is not allowed", _PLAIN),
    ("mapping keys are not allowed", False, "a ? stands where none may stand", "put text that begins with ? in quotes"),
    ("anchor", False, "& begins an anchor, which is not allowed", "put text that begins with & in quotes"),
    ("alias", False, "* begins an alias, which is not allowed", "put text that begins with * in quotes"),
    ("directive", False, "a line cannot begin with %", "put text that begins with % in quotes"),
    ("block scalar", False, "the lines below | or > are not indented alike",
     "indent them by the same number of spaces"),
    ("block mapping", False, "this line does not fit the lines above it",
     "indent keys of one group alike, each with a colon, and put text that goes on after a quotation mark in quotes"),
    ("block sequence", False, "this line does not fit the list above it",
     "begin each entry with - at the same indentation"),
    ("block collection", False, "this line does not fit the list above it",
     "begin each entry with - at the same indentation"),
    ("sequence entries are not allowed", False, "a - stands where no list entry may stand",
     "put the list below its key, each entry on a line of its own"),
    ("node content", False, "a value is missing here", "write the value, or take out the comma or bracket too many"),
    ("nesting depth", False, f"values are nested more than {MAX_DEPTH} deep", _TOO_DEEP),
    ("document start", False, "this line does not fit the lines above it", "indent keys of one group alike"),
)  # fmt: skip
_NOT_YAML_OTHERWISE = ("this cannot be read as YAML", "write keys, a colon, a space and the value; quote unusual text")


_ENTRY = re.compile(r"\s*(?:- +)*([\w.-]+): +(.*\S)\s*")
_QUOTED = re.compile(r"""("[^"]*"|'[^']*')(?=\s*\S)(.*)""")


def _as_it_should(row: str, said: str) -> str:
    """The line as it should stand, where it is one entry whose text wants quotation marks; empty where that cannot be told."""
    match = _ENTRY.fullmatch(row)
    if match is None:
        return ""
    key, value = match[1], match[2]
    if "mapping values are not allowed" in said and ": " in value and value[0] not in "\"'{[&*!|>%@`":
        return f"write it as  {key}: {quoted(value)}  or mend the indentation"
    if "quoted scalar: found unexpected" in said and value[0] in "\"'" and value[-1] in CLOSING:
        return f"{value[-1]} closes none that was begun with {value[0]}: write it as  {key}: {quoted(value[1:-1])}"
    if "block mapping" in said and (match := _QUOTED.fullmatch(value)) and not match[2].lstrip().startswith("#"):
        return f"write it as  {key}: {quoted(value)}"
    return ""


def _indented(lines: list[str], line: int) -> str:
    """How deep a line that begins with a tab stands, by the line above it."""
    above = next((row for row in reversed(lines[: line - 1]) if row.strip() and not row.lstrip().startswith("#")), "")
    if "\t" in above[: len(above) - len(above.lstrip())]:
        return "indent with spaces"
    depth = len(above) - len(above.lstrip())
    depth += 2 if above.lstrip().startswith("- ") else 0
    depth += 2 if above.rstrip().endswith(":") else 0
    return f"indent it with {depth} spaces" if depth else "indent with spaces"


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."


def _unseen(character: str) -> tuple[str, str]:
    if character == "\n":
        return "a line break inside quoted or plain text", "begin the text with | and write its lines below, indented"
    if character == "\t":
        return "a tab inside text", "write spaces instead"
    return f"unseen character U+{ord(character):04X} inside text", "delete it, or type the text again"


#: The rest of a figure behind a comma, with its unit; what YAML takes for a comment right behind a value, which a writer may not.
_REST = re.compile(r"([0-9]{1,6})[ \u00a0\u2009\u202f]?([^\W\d_][^\s,]*|°[FC]?|)")
_CUT = re.compile(r"[ \t]+#[^\s#!].*")
_TRUTH = {"yes", "no", "on", "off", "y", "n"}
_DECIMAL = re.compile(r"-?(?:0|[1-9][0-9]*)(\.[0-9]+)?")
_DIGITS = 15  # a float keeps 15 digits

# Plain text that YAML 1.1, YAML 1.2 and people read differently: pattern, what it looks like, what to write.
_UNCLEAR: tuple[tuple[re.Pattern[str], str, Callable[[str], str] | None], ...] = (
    (re.compile(r"[-+]?[0-9]+(:[0-9]+)+(\.[0-9]*)?"), "may be a time or a number", None),
    (re.compile(r"[-+]?0[0-9]+(\.[0-9]*)?"), "begins with 0", lambda text: text.lstrip("+-0") or "0"),
    (re.compile(r"[-+]?0[xXoObB][0-9a-fA-F_]+"), "may be a number in another base", None),
    (re.compile(r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)[eE][-+]?[0-9]+"), "may be a number with an exponent", None),
    (re.compile(r"[-+]?[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?"), "holds a comma", lambda text: text.replace(",", "")),
    (re.compile(r"[-+]?[0-9]+,[0-9]+"), "holds a comma", lambda text: text.replace(",", ".")),
    (re.compile(r"[-+]?[0-9][0-9.]*(,[0-9]+)+(\.[0-9]+)?"), "holds a comma", None),
    (re.compile(r"[-+]?[0-9]+(_[0-9_]*)+(\.[0-9_]*)?"), "holds an underscore", lambda text: text.replace("_", "")),
    (re.compile(r"[-+]?\.[0-9]+"), "begins with a point", lambda text: text.replace(".", "0.").lstrip("+")),
    (re.compile(r"[-+]?[0-9]+\."), "ends with a point", lambda text: text.rstrip(".").lstrip("+")),
    (re.compile(r"\+[0-9]+(\.[0-9]+)?"), "begins with +", lambda text: text[1:]),
    (re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)"), "is not a number that can be used", None),
)


def _resolve(text: str) -> tuple[object, tuple[str, str] | None]:
    """Value of plain text, and message and hint when it is unclear (the value is then the text)."""
    if text in ("true", "false", "null"):
        return {"true": True, "false": False, "null": None}[text], None
    if text[0] in "0123456789+-.":
        if match := _DECIMAL.fullmatch(text):
            if len(text.lstrip("-")) > _DIGITS + bool(match[1]):
                message = f"a number of more than {_DIGITS} digits cannot be kept exactly"
                return text, (message, "quote it if it is text")
            return (float(text) + 0.0 if match[1] else int(text)), None
        for pattern, looks, right in _UNCLEAR:
            if pattern.fullmatch(text):
                shown = _short(text)
                quoted = f'quote it: "{shown}"'
                return text, (f"{shown} {looks}", f"write {right(text)}, or {quoted}" if right else quoted)
        return text, None
    lower = text.lower() if len(text) <= 5 else ""
    if lower in _TRUTH:
        return text, (f"{text} may be true, false or text", f'write true or false, or quote it: "{text}"')
    if lower in ("true", "false", "null"):
        return text, (f"{text} is not written as it should be", f'write {lower}, or quote it: "{text}"')
    if text in ("~", "=", "<<"):
        hint = 'write null, or quote it: "~"' if text == "~" else f'quote it: "{text}"'
        return text, (f"{text} has a meaning of its own in YAML", hint)
    return text, None


def _not_a_key(key: str) -> tuple[str, str] | None:
    """Message and hint when a plain key is not text. Words such as `on` are text here: a key is nothing else."""
    if key == "":
        return "a key is missing before the colon", "write a key, a colon, a space and the value"
    if key[0].islower() and key not in ("true", "false", "null"):
        return None  # by far the most
    if key.lower() in _TRUTH:
        return None
    value, wrong = _resolve(key)
    if isinstance(value, str) and not wrong:
        return None
    return f"the key {_short(key)} is not text", f'quote it: "{_short(key)}"'
