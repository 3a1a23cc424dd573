"""Every sentence of the site papers that no field, figure or law carries is in a table with the reason why it may stand."""

from __future__ import annotations

import re

import pytest
import yaml
from fixed_sentences import FILE, fixed, listed
from support import demo, overridden

from docgen.compose import all_bodies


def test_no_sentence_stands_without_a_reason():
    """What is the same on two sites that differ, and bears nothing of either, was read by somebody: `python tests/fixed_sentences.py` lists the rest."""
    assert [key for key in fixed() if key not in listed()] == []


def test_nothing_in_the_table_is_gone():
    """A sentence that stands nowhere any more has left the table too, and none stands in it twice."""
    assert [key for key in listed() if key not in fixed()] == []
    told = [
        (paper, clause, s)
        for paper, clauses in yaml.safe_load(FILE.read_text(encoding="utf-8"))["papers"].items()
        for clause, row in clauses.items()
        for s in row["says"]
    ]
    assert len(told) == len(set(told)) > 200


def test_each_reason_is_one_of_the_table():
    """None is unread, each is one of those explained at its head, and each of those is used."""
    reasons = yaml.safe_load(FILE.read_text(encoding="utf-8"))["reasons"]
    assert {why for why, _ in listed().values()} == set(reasons)


@pytest.mark.parametrize("paper", sorted({p for p, _, _ in listed()}))
def test_a_field_that_is_named_is_read_by_the_clause(paper):
    """A sentence that stands there by a field has that field among the inputs of its clause; one for another reason names none."""
    looked = 0
    for key, (why, by) in listed().items():
        if key[0] != paper or key not in fixed():
            continue
        assert bool(by) == (why == "field"), key
        if by:
            looked += 1
            assert any(re.search(by, path) for path, _ in fixed()[key]), (key, by)
    assert looked or all(why != "field" for key, (why, _) in listed().items() if key[0] == paper)


#: Words of promise or of proof that nothing of a site can carry.
PROMISES = re.compile(r"\b(?:guarantee|always safe|ensure|certified|complies|compliant|approved by|in good time|at no cost|free of charge|insured)\b", re.IGNORECASE)  # fmt: skip


def test_no_fixed_sentence_promises():
    """None of them says that somebody is safe, that something complies, or what somebody pays."""
    assert [key for key in fixed() if PROMISES.search(key[2])] == []


def test_a_new_sentence_is_seen(tmp_path):
    """A sentence put into a template by hand is carried by nothing: the way the table is made tells it from those of the site."""
    text = "## Rules {: #rules }\n\n{% clause 'users' %}\nEveryone here is glad to help.\n{{ site.site.name }} is open.\n{% endclause %}\n"
    own = overridden(tmp_path, "contractor-notice", "rules", text)
    found = []
    for name in ("harrow-ridge", "pellan-creek"):
        checked = demo(name)
        body = all_bodies(checked.site, checked.code, checked.assessed, (own,), wanted=("contractor-notice",))[
            "contractor-notice"
        ]["en"]
        found.append({line for clause in body.clauses for line in clause.text.splitlines()})
    both = found[0] & found[1]
    assert "Everyone here is glad to help." in both
    assert not any("is open" in line for line in both)
    assert ("contractor-notice", "users", "Everyone here is glad to help.") not in listed()
