"""Which parts bear another serial number than at the newest issue while their evidence is still of that day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from docgen.findings.view import Swapped
from docgen.read import Source, read_profile
from docgen.records import Records

__all__ = ["swapped"]

EVIDENCE = ("label_photo", "in_service")


def swapped(source: Source, records: Records) -> dict[str, Swapped]:
    """Id of a part -> what is carried over, out of the profile that the newest revision froze. It is read only where a serial number is new."""
    now = _parts(source)
    if not records.issued or not any("serial" in part for part in now.values()):
        return {}
    last = records.issued[-1]
    file = records.revision_folder(last.revision) / "profile.yaml"
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return {}  # whoever compares with the revision says what is wrong with it
    if all(str(part["serial"]) in text for part in now.values() if "serial" in part):
        return {}
    found = {}
    for key, old in _parts(read_profile(file)).items():
        new = now.get(key, {})
        if "serial" in new and "serial" in old and new["serial"] != old["serial"]:
            found[key] = Swapped(str(old["serial"]), last.on, tuple(_kept(old, new)))
    return found


def _parts(source: Source) -> dict[str, Mapping[str, Any]]:
    rows = source.data.get("equipment", []) if isinstance(source.data, dict) else []
    return {str(row["id"]): row for row in rows if isinstance(row, dict) and "id" in row} if isinstance(rows, list) else {}


def _kept(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    """Evidence that reads as it did: photograph, day of first use, and figures read off a label on the day of the old one."""
    for name, value in old.items():
        dated = isinstance(value, dict) and "on" in value and "value" in value
        if (name in EVIDENCE or dated) and new.get(name) == value:
            yield name
