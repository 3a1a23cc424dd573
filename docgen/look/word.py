"""Looks at a client's own base file for DOCX before anything is made of it: no macro, no link to the outside, no embedded object."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from xml.parsers import expat

from docgen.look.files import Unfit

__all__ = ["clean_base"]

MOST_PARTS, MOST_PART, MOST_WHOLE = 300, 8_000_000, 24_000_000
MAIN = "application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"
#: What a part or a relationship is called that runs, fetches or embeds something, and how that is told.
ACTIVE = (
    ("vbaproject", "a macro"), ("vbadata", "a macro"), ("macroenabled", "a macro"), ("activex", "an active control"), ("oleobject", "an embedded object"),
    ("/package", "an embedded file"), ("afchunk", "an embedded file"), ("subdocument", "another document"), ("attachedtemplate", "a linked template"),
    ("/control", "an active control"), ("customui", "a changed menu"), ("/frame", "a linked frame"), ("mailmerge", "a data source"), ("attachedtoolbars", "a macro"),
)  # fmt: skip
OBJECTS = ("object", "OLEObject", "control", "altChunk", "subDoc", "movie")
#: Fields that may stand in header and footer: they say something of this document alone.
FIELDS = ("PAGE", "NUMPAGES", "SECTION", "SECTIONPAGES", "TITLE", "SUBJECT", "AUTHOR", "STYLEREF")
PICTURES = ("png", "jpg", "jpeg")
FIX = "take it out in the word processor and save the file as DOCX again"


def clean_base(data: bytes, name: str) -> None:
    """Unfit where the file is no DOCX, is too large, or holds what runs, fetches or embeds something."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = _parts(archive, name)
    except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, OSError, ValueError):
        raise Unfit(f"'{name}' is no DOCX that can be read", "save it as DOCX again, without a password") from None
    if "[Content_Types].xml" not in parts or "word/document.xml" not in parts or "word/styles.xml" not in parts:
        raise Unfit(f"'{name}' is no DOCX", "save it as DOCX (a template as a document)")
    for part, content in parts.items():
        if part.endswith((".xml", ".rels")):
            _look_at(part, content, name)
        if (found := _active(part)) is not None:
            raise Unfit(f"'{name}' holds {found} ({part})", FIX)
    if MAIN.encode() not in parts["[Content_Types].xml"]:
        raise Unfit(f"'{name}' is no DOCX, but a template or another kind of file", "save it as DOCX")
    _opens(data, name)


def _parts(archive: zipfile.ZipFile, name: str) -> dict[str, bytes]:
    """Every part, unpacked to no more than a DOCX of this use can have."""
    members = archive.infolist()
    if len(members) > MOST_PARTS or len({m.filename.lower() for m in members}) != len(members):
        raise Unfit(f"'{name}' has more than {MOST_PARTS} parts, or one of them twice", "save it as DOCX again")
    parts, whole = {}, 0
    for member in members:
        if member.filename.startswith("/") or "\\" in member.filename or ".." in member.filename.split("/"):
            raise Unfit(f"'{name}' has a part that lies outside of it ({member.filename[:60]})", "save it as DOCX again")
        with archive.open(member) as stream:
            content = stream.read(MOST_PART + 1)
        whole += len(content)
        if len(content) > MOST_PART or whole > MOST_WHOLE:
            raise Unfit(
                f"'{name}' unpacks to more than {MOST_WHOLE // 1_000_000} MB", "take large pictures out and save it again"
            )
        parts[member.filename] = content
    return parts


def _active(text: str) -> str | None:
    plain = text.lower()
    return next((told for word, told in ACTIVE if word in plain), None)


def _look_at(part: str, content: bytes, name: str) -> None:
    """One part of XML, element by element."""
    parser = expat.ParserCreate(namespace_separator=" ")
    shown = re.fullmatch(r"word/(header|footer)\d*\.xml", part) is not None
    code: list[str] = []
    inside = False

    def no_type(*_: object) -> None:
        raise Unfit(f"'{name}' holds a document type ({part})", "save it as DOCX again")

    def start(tag: str, given: dict[str, str]) -> None:
        nonlocal inside
        local = tag.rpartition(" ")[2]
        plain = {key.rpartition(" ")[2]: value for key, value in given.items()}
        if local == "Relationship":
            kind = plain.get("Type", "").rpartition("/")[2]
            if plain.get("TargetMode", "").lower() == "external":
                raise Unfit(f"'{name}' links to something outside of it ({kind}: {plain.get('Target', '')[:60]})", FIX)
            if (found := _active("/" + kind)) is not None:
                raise Unfit(f"'{name}' holds {found} ({part})", FIX)
            ending = plain.get("Target", "").rpartition(".")[2].lower()
            if re.search(r"/(header|footer)\d*\.xml\.rels$", part) and (kind != "image" or ending not in PICTURES):
                raise Unfit(
                    f"'{name}' has something in its header or footer that is no text, PNG or JPEG ({kind})",
                    "put a PNG or JPEG in its place",
                )
        if (
            local in ("Override", "Default")
            and part == "[Content_Types].xml"
            and (found := _active("/" + plain.get("ContentType", "")))
        ):
            raise Unfit(f"'{name}' holds {found}", FIX)
        if shown and local in OBJECTS:
            raise Unfit(f"'{name}' holds an embedded object in its header or footer", FIX)
        if shown and local == "fldSimple":
            allowed(plain.get("instr", ""))
        if shown and local == "fldChar":
            if plain.get("fldCharType") == "begin":
                if code:
                    allowed("".join(code))
                code.clear()
            elif code:
                allowed("".join(code))
                code.clear()
        inside = local == "instrText"

    def text(words: str) -> None:
        if inside and shown:
            code.append(words)

    def end(_: str) -> None:
        nonlocal inside
        inside = False

    def allowed(words: str) -> None:
        if words.strip() and words.split()[0].upper() not in FIELDS:
            raise Unfit(
                f"'{name}' has the field {words.split()[0][:30]} in its header or footer",
                f"take it out; allowed are {', '.join(FIELDS)}",
            )

    parser.StartDoctypeDeclHandler = no_type
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise Unfit(f"'{name}' is damaged ({part}: {error})", "save it as DOCX again") from None
    if code:
        allowed("".join(code))


def _opens(data: bytes, name: str) -> None:
    from docx import Document
    from lxml.etree import LxmlError

    try:
        word = Document(io.BytesIO(data))
        told = len(word.styles), len(word.sections)
    except (KeyError, ValueError, TypeError, AttributeError, IndexError, LxmlError) as error:
        raise Unfit(f"'{name}' cannot be opened as DOCX ({type(error).__name__})", "save it as DOCX again") from None
    if not all(told):
        raise Unfit(f"'{name}' has no styles or no page", "save it as DOCX again")
