"""Outside judges of what is written, each asked in one place: JSON Schema, html5lib, openxml-audit."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from docgen.resources import schema_text

__all__ = ["docx_faults", "html_faults", "schema_faults", "schema_of"]


@cache
def schema_of(name: str) -> Any:
    """One of the published schemas, itself checked once."""
    schema = json.loads(schema_text(name))
    Draft202012Validator.check_schema(schema)
    return schema


def schema_faults(name: str, data: object) -> list[str]:
    """What is wrong with data under one of the published schemas (draft 2020-12)."""
    return [error.message for error in Draft202012Validator(schema_of(name)).iter_errors(data)]


def html_faults(data: bytes) -> list[Any]:
    """Parse errors of a page by the rules of the HTML Living Standard."""
    html5lib = pytest.importorskip("html5lib")
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    parser.parse(data.decode("utf-8"))
    return list(parser.errors)


def docx_faults(data: bytes, folder: Path) -> list[str]:
    """What openxml-audit (ISO/IEC 29500) finds in a DOCX; the file is put into a folder for it."""
    audit = pytest.importorskip("openxml_audit")
    path = folder / "audited.docx"
    path.write_bytes(data)
    return [str(error) for error in audit.OpenXmlValidator().validate(path).errors]
