"""A clause whose text moves when a field of the profile is changed shows a changed input: so an approval can say what lapsed it."""

import random
import re

import pytest
from support import demo, legal_file, with_changes
from tracing import Experiment, named

# fields that 0.1.0 did not trace, and those that everything hangs on: the law, the units, the spelling, rules beside the law
TELLING = re.compile(
    r"^site\.(jurisdiction|sector|units)$|\.may_climb$|^bays\[0\]\.rail\.(underside|hang|deflection|part)|^vehicles\[[01]\]\.(kind|deck)"
    r"|^vehicles\[0\]\.deck\.(by|on|how)$|^tasks\[[01]\]\.permission$|^codes\.(owner|local\[0\]\.(citation|value|kind|verified_on|bound))"
    r"|^site_rules\[[01]\]\.(value|bound|question)|^shifts\[0\]\.watch\.|^contractors\.classes\[[01]\]\.name$"
)
DEMOS = ("harrow-ridge", "pellan-creek")


def sections(document):
    """Id of each section of a paper -> its text."""
    _, *parts = re.split(r"^## .*\{: #([\w-]+).*$", document.markdown, flags=re.MULTILINE)
    return dict(zip(parts[::2], parts[1::2], strict=True))


@pytest.mark.parametrize("place", ["GB", "US-CA", "CA-QC", "AU-NSW"])
def test_another_law_is_seen_in_every_clause(place):
    """Under the law of another place figures, citations, units and spelling differ; every clause that moves shows the place or the law."""
    experiment = Experiment("harrow-ridge")
    assert experiment.unexplained(("site", "jurisdiction"), place) == []
    ours = demo("harrow-ridge")
    before, after = (sections(legal_file(c)) for c in (ours, with_changes(ours, {"site.jurisdiction": place})))
    assert {"read", "law", "references"} <= {name for name, text in before.items() if after[name] != text}
    assert experiment.moved + sum(after[name] != text for name, text in before.items()) > 10


@pytest.mark.parametrize("name", DEMOS)
def test_every_clause_that_moves_shows_why(name):
    """The fields that tell, and a seeded part of the others, changed once each; the whole is in `tests/long`."""
    experiment = Experiment(name)
    telling = [leaf for leaf in experiment.leaves if TELLING.search(named(leaf))]
    others = [leaf for leaf in experiment.leaves if leaf not in telling]
    chosen = [*telling, *random.Random(DEMOS.index(name)).sample(others, 15)]
    unexplained = {named(leaf): experiment.unexplained(leaf) for leaf in chosen}
    assert {field: clauses for field, clauses in unexplained.items() if clauses} == {}
    tried = [field for field, clauses in unexplained.items() if clauses is not None]
    assert len(tried) > 0.8 * len(chosen)
    assert experiment.moved > len(tried)  # the experiment looks at something
