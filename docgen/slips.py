"""Slips of typing that a reader of a file meets every day, and the line as it should stand.

A word processor makes curly quotation marks and spaces that do not break a line; a comma stands for a decimal point; a `#` in a name begins a comment;
a document of a word processor is given for a text. What is here knows such a slip by its signs and says what was meant; whether anything is changed is for others
to say.
"""

__all__ = ["BLANKS", "CLOSING", "OPENING", "as_entry", "curly", "kind_of_file", "quoted"]

#: Opening quotation mark of a word processor -> the marks that close it.
OPENING = {"“": "”“", "”": "”", "„": "“”", "‟": "”", "«": "»", "»": "«", "‘": "’", "‚": "‘’", "‛": "’", "″": "″", "〝": "〞"}
CLOSING = "”“’»«‘″〞"
#: Spaces that are none for YAML, which knows the one of the keyboard and the tab alone.
BLANKS = "\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000"

#: How a file begins that is no text of ours, and what it is.
_BEGINS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"\xd0\xcf\x11\xe0", "a document or workbook of an older office program (DOC, XLS)"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"\x1f\x8b", "a packed file (GZIP)"),
    (b"7z\xbc\xaf", "a packed file (7Z)"),
    (b"Rar!", "a packed file (RAR)"),
    (b"{\\rtf", "a document of a word processor (RTF)"),
    (b"\x7fELF", "a program"),
    (b"MZ\x90", "a program"),
    (b"SQLite format 3", "a data base"),
)
_PACKED: tuple[tuple[bytes, str], ...] = (
    (b"word/", "a document of a word processor (DOCX)"),
    (b"xl/", "a workbook of a spreadsheet (XLSX)"),
    (b"ppt/", "slides (PPTX)"),
    (b"application/vnd.oasis.opendocument.text", "a document of a word processor (ODT)"),
    (b"application/vnd.oasis.opendocument.spreadsheet", "a workbook of a spreadsheet (ODS)"),
)
_MARKED: tuple[tuple[bytes, str], ...] = ((b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"))


def kind_of_file(raw: bytes) -> str:
    """What a file is that is not a text in UTF-8, by its first bytes and, of a packed one, by the names in it; empty where nobody can tell.

    >>> kind_of_file(b"%PDF-1.7 ..."), kind_of_file(b"profile: 2")
    ('a PDF', '')
    """
    if raw.startswith(b"PK\x03\x04"):
        return next((told for name, told in _PACKED if name in raw), "a packed file (ZIP)")
    for begins, told in _BEGINS:
        if raw.startswith(begins):
            return told
    head = raw[:200].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if head.startswith((b"<!doctype html", b"<html")):
        return "a web page (HTML)"
    return next((f"text in {name}" for begins, name in _MARKED if raw.startswith(begins)), "")


def quoted(text: str) -> str:
    r"""Text in the quotation marks of the keyboard, so that YAML reads just it.

    >>> print(quoted("Bay #2"), quoted('the "north" bay'))
    "Bay #2" 'the "north" bay'
    """
    if '"' in text or "\\" in text:
        return "'" + text.replace("'", "''") + "'"
    return f'"{text}"'


def as_entry(path: str, value: str) -> str:
    """A value behind its key, or behind the - of a list, as the line should stand.

    >>> as_entry("bays[0].name", '"Bay #2"'), as_entry("document.languages[1]", "es")
    ('name: "Bay #2"', '- es')
    """
    if path.endswith("]") and not path.endswith("']"):
        return f"- {value}"
    key = path.rpartition(".")[2]
    return f"{key}: {value}"


def curly(text: str) -> str | None:
    """What stands between curly quotation marks where a text begins and ends with a pair of them and has none within; else None.

    >>> curly("“Truck bay”"), curly("“Stop” means stop"), curly("Truck bay")
    ('Truck bay', None, None)
    """
    if len(text) < 3 or text[0] not in OPENING or text[-1] not in OPENING[text[0]]:
        return None
    inside = text[1:-1]
    return None if any(sign in inside for sign in "“”„«»") or text[0] in inside else inside
