"""The clock of a rescue against a second implementation, over random networks and over every row of the demos."""

import random

import pytest
from reference import rescue_clock
from support import ALL_DEMOS, demo

from docgen.calc import rescue
from docgen.engineering.rescues import all_rescues

COUNT = 1000


def random_network(seed):
    """Up to twelve steps in any order that has no circle, shared hands, some who come later, times that no binary fraction holds."""
    dice = random.Random(f"rescue clock {seed}")
    size = dice.randint(1, 12)
    network = [
        {
            "id": f"s{n}", "after": dice.sample([f"s{m}" for m in range(n)], dice.randint(0, min(n, 3))),
            "times": [dice.randint(0, 3000) / 10 for _ in range(dice.randint(1, 3))],
            "hands": dice.sample("ABCDE", dice.randint(0, 3)), "from": dice.choice([0.0, 0.0, 0.0, dice.randint(1, 3000) / 10]),
        }
        for n in range(size)
    ]  # fmt: skip
    dice.shuffle(network)
    return network, dice.choice([0.0, dice.randint(1, 9000) / 10])


def compare(seed):
    """Start and finish of each step, and the time from the fall, agree to 1e-9 of themselves."""
    network, detection = random_network(seed)
    steps = [
        rescue.Step(s["id"], rescue.pessimistic(s["times"]), tuple(s["after"]), tuple(s["hands"]), s["from"]) for s in network
    ]
    plan = rescue.schedule(steps)
    known = rescue_clock.clock(network, detection)
    for step in plan.steps:
        found = [rescue.time_since_fall(detection, at) for at in (step.start, step.finish)]
        assert found == pytest.approx(known[step.id], rel=1e-9, abs=1e-9), (seed, step.id)
    return len(steps)


def test_random_networks():
    """A thousand seeded networks."""
    assert sum(compare(seed) for seed in range(COUNT)) > 5 * COUNT


def test_a_longest_path_library_agrees_with_the_reference():
    """The reference is judged itself: networkx finds the same longest path through the links that it waits for."""
    networkx = pytest.importorskip("networkx")
    for seed in range(100):
        network, detection = random_network(seed)
        graph = networkx.DiGraph()
        longest = {s["id"]: max(s["times"]) for s in network}
        for step in network:
            graph.add_edge("fall", step["id"], weight=step["from"])
            graph.add_edge(step["id"], "end", weight=longest[step["id"]])
        for late, links in rescue_clock.waits(network).items():
            graph.add_weighted_edges_from((early, late, longest[early]) for early in links)
        total = networkx.dag_longest_path_length(graph)
        assert detection + total == pytest.approx(max(end for _, end in rescue_clock.clock(network, detection).values()))


def test_the_first_whose_predecessors_have_come_up_goes_first():
    """One pair of hands: the list decides who goes first, not the length of the steps."""
    network = [
        {"id": "long", "after": (), "times": [300], "hands": "A", "from": 0},
        {"id": "short", "after": (), "times": [10, 5], "hands": "A", "from": 20},
    ]
    assert rescue_clock.clock(network, 60.0) == {"long": (60.0, 360.0), "short": (360.0, 370.0)}


def rows_of(site):
    """(row, method and shift as the profile writes them) of each row that is computed."""
    checked = demo(site)
    methods = {m["id"]: m for m in checked.source.data.get("rescue", {}).get("methods", ())}
    shifts = {s["id"]: s for s in checked.source.data.get("shifts", ())}
    rows = all_rescues(checked.site, checked.code, checked.assessed.cases)
    return [(r, methods[r.method], shifts[r.shift]) for r in rows if r.contact is not None]


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_every_row_of_a_demo(site):
    """Contact and ground from nothing but the text of the profile."""
    for row, method, shift in rows_of(site):
        assert (row.contact.si, row.ground.si) == pytest.approx(rescue_clock.of_profile(method, shift), rel=1e-9)
