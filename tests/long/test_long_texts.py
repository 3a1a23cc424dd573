"""Text of the site that looks like Markdown, HTML or a template, in every field of prose of the full demo, one field at a time.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_texts.py
Last run: 2026-11-25, 141 passed in 1126 s (on a machine with much other work)
"""

from collections.abc import Iterator

import pytest
from outside import html_faults
from support import composed, demo, papers, with_changes
from test_documents import HOSTILE, LOOKS_LIKE_MARKS

from docgen.compose.tree import words
from docgen.write import WRITERS


def prose(node: object, path: str = "") -> Iterator[tuple[str, str]]:
    """(path, text) of every text of several words in the profile, lists by id or number."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from prose(value, f"{path}.{key}" if path else key)
    elif isinstance(node, list):
        for index, value in enumerate(node):
            given = value.get("id") if isinstance(value, dict) else None
            yield from prose(value, f"{path}[{given or index}]")
    elif isinstance(node, str) and len(node.split()) >= 3 and not any(c.isdigit() for c in node):
        yield path, node


SOURCE = demo("harrow-ridge").source
# a text that stands twice in the profile is still printed when one of the two is another
FIELDS = [
    (p, text) for p, text in prose(SOURCE.data) if not p.endswith("]") and SOURCE.text.casefold().count(text.casefold()) == 1
]
SIGNS = len(LOOKS_LIKE_MARKS)


def strange_texts(path: str) -> tuple[str, ...]:
    """The most hostile text, and three that look like marks, others for each field: all of them are tried in turn."""
    at = next(n for n, (other, _) in enumerate(FIELDS) if other == path)
    return (HOSTILE, *(LOOKS_LIKE_MARKS[(3 * at + n) % SIGNS] for n in range(3)))


def test_there_are_fields():
    """The walk finds the prose of the demo."""
    assert len(FIELDS) >= 60


@pytest.mark.parametrize(("path", "text"), FIELDS, ids=[path for path, _ in FIELDS])
def test_every_field_prints_literally(path, text):
    """Wherever the demo's own text was printed the strange one is printed as it is, and the page is sound HTML without an entity as words."""
    before = papers("harrow-ridge")
    shown = {name for name, paper in before.items() if text.rstrip(".").casefold() in words(paper.document.tree).casefold()}
    for strange in strange_texts(path):
        for name, paper in composed(with_changes(demo("harrow-ridge"), {path: strange})).items():
            said = words(paper.document.tree).casefold()
            if name in shown and text.rstrip(".").casefold() not in said:  # else the same words come from other fields
                assert strange.strip(".").casefold() in said, (name, strange)
                page = WRITERS["html"](paper.document).data
                assert b"<script>" not in page
                assert html_faults(page) == []
