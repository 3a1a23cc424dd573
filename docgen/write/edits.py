"""What a person changed in a written file: the lines or paragraphs that differ, for carrying back into the profile."""

from __future__ import annotations

import difflib
import html
import io
import re
import zipfile
from xml.etree import ElementTree

__all__ = ["differences"]

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
BLOCK = re.compile(r"</(?:p|h[1-6]|li|tr|dt|dd|caption|figcaption)>|<br>", re.IGNORECASE)


def differences(edited: bytes, written: bytes, kind: str) -> tuple[str, ...] | None:
    """Lines beginning with `- ` (only in the edited file) and `+ ` (only in the new one). None where the type cannot be read.

    >>> differences(b"one\\ntwo\\n", b"one\\n2\\n", "md")
    ('- two', '+ 2')
    """
    read = {"md": _text, "html": _html, "docx": _docx}.get(kind)
    if read is None:
        return None
    try:
        before, after = read(edited), read(written)
    except (UnicodeDecodeError, zipfile.BadZipFile, KeyError, ElementTree.ParseError):
        return None
    return tuple(line.rstrip() for line in difflib.ndiff(before, after) if line.startswith(("- ", "+ ")) and line[2:].strip())


def _text(data: bytes) -> list[str]:
    return data.decode("utf-8").splitlines()


def _html(data: bytes) -> list[str]:
    """The words of the page, one line a block."""
    body = re.sub(r"<(style|script|head)\b.*?</\1>", "", data.decode("utf-8"), flags=re.DOTALL | re.IGNORECASE)
    plain = html.unescape(re.sub(r"<[^>]*>", " ", BLOCK.sub("\n", body.replace("\n", " "))))
    return [" ".join(line.split()) for line in plain.splitlines() if line.split()]


def _docx(data: bytes) -> list[str]:
    """The words of each paragraph."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        root = ElementTree.fromstring(archive.read("word/document.xml"))
    lines = ("".join(t.text or "" for t in p.iter(f"{W}t")) for p in root.iter(f"{W}p"))
    return [" ".join(line.split()) for line in lines if line.split()]
