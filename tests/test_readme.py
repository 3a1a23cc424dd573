"""The README: its blocks are read, what they show is no older than the commands, its pictures and links are there. `.ci/run` runs every block in an empty home."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from readme import MORE, README, blocks, runs_the_tests, shown

from docgen.cli import MANUAL

TEXT = README.read_text(encoding="utf-8")


def test_what_a_block_shows_is_cut_to_its_lines():
    """All of it, or the first lines and a mark that there is more; blanks at the ends of lines are gone."""
    assert shown("a  \nb\nc\n\n", None) == "a\nb\nc\n"
    assert shown("a\nb\nc\n", 2) == f"a\nb\n{MORE}\n"
    found = blocks("```sh\nx\n```\n\n```text 3\ny\n```\n")
    assert [(b.language, b.lines, b.text) for b in found] == [("sh", None, "x\n"), ("text", 3, "y\n")]


def test_every_shown_text_stands_behind_a_command_and_has_its_lines():
    """No block of text without the command that prints it, and none longer than it says."""
    found = blocks(TEXT)
    for before, block in pairwise(found):
        if block.language == "text":
            assert before.language == "sh"
            assert block.lines is None or len(block.text.splitlines()) <= block.lines + 1
    assert sum(runs_the_tests(b) for b in found) == 1
    assert found[0].text.count("\n") == 1  # two commands: to see the papers, and to run the tests
    assert runs_the_tests(found[1])


def test_every_command_is_named():
    """Each command of docgen stands somewhere in the README, and no other is called so there."""
    named = (
        set(re.findall(r"docgen(?:\"| )([a-z]+)\b", TEXT))
        | set(re.findall(r"^d ([a-z]+)", TEXT, re.MULTILINE))
        | set(re.findall(r"`([a-z]+)(?: [^`]*)?`", TEXT))
    )
    assert set(MANUAL) <= named


@pytest.mark.parametrize("target", sorted(set(re.findall(r"\]\(([^)#]+)\)", TEXT))))
def test_what_is_linked_is_there(target):
    """Pictures and files beside the README."""
    assert (Path(README).parent / target).is_file()


def test_what_is_linked_in_the_text_is_a_heading():
    """A link within the README leads to one of its headings."""
    heads = {re.sub(r"[^\w -]", "", h.lower()).replace(" ", "-") for h in re.findall(r"^#+ (.+)$", TEXT, re.MULTILINE)}
    assert set(re.findall(r"\]\(#([\w-]+)\)", TEXT)) <= heads
