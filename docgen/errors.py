"""Every mistake that a user can put right, one class each, under one parent."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

__all__ = [
    "CodeError",
    "DataError",
    "DocgenError",
    "ProfileUnreadable",
    "RecordError",
    "Refusal",
    "TemplateError",
    "UsageError",
    "Value",
    "Word",
    "WriteError",
]


class DocgenError(Exception):
    """Parent of all; `str()` is the one message that a user sees: where, what, what would be right."""


class UsageError(DocgenError):
    """The command line or a path on it is wrong."""


class ProfileUnreadable(DocgenError):
    """The profile file cannot be opened or decoded at all (problems inside it are results, not errors)."""


class CodeError(DocgenError):
    """The data of a jurisdiction is incomplete or contradicts itself."""


class DataError(DocgenError):
    """A data file of ours (figures of the trade, words, law) is damaged or not as its schema says; one line a fault, with its place."""


class TemplateError(DocgenError):
    """A template asks for something that does not exist, or writes a construct that is not allowed."""


class WriteError(DocgenError):
    """A document cannot be written: an element no writer knows, a missing font, a folder that is not writable."""


class Word(str):
    """A value that is a key into the words of refusals and not text to be printed as it is."""

    __slots__ = ()


Value = str | int | date | tuple[str, ...]


class Refusal(DocgenError):
    """Something asked for is refused. `name` says why, `values` with what; `docgen.words.refusal_text` makes the sentence.

    The sentence of each name stands in templates/words/refusals; what to type instead is for the command line to say.
    """

    def __init__(self, name: str, /, **values: Value) -> None:
        super().__init__(name)
        self.name = name
        self.values: Mapping[str, Value] = values

    def __str__(self) -> str:
        given = "; ".join(f"{key}: {value}" for key, value in self.values.items())
        return f"{self.name} ({given})" if given else self.name

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and (other.name, other.values) == (self.name, self.values)

    def __hash__(self) -> int:
        return hash((self.name, *self.values.items()))


class RecordError(Refusal):
    """A record on file is damaged, missing, of another format, or stands against what is asked."""
