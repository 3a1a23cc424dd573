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
    {"equipment[D-1].edge_use.setback": "1 ft"},
    {"equipment[D-1].edge_use.setback": None},
    {"equipment[D-1].cold": {"below": "0 °F", "distance": "60 in"}, "tasks[load].temperature_min": "50 °F"},
    {"limits.posture_drop": "0.0 ft", "limits.d_ring.kneeling": None},
    {"limits.d_ring.kneeling": "4.9 ft", "limits.posture_drop": None},
    {"limits.d_ring.kneeling": "4.0 ft", "limits.posture_drop": "1.0 ft"},
    {"limits.d_ring.standing": "3.0 ft", "limits.d_ring.kneeling": "3.0 ft", "limits.posture_drop": None, "limits.stature": None},
    {"equipment[D-1].standard": "ANSI/ASSP Z359.14", "equipment[D-1].class": "Class 1"},
    {"equipment[D-1].standard": None},
    {"equipment[D-1].standard": "ANSI/ASSP Z359.14-2022"},
    {"equipment[D-1].standard": "CSA Z259.2.2-17", "equipment[D-1].class": "SRL"},
    {"equipment[D-1].standard": "ANSI/ASSE Z359.14-2014", "equipment[D-1].class": "SRL, Class A"},
    {"systems[S1].anchorage.supervised_by": "trainer"},
    {"equipment[T-1].design_load": "500 lbf"},
    {"equipment[HK-1].part_of.paper": "see maker"},
    {"bays[B1].rail.stops": [{"at": "north end", "part": "ES-1", "basis": "Rail manual rev 4, page 14"}]},
    {"bays[B2].rail.deflection": "0 ft"},
    {"rescue.methods[M2].tied_to_anchor": None, "rescue.methods[M2].rescuer_tie_off": "The second rescuer hangs on the rescue anchor"},
    {f"{LEFT}.stopped_by": {"kind": "guardrail", "what": "Folding rail 1.1 m"}},
    {"systems[S2].climbers_at_once": 2, "equipment[T-2].count": 2, "equipment[D-2].count": 2, "systems[S2].trolleys": 2},
    {"rescue.contact_limit.value": "20 min"},
    {"systems[S1].anchorage.designer": "D. Sorensen"},
    {"systems[S1].anchorage.structure_checked_by": "shift-supervisor"},
    {"systems[S1].anchorage.ground.by": "L. Brandt"},
    {"bays[B2].rescue_anchors[RA-2].by": "J. Whitlow"},
    {"bays[B1].rail.deflection.by": "competent-person"},
    {"bays[B1].rail.beam.allowed_stress.by": "J. Whitlow"},
    {"equipment[D-1].arrest_distance.value": "5.5 in"},
    {"equipment[D-1].deceleration_distance": "29 in"},
    {"vehicles[tanker].hatches[0].stopped_by.load": "300 lbf"},
    {"vehicles[tank-car].hatches[0].stopped_by": {"kind": "grate", "what": "Net"}},
    {"bays[B1].later_loads[0].on": "2026-10-01"},
    {"vehicles[tank-car].hatches[0].at.value": "40 ft"},
    {"bays[B1].ladder.at.value": "4.0 ft"},
    {"rescue.methods[M3].steps[free].after": ["roll"]},
    {"rescue.methods[M2].next.after": "30 min"},
    {"rescue.methods[M1].contact_step": "alarm"},
    {"bays[B2].lighting.night_work": False},
    {"shifts[night].gate_attended": False},
    {"limits.weather.wind": "40 mph"},
    {"rescue.external.phone": "555-0911"},
    {"emergency.public.number": "119"},
], ids=lambda c: next(iter(c)))  # fmt: skip
def test_it_must_be_fixed(changes):
    """One change that no page should survive."""
    assert told(changes)


@pytest.mark.parametrize("changes", [
    {"systems[S1].anchorage.designed_on": "2025-06-01"},
    {"systems[S1].anchorage.commissioning.on": "2025-01-18"},
    {"bays[B2].rail.as_built.free_roll": True},
    {"equipment[R-1].inspection.interval": "36 months"},
    {"rescue.drill_interval": "36 months"},
    {"training.refresher": "60 months"},
    {"rescue.methods[M2].lift.needed": "0 ft"},
    {"limits.weather.wind": "55 mph", "limits.weather.gust": "70 mph"},
    {"rescue.external.arrival": "1 min"},
    {"equipment[D-2].manual": None},
], ids=lambda c: next(iter(c)))  # fmt: skip
def test_it_is_to_be_fixed_soon(changes):
    """One change that a reader must be asked about."""
    assert {f.severity for f in with_changes(demo(CLEAN), changes).assessed.findings} & {"must-fix", "fix-soon"}


def test_a_height_is_no_bound():
    """A measured height has a tolerance, whatever word stands beside it."""
    word = {"value": "27.0 ft", **SURE, "bound": "allowance"}
    case = next(c for c in with_changes(demo(CLEAN), {"bays[B1].rail.underside": word}).assessed.cases if c.side == "left")
    plain = next(c for c in demo(CLEAN).assessed.cases if c.id == case.id)
    assert case.margin_worst.si <= plain.margin_worst.si + 1e-9


WORD = {"value": "12.0 ft", **SURE}


@pytest.mark.parametrize("words", [{"tolerance": "0 ft"}, {"bound": "design", "how": None}, {"bound": "allowance"}], ids=str)
def test_nothing_is_measured_exactly(words):
    """A deck counts with the tolerance of practice, whether a zero stands there, a bound, or nothing."""
    sure = {key: value for key, value in (WORD | words).items() if value is not None}
    known = {key: value for key, value in sure.items() if key not in ("tolerance", "bound")}
    said, bare = (with_changes(demo(CLEAN), {"vehicles[tanker].deck": one}).assessed for one in (sure, known))
    assert [c.margin_worst and c.margin_worst.si for c in said.cases] == [
        c.margin_worst and c.margin_worst.si for c in bare.cases
    ]
    assert {"tolerance-zero", "tolerance-untold"} & {f.name for f in said.findings}


@pytest.mark.parametrize("drop", ["0.0 ft", "0.3 ft"])
def test_a_drop_of_nothing_closes_the_bays(drop):
    """A figure that leaves the posture out of the sum closes every bay where somebody kneels."""
    judged = with_changes(demo(CLEAN), {"limits.posture_drop": drop, "limits.d_ring.kneeling": None}).assessed
    assert {bay.state for bay in judged.bays} == {"closed-by-finding"}


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
