"""Load path, forces and arrest distances: what a missing link, a second person, a steep line, the cold and a heavy person do to a clean demo."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from support import AS_OF, SITES, assess, changed, find, log_of, logged
from test_findings import view_of

from docgen.calc import anchorage, capacity
from docgen.codes import load
from docgen.engineering import engineered
from docgen.engineering.chains import LINKS, all_chains, rated
from docgen.engineering.loads import persons
from docgen.findings import RULES
from docgen.read import Source, read_profile
from docgen.site import build
from docgen.site.equipment import WithoutKind

INCH, POUND, LBF, G = 0.0254, 0.45359237, 4.4482216152605, 9.80665
CLEAN = ("harrow-ridge", "pellan-creek")
#: What can be each link of a load path, written a second time: no other part stands in for it.
STANDS_FOR = {
    "foundation": {"foundation", "host-structure"}, "structure": {"structure"}, "hanger": {"hanger"}, "splice": {"splice"},
    "end-stop": {"end-stop"}, "rail": {"rail"}, "trolley": {"trolley"}, "connector": {"connector"}, "srd": {"srd"},
    "hook": {"hook", "swivel"}, "harness": {"harness"},
}  # fmt: skip


def data_of(name: str) -> dict:
    return read_profile(SITES / name).data


def site_of(name: str, change: dict | None = None):
    data = changed(data_of(name), change or {})
    return build(Source("profile.yaml", "", data, read_profile(SITES / name).marks, ()))


def numbers_of(change: dict | None = None, name: str = "harrow-ridge"):
    site = site_of(name, change)
    return engineered(site, load(site.site.jurisdiction, site.site.sector, AS_OF))


def case(change: dict, key: str = "load.standing.left"):
    return numbers_of(change).by_id[key]


# --- the load path ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CLEAN)
def test_load_path_of_a_clean_demo_is_whole(name):
    """Each link is there or said not to be, each part has a rating or a paper."""
    for chain in all_chains(site_of(name)):
        assert (chain.lacking, chain.unrated) == ((), ())
        assert chain.limit is not None


@pytest.mark.parametrize("name", CLEAN)
@pytest.mark.parametrize(("link", "kinds"), STANDS_FOR.items(), ids=list(STANDS_FOR))
def test_each_link_is_asked_for(name, link, kinds):
    """Every part of a kind taken out of the site, and every link that it was taken from is named; no limit is left."""
    site = site_of(name)
    left = tuple(p for p in site.equipment if p.kind not in kinds)
    bays = tuple(replace(b, rail=replace(b.rail, stops=())) for b in site.bays) if link == "end-stop" else site.bays
    systems = tuple(replace(s, without=()) for s in site.systems)
    for chain in all_chains(replace(site, equipment=left, bays=bays, systems=systems)):
        assert link in chain.lacking
        assert chain.limit is None


@pytest.mark.parametrize("link", [k for k, _ in LINKS])
def test_what_can_be_said_not_to_exist(link):
    """A system may lack frame, hanger, splice and connector; without the rest nobody is held."""
    assert (link in WithoutKind.__args__) == (link in ("structure", "hanger", "splice", "connector"))


def test_a_missing_link_stops_the_issue_and_closes_the_bay():
    """The trolley left out of the parts: the engineering record stays a draft, the bay is closed for a part without proved strength."""
    data = changed(data_of("harrow-ridge"), {"systems[S1].parts": ["ST-1", "R-1", "C-1", "D-1"]})
    site = build(Source("profile.yaml", "", data, read_profile(SITES / "harrow-ridge").marks, ()))
    done = assess(site, load("US-NE", "general-industry", AS_OF), AS_OF, logged(log_of("harrow-ridge")))
    (hit,) = (f for f in done.findings if f.name == "load-path-incomplete")
    assert (hit.severity, hit.stops) == ("must-fix", "issue")
    state = next(b for b in done.bays if b.bay == "B1")
    assert state.state == "closed-by-finding"
    assert any(r.reason == "part-strength" and "load-path-incomplete" in r.findings for r in state.reasons)


def test_nothing_is_rated_by_being_part_of_itself():
    """A circle of parts holds nothing, and a part whose whole has no rating has none; a paper is asked for."""
    site = site_of("harrow-ridge", {
        "equipment[R-1].rated_users": None, "equipment[R-1].part_of": {"part": "HG-1", "paper": "Page 2"},
        "equipment[HK-1].part_of": {"part": "D-1"},
    })  # fmt: skip
    assert not rated(site, site.part("R-1"))
    assert not rated(site, site.part("SP-1"))
    assert not rated(site, site.part("HK-1"))
    assert rated(site, site.part("F-1"))


def test_users_are_counted_from_the_parts():
    """A stated number of trolleys changes nothing; counted ones do, a spare does not."""
    two = {"systems[S2].trolleys": 2}
    counted = {f"equipment[{key}].count": 2 for key in ("T-2", "C-2", "D-2", "HK-2")}

    def users(change):
        return next(c.users for c in all_chains(site_of("harrow-ridge", change)) if c.system == "S2")

    assert (users({}), users(two), users(counted)) == (1, 1, 2)
    for key in counted:
        assert users({**counted, key: 1}) == 1
    spare = {"id": "T-9", "kind": "trolley", "spare": True}
    beside = {"equipment[T-9]": spare, "systems[S2].parts": ["ST-2", "R-2", "T-2", "T-9", "C-2", "D-2"]}
    assert users({**counted, **beside, "equipment[T-2].count": 1}) == 1
    # one trolley that is rated for two carries both; everything else is counted as before
    shared = {**counted, "equipment[T-2].count": 1, "systems[S2].rated_users_per_trolley": 2}
    assert (users(shared), users({**shared, "equipment[D-2].count": 1})) == (2, 1)


def test_the_anchorage_is_asked_for_all_who_may_hang():
    """Two planned on an anchorage designed for one are two: finding and printed demand speak of the same number."""
    change = {"systems[S1].climbers_at_once": 2}
    assert persons(site_of("harrow-ridge", change).systems[0]) == 2
    demand = numbers_of(change).further[0].anchorage_needed.si
    assert demand == pytest.approx(2 * 2 * 1800 * LBF)
    (hit,) = find(view_of(changed(data_of("harrow-ridge"), change), AS_OF), "anchorage-design-low")
    assert dict(hit.values)["need"].si == pytest.approx(demand)


def test_an_anchorage_rated_by_person_for_two():
    """29 CFR 1910.140(c)(13)(i) (memory): 5,000 lbf for each person attached, so 10,000 lbf for two."""
    change = {"systems[S1].climbers_at_once": 2, "systems[S1].anchorage.basis": "rated-per-user"}
    assert numbers_of(change).further[0].anchorage_needed.si == pytest.approx(10_000 * LBF)


# --- forces -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("angle", [0.0, 10.0, 24.1, 45.0, 90.0])
def test_side_load_from_first_principles(angle):
    """The pull along the line as a vector from the line exit to the ring; its part at right angles to the vertical is the side load.

    Derivation: the ring lies `h` below and `x` beside the line exit, so the unit vector along the line is (x, -h) / L with
    L = sqrt(x^2 + h^2); a pull F along it has the part F x / L across the rail, and what is left is F h / L, straight down.
    """
    force, height = 8000.0, 3.0
    aside = height * math.tan(math.radians(angle)) if angle < 90 else 3.0
    length = math.hypot(aside, height) if angle < 90 else aside
    across = anchorage.side_load(force, math.radians(angle))
    assert across == pytest.approx(force * aside / length, abs=1e-9)
    down = force * height / length if angle < 90 else 0.0
    assert math.hypot(across, down) == pytest.approx(force)


def test_side_load_of_two_users_on_a_clean_demo():
    """Harrow Ridge, truck bay: peak 1,800 lbf; the side load is that of the line at the top of the ladder, which is steeper than that of any allowed case, after
    tolerances: ladder 4.1 ft across and 2.1 ft along, line exit 25.85 ft, deck 12.3 ft, ring 5.4 ft."""
    numbers = numbers_of()
    steepest = math.atan(math.hypot(4.1, 2.1) / (25.85 - 12.3 - 5.4))
    assert steepest > max(c.line_angle_worst.si for c in numbers.cases_of("B1", permission="allowed"))
    further = numbers.further[0]
    assert further.side_angle.si == pytest.approx(steepest)
    assert further.side_load.si == pytest.approx(1800 * LBF * math.sin(steepest))
    assert "S" in {step.symbol for step in further.working}


def test_an_unstated_peak_is_the_maximum_of_the_law():
    """29 CFR 1910.140(d)(1)(i) (memory): 1,800 lbf; the average on the label plays no part, however large or small."""
    change = {"equipment[D-1].arrest_force_peak": None, "equipment[D-1].arrest_force_average": "400 lbf"}
    angle = numbers_of().further[0].side_angle.si
    assert numbers_of(change).further[0].side_load.si == pytest.approx(1800 * LBF * math.sin(angle))
    assert numbers_of(change).further[0].anchorage_needed.si == pytest.approx(3600 * LBF)


def test_a_figure_beyond_its_class_stops_the_issue():
    """Nobody issues a paper on a figure that the class excludes, and nobody accepts it."""
    rule = next(r for r in RULES if r.name == "class-limit-over")
    assert (rule.severity, rule.stops, rule.acceptable) == ("must-fix", "issue", False)


# --- two users ----------------------------------------------------------------------------------------------------------


def test_load_and_spacing_of_two_from_first_principles():
    """One falls with the peak, one hangs with the weight; two circles about the trolleys that do not meet.

    Derivation: vertical forces on one rail add, so peak + m g. A person who swings stays within the offset of the own trolley; a body is
    1 ft to each side of its ring, so two do not touch where the trolleys are both offsets and 2 ft apart.
    """
    assert anchorage.second_load(1800 * LBF, 310 * POUND) / LBF == pytest.approx(2110.0)
    assert anchorage.second_load(6000.0, 100.0) == pytest.approx(6980.665)
    for one, other in ((4.0, 4.0), (2.0, 5.0)):
        apart = capacity.least_spacing(one, other, 2.0)
        assert apart - one - other == pytest.approx(2.0)


def test_two_users_in_the_record():
    """Load, spacing and what is kept of the margin after tolerances when the rail is bent by both; nothing of it where one person climbs."""
    alone = numbers_of().further[1]
    assert (alone.second_load, alone.spacing, alone.second_kept) == (None, None, None)
    worked = {"text": "One hangs and one falls", "load": "2200 lbf", "deflection": "0.5 ft"}
    numbers = numbers_of({"systems[S2].climbers_at_once": 2, "systems[S2].load_cases": [worked]})
    further = numbers.further[1]
    cases = numbers.cases_of("B2", permission="allowed")
    assert further.second_load.si == pytest.approx((1800 + 310) * LBF)
    assert further.spacing.si == pytest.approx(2 * max(c.offset_worst.si for c in cases) + 2 * 0.3048)
    assert further.second_kept.si == pytest.approx(min(c.kept.si for c in cases) - 0.4 * 0.3048)


# --- arrest distances ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "inches"),
    [
        pytest.param({}, 30, id="nothing else in the manual"),
        pytest.param({"equipment[D-1].cold": {"below": "-4 °F", "distance": "48 in", "page": "page 7"}}, 48, id="colder than the manual says"),
        pytest.param({"equipment[D-1].cold": {"below": "-20 °F", "distance": "48 in", "page": "page 7"}}, 30, id="exactly there"),
        pytest.param({"equipment[D-1].cold": {"below": "-4 °F", "distance": "20 in", "page": "page 7"}}, 30, id="never shorter than the label"),
        pytest.param({"equipment[D-1].cold": {"distance": "48 in", "page": "page 7"}}, 48, id="below an unknown temperature"),
        pytest.param({"equipment[D-1].cold": {"below": "-4 °F", "distance": "48 in"}, "tasks[load].temperature_min": None,
                      "limits.weather.temperature_min": None}, 48, id="outside, and nobody says how cold"),
        pytest.param({"equipment[D-1].cold": {"below": "-4 °F", "distance": "48 in"}, "tasks[load].temperature_min": None,
                      "bays[B1].setting": "indoor"}, 48, id="indoors, and nobody says how cold"),
        pytest.param({"equipment[D-1].cold": {"below": "-4 °F", "distance": "48 in"}, "tasks[load].temperature_min": "50 °F",
                      "bays[B1].setting": "indoor"}, 30, id="indoors, where it is warm"),
        pytest.param({"equipment[D-1].cold": {"below": "0 °F", "distance": "60 in"}, "tasks[load].temperature_min": "50 °F"}, 60,
                     id="a task in the warm, and climbing posted down to -20 °F"),
        pytest.param({"equipment[D-1].cold": {"below": "0 °F", "distance": "60 in"}, "tasks[load].temperature_min": "50 °F",
                      "limits.weather.temperature_min": "10 °F"}, 30, id="posted above it"),
        pytest.param({"equipment[D-1].cold": {"below": "0 °F", "distance": "60 in"}, "limits.weather.temperature_min": "10 °F"}, 60,
                     id="a task in a deeper cold than is posted"),
        pytest.param({"equipment[D-1].cold": {"below": "0 °F", "distance": "60 in"}, "tasks[load].temperature_min": "50 °F",
                      "limits.weather.temperature_min": None}, 60, id="a task in the warm, and nothing posted"),
        pytest.param({"equipment[D-1].cold": {"below": "-4 °F", "distance": "48 in"}, "tasks[load].temperature_min": None}, 48,
                     id="the weather limit of the site"),
        pytest.param({"limits.upper.value": "360 lb", "equipment[D-1].arrest_at": [{"mass": "370 lb", "distance": "44 in"}]}, 44,
                     id="the figure for a heavier person"),
        pytest.param({"limits.upper.value": "360 lb", "equipment[D-1].arrest_at": [
            {"mass": "420 lb", "distance": "50 in"}, {"mass": "360 lb", "distance": "44 in"}]}, 44, id="the first that covers it"),
        pytest.param({"limits.upper.value": "361 lb", "equipment[D-1].arrest_at": [
            {"mass": "420 lb", "distance": "50 in"}, {"mass": "360 lb", "distance": "44 in"}]}, 50, id="nothing between two rows is scaled"),
        pytest.param({"limits.upper.value": "360 lb", "equipment[D-1].arrest_at": [
            {"mass": "320 lb", "distance": "52 in"}, {"mass": "360 lb", "distance": "44 in"}]}, 52, id="a lighter one goes further"),
        pytest.param({"limits.upper.value": "310 lb", "equipment[D-1].arrest_at": [{"mass": "370 lb", "distance": "44 in"}]}, 30,
                     id="exactly the tested mass"),
        pytest.param({"equipment[D-1].arrest_at": [{"mass": "220 lb", "distance": "44 in"}]}, 44, id="a lighter one goes further than the label says"),
        pytest.param({"equipment[D-1].arrest_at": [{"mass": "310 lb", "distance": "40 in"}]}, 40, id="a longer one at the tested mass"),
        pytest.param({"limits.upper.value": "200 lb", "equipment[D-1].arrest_at": [
            {"mass": "220 lb", "distance": "40 in"}, {"mass": "290 lb", "distance": "44 in"}]}, 40, id="the first that covers a limit below it"),
    ],
)  # fmt: skip
def test_arrest_distance_of_a_task(change, inches):
    """The longest of the label, the manual's figure in the cold and the maker's figure for the posted mass."""
    assert case(change).arrest_distance.si == pytest.approx(inches * INCH)


def test_a_heavy_person_without_a_figure_is_not_computed():
    """Nothing is scaled from the label: the case has no margin, and says which figure it lacks."""
    heavy = case({"limits.upper.value": "360 lb"})
    assert heavy.margin is None
    assert heavy.missing == ("equipment[D-1].arrest_at",)


def test_a_cold_distance_that_is_not_given_is_not_computed():
    """The manual says that another distance holds in the cold, and nobody entered it."""
    cold = case({"equipment[D-1].cold": {"below": "-4 °F", "page": "page 7"}})
    assert cold.missing == ("equipment[D-1].cold.distance",)
    assert cold.margin is None
