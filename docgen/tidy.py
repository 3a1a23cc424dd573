"""A profile put right where only its form is amiss: quotation marks and spaces of a word processor, tabs, commas in figures, spellings of units, blanks at
the ends of lines. Nothing that it says is changed: what could be read before says the same afterwards, and what is not sure is left as it is.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

from docgen.check import measured
from docgen.errors import ProfileUnreadable, RecordError
from docgen.frozen import frozen
from docgen.read import Mend, Source, read_profile, read_text
from docgen.slips import BLANKS
from docgen.units import UnitProblem, parse, spelled

__all__ = ["Tidied", "tidied", "tidied_file", "write"]

MOST_ROUNDS = 50  # what one mend uncovers is mended in the next round
TAB_WIDTHS = (2, 4, 8)
_INDENT = re.compile(r"(?m)^[ \t]+")
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|\Z)")
_TRAILING = re.compile(f"[ \\t{BLANKS}]+(?=[\\r\\n]*\\Z)")


@frozen
class Tidied:
    """Both texts of a file, and how many problems of form its reader still finds in the new one."""

    file: Path
    old: str
    new: str
    left: int

    @property
    def changed(self) -> int:
        """How many lines differ."""
        return sum(line.startswith("+") and not line.startswith("+++") for line in self.difference.splitlines())

    @property
    def difference(self) -> str:
        """The lines that change, as a unified difference; ends of lines, which stay, are left out. Empty where none does."""
        name = self.file.name
        old, new = (re.split(r"\r\n|\r|\n", text) for text in (self.old, self.new))
        lines = list(difflib.unified_diff(old, new, name, name, lineterm="", n=0))
        return "\n".join(lines) + "\n" if lines else ""


def tidied_file(path: Path) -> Tidied:
    """The profile of a site, or a profile file. ProfileUnreadable where it cannot be opened or is no text."""
    source = read_profile(path)
    file = Path(path) / "profile.yaml" if Path(path).is_dir() else Path(path)
    if not source.text and source.problems:
        problem = source.problems[0]
        raise ProfileUnreadable(f"{source.file}:{problem.line}:{problem.column}: {problem.message}; {problem.hint}")
    text = file.read_bytes().decode("utf-8")
    new = tidied(text)
    return Tidied(file, text, new, len(read_text(new).problems))


def write(made: Tidied) -> None:
    """Put the new text into the file in one step. RecordError where somebody has written to it meanwhile."""
    from docgen.control.safe import replace_file

    try:
        replace_file(made.file, made.old.encode("utf-8"), made.new.encode("utf-8"))
    except FileExistsError:
        raise RecordError("profile-moved", file=str(made.file)) from None


def tidied(text: str) -> str:
    """The text with its form put right; its first sign and the ends of its lines stay as they are."""
    head = "\ufeff" if text.startswith("\ufeff") else ""
    body = _without_tabs(text.removeprefix(head))
    for _ in range(MOST_ROUNDS):
        source = read_text(body)
        mended = _applied(body, source.mends)
        if mended == body:
            break
        body = mended
    return head + _trimmed(_spelled(body))


def _applied(text: str, mends: Iterable[Mend]) -> str:
    """The text with each mend in its place, the last first; one that overlaps another waits."""
    lines = _LINE.findall(text)
    taken: dict[int, int] = {}
    for mend in sorted(set(mends), key=lambda m: (m.line, m.begin), reverse=True):
        if mend.end <= taken.get(mend.line, 1 << 30):
            row = lines[mend.line - 1]
            lines[mend.line - 1] = row[: mend.begin - 1] + mend.right + row[mend.end - 1 :]
            taken[mend.line] = mend.begin
    return "".join(lines)


def _without_tabs(text: str) -> str:
    """Tabs at the beginning of lines as spaces, where every width of a tab that can be read says the same."""
    if not re.search(r"(?m)^[ ]*\t", text) or read_text(text).data is not None:
        return text
    found: list[tuple[str, Any]] = []
    for width in TAB_WIDTHS:
        made = _INDENT.sub(partial(_widened, width), text)
        source = read_text(_applied(made, read_text(made).mends))
        if source.data is not None:
            found.append((made, source.data))
    sure = bool(found) and all(data == found[0][1] for _, data in found)
    return found[0][0] if sure else text


def _widened(width: int, indent: re.Match[str]) -> str:
    return indent[0].expandtabs(width)


def _spelled(text: str) -> str:
    """Figures in the spelling of this program, wherever the schema asks for one."""
    source = read_text(text)
    if source.data is None:
        return text
    mends = []
    for path, (kind, said) in measured(source).items():
        mark = source.marks.get(path)
        right = spelled(said, kind)
        if mark is None or right is None or right == said or not _same(said, right, kind):
            continue
        row = re.split(r"\r\n|\r|\n", text)[mark.line - 1][mark.column - 1 :]
        shown = next(
            (form for form in (said, f'"{said}"', "'" + said.replace("'", "''") + "'", _escaped(said)) if row.startswith(form)),
            "",
        )
        if shown:
            mends.append(Mend(mark.line, mark.column, mark.column + len(shown), right))
    return _applied(text, mends)


def _same(said: str, right: str, kind: str) -> bool:
    """Whether a figure that could be read is the same amount afterwards."""
    try:
        return parse(said, kind).si == parse(right, kind).si
    except UnitProblem:
        return True


def _escaped(text: str) -> str:
    """A text in double quotation marks whose own are told by a backslash."""
    return '"' + text.replace('"', '\\"') + '"'


def _trimmed(text: str) -> str:
    """Lines without blanks at their ends; one where they are part of a text keeps them."""
    lines = _LINE.findall(text)
    bare = [_TRAILING.sub("", line) for line in lines]
    before = _said(text)
    if before is None or _said("".join(bare)) == before:
        return "".join(bare) if before is not None else text
    for number, (line, short) in enumerate(zip(list(lines), bare, strict=True)):
        if line != short:
            lines[number] = short
            if _said("".join(lines)) != before:
                lines[number] = line
    return "".join(lines)


def _said(text: str) -> Any:
    """What a text says: its data, and the problems of its reader without their places; None where it cannot be read."""
    source: Source = read_text(text)
    return None if source.data is None else (source.data, list(_told(source)))


def _told(source: Source) -> Iterator[tuple[str, str]]:
    return ((problem.path, problem.message) for problem in source.problems)
