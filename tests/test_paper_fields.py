"""What a field says it is for, the paper prints: plan, survey sheet, shift sheet and forms against the numbers of papers that each field of the profile names.

A value that is given and that such a paper does not read stands in `LEFT` with the reason. A reason that no value needs any more is an error too.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator

import pytest
from support import composed, demo

from docgen.papers import outline
from docgen.site import Node, Quantity, slots_of

SITES = ("harrow-ridge", "pellan-creek")
ENGINEER = "a figure of the engineer: the sheet gives the red mark and the limits that follow from it"
BY_HAND = "names are written by hand on the day"
SURVEY = "the mark, the deck and the ladder are looked up in Table 1 of the plan, where the row points"
LEFT = {
    "fall-protection-plan": {
        r"bays\[\w+\]\.ladder\.(at|trolley_lag)": ENGINEER,
        r"bays\[\w+\]\.ladder\.owner": "the mark stands on a post or ladder of the site, which the sheet names",
        r"bays\[\w+\]\.parking\.along\.front": ENGINEER,
        r"bays\[\w+\]\.wind_meter\.by": "one wind meter for both bays is told once",
        r"codes\.local\[insurer-\d\]\.applied": "terms of a policy are for counsel; the plan tells local codes",
        r"document\.retention\[\d+\]\.basis": "it can name advice of counsel: the legal file prints it, no paper of the site does",
        r"document\.versions_differ\.tell": "there is one language at this site",
        r"inspection\.oversight\.climb_looked_at\.each": "the sentence of the site on it is printed instead",
        r"reviewers\[[\w-]+\]\.(papers|sections|seal)": "the block of the review prints the scope, and room for a seal always",
        r"roles\[[\w-]+\]\.holders\[\d+\]\.(name|from)": "read off the holder of the day",
        r"roles\[[\w-]+\]\.holders\[\d+\]\.accepted_on": "the day on which a holder signed stands with the signatures of the record",
        r"shifts\[\w+\]\.posts\[\d+\]\.person": BY_HAND,
        r"shifts\[\w+\]\.posts\[\d+\]\.(part|steps)": "steps of a method stand in the rescue procedure",
        r"vehicles\[[\w-]+\]\.hatches\[\d+\]\.(at|size)": ENGINEER,
        r"vehicles\[[\w-]+\]\.hatches\[\d+\]\.(lower|inside|stopped_by\.kind)": "a closed hatch is told by what closes it",
        r"vehicles\[[\w-]+\]\.(length|walk\.from|walk\.to)": ENGINEER,
    },
    "survey-sheet": {},
    "shift-sheet": {
        r"bays\[\w+\]\.energy\[\d+\]\.kind": "read by the choice of the lines for what is read or issued",
        r"bays\[\w+\]\.tag_place": "the rule on tagging stands in the plan",
        r"bays\[\w+\]\.watcher\.(how|role)": "the box for the attendant is filled by hand",
        r"bays\[\w+\]\.wind_meter\.(by|place)": "the plan says who reads it and where; the sheet has a box for the reading",
        r"inspection\.oversight\.climb_looked_at\.each": "the sheet is for one shift, which has one line for it",
        r"rescue\.methods\[\w+\]\.steps\[\w+\]\.who": "a box for each post; who does which step stands in the rescue procedure",
        r"roles\[[\w-]+\]\.relief": "the relief of the day is named by hand",
        r"shifts\[\w+\]\.(chain|cover)\.\w+|shifts\[\w+\]\.posts\[\d+\]\.(post|part|steps)": "read by the boxes, which stand once for all shifts",
        r"shifts\[\w+\]\.posts\[\d+\]\.person": BY_HAND,
        r"vehicles\[[\w-]+\]\.gauge\.\w+": SURVEY,
    },
    "training-outline": {},
    "training-record": {},
    "hazard-certificate": {},
    "fire-service-letter": {
        r"site\.gate\.opens\[\d+\]\.by": "read by what puts the shifts together on which the same role opens it",
        r"bays\[\w+\]\.rescue_anchors\[[\w-]+\]\.(by|drawing)": "a fire officer needs place and strength; who designed it is for the engineer",
        r"rescue\.protection\[\d+\]\.what": "only what the fire service alone may wear is a case in which it is waited for",
        r"rescue\.brigade\.response": "printed where no arrival of outside help is stated",
    },
    "change-slip": {},
    "drill-record": {
        r"shifts\[\w+\]\.pairs\[\d+\]\.(one|other)": "the form is for one case: the pair of its shift whose turn it is",
        r"rescue\.practice\.darkest_shift": "read by the choice of the case, and by the box for the light",
        r"training\.induction_test": "whoever does that test stands in the training record",
    },
}  # fmt: skip


def given(node: Node, answered: frozenset[str]) -> Iterator[tuple[str, tuple[int, ...]]]:
    """The path of each value that is given, and the numbers of the papers that its field is for; those of the section where it has none."""
    said = {f.name: f.metadata["says"].papers for f in dataclasses.fields(node) if "says" in f.metadata}
    for slot in slots_of(node.__class__):
        value, at = getattr(node, slot.name), f"{node.path}.{slot.key}".lstrip(".")
        if slot.what == "record":
            for inner in value if slot.many else (value,):
                if inner:
                    yield from ((path, own or said[slot.name]) for path, own in given(inner, answered))
        elif at in answered:
            yield (value.path if isinstance(value, Quantity) else at), said[slot.name]


def unread(site: str, name: str) -> list[str]:
    """Paths of the values that are given for a paper and that it does not read."""
    checked = demo(site)
    read: set[str] = set()
    for paper, made in composed(checked, ("md", "pdf"), wanted=(name,)).items():
        if paper.partition(".")[0] == name:
            read |= set(made.document.reads) | {path for clause in made.body.clauses for path, _ in clause.inputs}
    number = outline(name).order
    return [path for path, papers in given(checked.site, checked.site.answered) if number in papers and path not in read]


@pytest.mark.parametrize("name", LEFT)
def test_what_is_given_for_a_paper_is_printed_or_left_out_for_a_reason(name):
    """Every value whose field names the paper is read by it, or stands in the list above."""
    left = [path for site in SITES for path in unread(site, name)]
    reasons = {pattern: [path for path in left if re.fullmatch(pattern, path)] for pattern in LEFT[name]}
    assert [path for path in left if not any(re.fullmatch(pattern, path) for pattern in reasons)] == []
    assert [pattern for pattern, paths in reasons.items() if not paths] == []


def test_a_value_that_the_sheet_prints_is_seen():
    """The list is not made by looking away: what the survey sheet prints of a rail and an edge is read, and a box of the plan is."""
    assert "vehicles[tanker].sides[left].edge_kind" not in unread("harrow-ridge", "survey-sheet")
    assert "shifts[day].posts[0].person" in unread("harrow-ridge", "shift-sheet")
    assert "site.new_thing_to" not in unread("harrow-ridge", "fall-protection-plan")
