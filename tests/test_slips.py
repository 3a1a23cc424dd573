"""Single slips in the clean demo that no paper should survive: each was once let through."""

from __future__ import annotations

import pytest
from support import demo, with_changes

CLEAN = "harrow-ridge"


def told(changes: dict[str, object]) -> set[str]:
    """The names of what must be fixed in the clean demo with some changes."""
    return {f.name for f in with_changes(demo(CLEAN), changes).assessed.findings if f.severity == "must-fix"}


LEFT = "vehicles[tanker].sides[left]"
SURE = {"how": "measured", "by": "safety-manager", "on": "2026-08-18"}


@pytest.mark.parametrize("changes", [
    {f"{LEFT}.stopped_by": {"kind": "other-fixed", "what": "none"}},
    {"vehicles[tank-car].hatches[0].stopped_by": {"kind": "other-fixed", "what": "nothing"}},
    {"equipment[F-1].part_of.paper": "none"},
    {"equipment[D-1].edge_use.page": "none"},
    {"tasks[load].struck[0].text": "none"},
    {"bays[B1].obstructions[column-e].from": "3.5 ft", "bays[B1].obstructions[column-e].top": "-28 ft"},
    {"bays[B1].rescue_anchors[RA-1].strength": {"value": "3600 lbf", "how": "assumed"}},
    {"equipment[D-1].edge_use": {"same": True, "arrest_distance": "60 in", "page": "page 22"}},
    {"equipment[D-1].edge_use": {"same": True, "page": "page 22", "setback": "14 ft"}},
    {"systems[S1].anchorage.supervised_by": "trainer"},
    {"equipment[T-1].design_load": "500 lbf"},
    {"equipment[HK-1].part_of.paper": "see maker"},
    {"bays[B1].rail.stops": [{"at": "north end", "part": "ES-1", "basis": "Rail manual rev 4, page 14"}]},
    {"bays[B2].rail.deflection": "0 ft"},
    {"rescue.methods[M2].tied_to_anchor": None, "rescue.methods[M2].rescuer_tie_off": "The second rescuer hangs on the rescue anchor"},
    {f"{LEFT}.stopped_by": {"kind": "guardrail", "what": "Folding rail 1.1 m"}},
    {"systems[S2].climbers_at_once": 2, "equipment[T-2].count": 2, "equipment[D-2].count": 2, "systems[S2].trolleys": 2},
    {"rescue.contact_limit.value": "20 min"},
], ids=lambda c: next(iter(c)))  # fmt: skip
def test_it_must_be_fixed(changes):
    """One change that no page should survive."""
    assert told(changes)


def test_a_height_is_no_bound():
    """A measured height has a tolerance, whatever word stands beside it."""
    word = {"value": "27.0 ft", **SURE, "bound": "allowance"}
    case = next(c for c in with_changes(demo(CLEAN), {"bays[B1].rail.underside": word}).assessed.cases if c.side == "left")
    plain = next(c for c in demo(CLEAN).assessed.cases if c.id == case.id)
    assert case.margin_worst.si <= plain.margin_worst.si + 1e-9


def test_the_deck_is_an_edge():
    """An edge entered below the deck makes no line bear less."""
    case = next(
        c for c in with_changes(demo(CLEAN), {f"{LEFT}.edge_top": "10.6 ft"}).assessed.cases if c.id == "load.kneeling.left"
    )
    assert case.bears


def test_an_unstated_peak_bends_the_rail():
    """The law's largest force counts in the deflection too, as the finding says."""
    changes = {"equipment[D-1].arrest_force_peak": None, "bays[B1].rail.deflection_load": "900 lbf"}
    case = next(c for c in with_changes(demo(CLEAN), changes).assessed.cases if c.bay == "B1")
    assert case.deflection.si == pytest.approx(0.2 * 0.3048)
