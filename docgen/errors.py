"""Every mistake that a user can put right, one class each, under one parent."""

__all__ = [
    "CodeError",
    "DataError",
    "DocgenError",
    "ProfileUnreadable",
    "RecordError",
    "TemplateError",
    "UsageError",
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


class RecordError(DocgenError):
    """A record on file is damaged, missing, or stands against what is asked."""


class TemplateError(DocgenError):
    """A template asks for something that does not exist, or writes a construct that is not allowed."""


class WriteError(DocgenError):
    """A document cannot be written: an element no writer knows, a missing font, a folder that is not writable."""
