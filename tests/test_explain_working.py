"""`docgen explain` of a calculation: what it is, and how a site's numbers came out, for everything that has a working."""

import re

import pytest
from support import AS_OF, demo

from docgen.calc.catalogue import catalogue
from docgen.errors import Refusal
from docgen.explain import explain
from docgen.words import meaning, refusal_text


@pytest.fixture(scope="module")
def harrow():
    return demo("harrow-ridge")


@pytest.mark.parametrize("name", catalogue())
def test_every_calculation_is_explained(name):
    """Meaning, formula, each symbol with its unit, what it is valid for, and the source."""
    rule = catalogue()[name].formula
    text = " ".join(explain(name, None, None, AS_OF).split())
    assert text.startswith(f"{name.split('.')[1]}: {meaning('formulas', name, 'en')} [")
    assert rule.text in text
    assert all(meaning("terms", term.key, "en") in text for _, term in rule.terms)
    assert " valid " in text
    assert " ".join(rule.cite.split()) in text


def test_a_rescue_row(harrow):
    """The clock of one row: detection, each step, the network, contact and ground, as the procedure prints them."""
    text = explain("rescue", harrow, "B2.tank-car.M2.evening", AS_OF)
    row = next(r for r in harrow.assessed.rescues if r.path == "rescues[B2.tank-car.M2.evening]")
    assert text.startswith("rescue B2.tank-car.M2.evening: within the limits\n")
    assert all(f"duration that decides ({t.id})" in text for t in row.timings)
    assert "time from the fall until a step is done (attach)" in text
    assert f"({row.contact.si:.1f} s)" in text
    assert f"({row.ground.si:.1f} s)" in text
    assert "watched = " in text or "t_check = " in text


def test_the_slowest_row_of_each_method_unasked(harrow):
    """Without a row's name: one row a method."""
    heads = re.findall(r"^rescue \S+\.(\S+)\.\S+:", explain("time_since_fall", harrow, None, AS_OF), re.MULTILINE)
    assert sorted(heads) == sorted({r.method for r in harrow.assessed.rescues if r.ground is not None})


def test_due_dates_and_load_paths(harrow):
    """The day that was counted from, the months and the day that came out; every rating of a load path."""
    text = explain("due_date", harrow, "D-1", AS_OF)
    due = next(d for d in harrow.assessed.dues if d.id == "D-1")
    assert f"last = {due.last}; n = 6; k = 0" in text
    assert f"= {due.due}" in text
    assert "C_1 = 500.0 lb" in explain("chain_limit", harrow, "S1", AS_OF)


def test_an_unknown_row(harrow):
    """A name that nothing has is refused with those near it."""
    with pytest.raises(Refusal) as refused:
        explain("rescue", harrow, "B2.tank-car.M2.noon", AS_OF)
    assert re.match(r"there is no case 'B2\.tank-car\.M2\.noon'; near it: B2\.tank-car\.M2\.", refusal_text(refused.value, "en"))
