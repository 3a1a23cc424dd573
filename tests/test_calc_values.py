"""Values and refusals of the calculations, on both sides of every limit; figures without a source are own sums."""

import math
from datetime import date, datetime

import pytest
from reference import anchorage as other_anchorage
from reference import arrest as other_arrest
from reference import capacity as other_capacity
from reference import climb as other_climb
from reference import dates as other_dates
from reference import lanyard as other_lanyard
from reference import population as other_population
from reference import rescue as other_rescue
from reference import swing as other_swing

from docgen.calc import (
    CalcError,
    G,
    anchorage,
    arrest,
    capacity,
    clearance,
    climb,
    dates,
    lanyard,
    population,
    rescue,
    swing,
)
from docgen.calc.rescue import Step
from docgen.errors import DocgenError
from docgen.units import Interval

FOOT, POUND, LBF = 0.3048, 0.45359237, 4.4482216152605  # international yard and pound, 1959; basis: memory

# A demonstration scene, all in feet: line exit 24.0 above grade, D-ring 5.0 above the feet, arrest distance 3.5,
# stretch 1.0, margin 2.0, D-ring 4.0 off the rail. Deck; height of the exit above the D-ring; swing drop; line angle in
# degrees; need below the deck; have; largest offset by clearance; by 30 degrees. Recomputed by hand from Pythagoras.
SCENE = [
    ("flatbed", 5.0, 14.0, math.sqrt(14.0**2 + 16) - 14.0, 16, 7.06, 5.0, None, 8.08),
    ("trailer", 11.5, 7.5, 8.5 - 7.5, 28, 7.50, 11.5, 10.0, 4.33),
    ("railcar", 15.5, 3.5, math.sqrt(3.5**2 + 16) - 3.5, 49, 8.32, 15.5, 12.00, 2.02),
]


@pytest.mark.parametrize(("vehicle", "deck", "height", "drop", "angle", "need", "have", "by_clearance", "by_angle"), SCENE)
def test_scene(vehicle, deck, height, drop, angle, need, have, by_clearance, by_angle):
    """The lowest deck governs clearance, the highest governs angle and swing; hand figures and program agree."""
    exit_, ring = 24.0 * FOOT, 5.0 * FOOT
    h = exit_ - deck * FOOT - ring
    x = swing.offset(swing.across_offset(0.0, 4.0 * FOOT, 0.0), 0.0)
    assert h == pytest.approx(height * FOOT)
    sw = swing.swing_drop(h, x)
    assert sw == pytest.approx(drop * FOOT)
    assert round(math.degrees(swing.line_angle(h, x))) == angle
    required = clearance.required_below_surface(3.5 * FOOT, 1.0 * FOOT, 0.0, sw, 0.0, 2.0 * FOOT)
    assert required / FOOT == pytest.approx(need, abs=0.005)
    available = clearance.available_below_surface(deck * FOOT, 0.0)
    assert available / FOOT == pytest.approx(have)
    allowed = clearance.allowed_swing(available, 3.5 * FOOT, 1.0 * FOOT, 0.0, 0.0, 2.0 * FOOT)
    largest = swing.largest_offset_for_drop(h, allowed)
    assert largest / FOOT == pytest.approx(0.0 if by_clearance is None else by_clearance, abs=0.005)
    assert swing.largest_offset_for_angle(h, math.radians(30)) / FOOT == pytest.approx(by_angle, abs=0.005)


# Hanging D-ring and feet above grade in that scene, in feet; vehicle, offset 4.0, height of exit above D-ring.
@pytest.mark.parametrize(("height", "ring", "feet"), [(7.5, 12.0, 6.0), (3.5, 15.2, 9.2)])
def test_scene_hanging(height, ring, feet):
    """After the whole arrest the ring hangs where the hand figures say, the feet 5.0 ft and 1.0 ft of shift lower."""
    line = swing.line_length(height * FOOT, 4.0 * FOOT)
    low = clearance.hang_d_ring_lowest(24.0 * FOOT, line, 3.5 * FOOT)
    assert round(low / FOOT, 1) == ring
    assert round(clearance.hang_feet_lowest(low, 5.0 * FOOT, 1.0 * FOOT) / FOOT, 1) == feet
    high = clearance.hang_d_ring_highest(24.0 * FOOT, line, arrest.lock_distance(4.5 * FOOT))
    assert (high - low) / FOOT == pytest.approx(3.5 - 0.3147, abs=1e-4)
    assert clearance.hang_feet_highest(high, 5.0 * FOOT) == pytest.approx(high - 5.0 * FOOT)
    assert clearance.hang_d_ring_lowest(24.0 * FOOT, line, 3.5 * FOOT, 0.1 * FOOT) == pytest.approx(low - 0.1 * FOOT)


def test_scene_margins():
    """Flatbed short 2.06 ft, and short even without margin; trailer 4.0 ft left, but short 0.5 ft over a fender."""
    flatbed = swing.swing_drop(14.0 * FOOT, 4.0 * FOOT)
    need = clearance.required_below_surface(3.5 * FOOT, 1.0 * FOOT, 0.0, flatbed, 0.0, 2.0 * FOOT)
    assert clearance.clearance_margin(5.0 * FOOT, need) / FOOT == pytest.approx(-2.06, abs=0.005)
    assert need - 2.0 * FOOT > 5.0 * FOOT
    drop = swing.swing_drop(7.5 * FOOT, 4.0 * FOOT)
    trailer = clearance.required_below_surface(3.5 * FOOT, FOOT, 0.0, drop, 0.0, 2 * FOOT)
    for low, left in ((0.0, 4.0), (4.5, -0.5)):
        available = clearance.available_below_surface(11.5 * FOOT, low * FOOT)
        assert clearance.clearance_margin(available, trailer) / FOOT == pytest.approx(left)
    spare = clearance.allowed_swing(7.0 * FOOT, 3.5 * FOOT, FOOT, 0.0, 0.0, 2 * FOOT)
    assert swing.largest_offset_for_drop(7.5 * FOOT, spare) / FOOT == pytest.approx(2.78, abs=0.005)
    assert swing.swing_speed(swing.swing_drop(3.5 * FOOT, 4.0 * FOOT)) / FOOT == pytest.approx(10.8, abs=0.05)


def test_lock_of_4_5_feet_per_second():
    """4.5 ft/s (common practice, no published source) takes 0.315 ft (3.78 in) and 0.14 s; 5.03 in at 30 degrees."""
    assert arrest.lock_distance(4.5 * FOOT) / FOOT == pytest.approx(0.315, abs=5e-4)
    assert arrest.lock_distance(4.5 * FOOT) / 0.0254 == pytest.approx(3.7763, abs=5e-5)
    assert other_arrest.lock_time(4.5 * FOOT) == pytest.approx(0.13986, abs=5e-6)
    angles = {angle: arrest.lock_distance(4.5 * FOOT, math.radians(angle)) / 0.0254 for angle in (0, 15, 30, 45)}
    assert angles == pytest.approx({0: 3.776, 15: 4.047, 30: 5.035, 45: 7.553}, abs=5e-4)


# (body mass in lb, free fall in ft, force in lbf, braking distance in ft): own figures by integration.
@pytest.mark.parametrize(
    ("pounds", "feet", "lbf", "expected"),
    [
        (310, 6, 900, 3.1525),
        (282, 6, 900, 2.7379),
        (310, 2, 1350, 0.5962),
        (282, 12, 1350, 3.1685),
        (220, 6, 900, 1.9412),
    ],
)
def test_braking_distance(pounds, feet, lbf, expected):
    """Braking at a constant force; the average force over that distance is the force again."""
    d = arrest.braking_distance(pounds * POUND, feet * FOOT, lbf * LBF)
    assert d / FOOT == pytest.approx(expected, abs=5e-5)
    assert other_arrest.average_force(pounds * POUND, feet * FOOT, d) == pytest.approx(lbf * LBF)
    assert arrest.arrest_distance_lower_bound(feet * FOOT, pounds * POUND, lbf * LBF) == pytest.approx(feet * FOOT + d)


def test_chain():
    """The weakest part governs, at equal limits the first; the lower limit is the most demanding one."""
    assert capacity.chain_limit([190.0, 140.6, 140.6]) == (140.6, 1)
    assert capacity.lower_limit([0.0, 59.0, 59.0]) == (59.0, 1)
    assert clearance.governing_arrest_distance((0.4, 0.9, 0.9)) == (0.9, 1)
    assert [capacity.users_allowed(*counts) for counts in [(2, 1), (2, 1, 2), (1, 5), (0, 2), (3, 0)]] == [
        1,
        2,
        1,
        0,
        0,
    ]
    assert other_capacity.body_allowance(140.0) == 140.0
    assert other_capacity.body_allowance(140.0, 5.0, 135.0) == 0.0


@pytest.mark.parametrize(
    ("pounds", "less_than", "not_more_than"), [(309.9, True, True), (310, False, True), (310.1, False, False)]
)
def test_at_the_limit(pounds, less_than, not_more_than):
    """29 CFR 1910.140(d)(1) note says less than 310 lb (memory), WAC 296-880-40020 no more than 310 lb (read)."""
    mass, limit = pounds * POUND, 310 * POUND
    assert other_capacity.within_limit(mass, limit, inclusive=False) is less_than
    assert other_capacity.within_limit(mass, limit, inclusive=True) is not_more_than


def test_edge():
    """The line bears on the edge from the point where arrest and swing use up the height of the D-ring."""
    assert clearance.line_bears_on_edge(1.5, 1.0, 0.5) == 0.0
    assert clearance.line_bears_on_edge(1.5, 1.0, 0.6) < 0 < clearance.line_bears_on_edge(1.5, 1.0, 0.4)


def test_offsets_and_parking():
    """Across, along, and what is left for parking, signed per side."""
    assert swing.across_offset(-0.5, 1.0, 0.25) == 1.75
    assert swing.offset(0.3, 0.4) == pytest.approx(0.5)
    assert swing.largest_across(0.5, 0.3) == pytest.approx(0.4)
    assert swing.largest_across(0.3, 0.5) == swing.largest_across(0.0, 0.0) == 0.0
    assert swing.parking_allowance(1.0, 0.8, 0.5) == pytest.approx(-0.3)
    assert swing.parking_allowance(1.0, 0.8, -0.5) == pytest.approx(0.7)
    assert swing.largest_offset_for_drop(2.0, -0.1) == swing.largest_offset_for_drop(2.0, 0.0) == 0.0
    assert swing.swing_drop(0.0, 0.0) == 0.0
    assert swing.swing_drop(0.0, 2.0) == 2.0
    assert swing.line_angle(2.0, 0.0) == 0.0


# Line exit at 10, line 5, extra 1; interval -> (lowest, highest), by the circles of radius 6 and 5.
@pytest.mark.parametrize(
    ("near", "far", "lowest", "highest"),
    [
        (0.0, 3.0, 4.0, 6.0),
        (3.0, 4.0, 10 - math.sqrt(27), 7.0),
        (-4.0, -3.0, 10 - math.sqrt(27), 7.0),
        (-3.0, 4.0, 4.0, 7.0),
        (4.0, 3.0, 10 - math.sqrt(27), 7.0),
        (5.5, 7.0, 10 - math.sqrt(36 - 5.5**2), 10.0),
        (6.0, 9.0, 10.0, 10.0),
    ],
)
def test_arc(near, far, lowest, highest):
    """The band of the D-ring covers the arc before and after payout, on either side, in either order of the ends."""
    assert other_swing.arc_reaches(5.0, 1.0, near, far)
    assert other_swing.arc_heights(10.0, 5.0, 1.0, near, far) == pytest.approx((lowest, highest))


def test_tension():
    """From rest, energy and circular motion give the same tension; hanging still it is the weight."""
    angle, mass, line = math.radians(50), 100.0, 4.0
    speed = swing.swing_speed(other_swing.swing_drop_at_angle(line, angle))
    assert other_swing.tension_at_bottom(mass, angle) == pytest.approx(other_swing.tension_at_speed(mass, speed, line))
    assert other_swing.tension_at_bottom(mass, 0.0) == other_swing.tension_at_speed(mass, 0.0, line) == mass * G
    assert other_swing.swing_drop_at_angle(4.0, math.pi / 2) == pytest.approx(4.0)


def test_fall_relations():
    """Speed, time and distance of a fall undo each other; a start speed is kept."""
    for start in (0.0, 2.5):
        time = other_arrest.fall_time(3.0, start)
        assert other_arrest.fall_distance(time, start) == pytest.approx(3.0)
        assert other_arrest.fall_speed_after(time, start) == pytest.approx(other_arrest.fall_speed(3.0, start))
    assert other_arrest.fall_time(0.0) == 0.0
    assert other_arrest.energy(100.0, 1.0, 0.5) == pytest.approx(other_arrest.average_force(100.0, 1.0, 0.5) * 0.5)
    assert other_arrest.deceleration(1.0, 0.5) == pytest.approx(2 * G)
    assert other_arrest.average_from_peak(6000.0) == 5250.0
    assert other_arrest.average_from_peak(6000.0, ratio=1.0) == 6000.0
    assert other_arrest.person_mass(140.6, 1.0) == other_arrest.rigid_test_force(140.6, 1) == 140.6
    assert other_arrest.free_fall_below_anchor(1.5, 0.1) == pytest.approx((1.6, 3.1))
    assert other_arrest.two_slope_force(2.0, 4.88, 204.0, 111.0) == 408.0
    assert other_arrest.two_slope_energy(2.0, 4.88, 204.0, 111.0) == 408.0


def test_anchorage_loads():
    """Per user and by factor; 2:1 at 15 degrees, 1:2 straight down."""
    assert anchorage.prescriptive_load(3, 5000 * LBF) / LBF == pytest.approx(15_000)
    assert anchorage.engineered_load(1800 * LBF, 2) / LBF == pytest.approx(7200)
    assert other_anchorage.lifeline_tension(1000.0, math.pi / 2) == pytest.approx(500.0)
    assert anchorage.bending_stress(8000.0, 6.0, 1e-4) == pytest.approx(120e6)
    assert other_anchorage.lifeline_sag(8.0, 8.0) == other_anchorage.lifeline_angle(8.0, 8.0) == 0.0


def test_lanyard():
    """A taut lanyard has no free fall; both references give the same margin."""
    assert lanyard.free_fall(1.0, 1.5) == 0.0
    assert lanyard.free_fall(6.0, -5.0) == 11.0
    above = 0.5
    from_anchor = (1.5 + above + 4.0) - other_lanyard.required_below_anchorage(1.8, 1.0, 0.3, 1.5, 0.6, 0.2, 0.1)
    fall = lanyard.free_fall(1.8, above)
    assert 4.0 - lanyard.required_below_surface(fall, 1.0, 0.3, 0.6, 0.2, 0.1) == pytest.approx(from_anchor)


def test_climb():
    """On the way up the margin is zero at the protected height, and no height protects too far from the line exit."""
    terms = {"line_exit": 7.3, "d_ring_standing": 1.5, "lower_level": 0.2, "arrest_distance": 1.07, "stretch": 0.3,
             "deflection": 0.02, "margin": 0.6}  # fmt: skip
    straight = climb.protected_height(**terms)
    assert straight == pytest.approx(0.2 + 1.07 + 0.3 + 0.02 + 0.6)
    aside = climb.protected_height(**terms, offset=1.2)
    assert aside > straight
    assert other_climb.climb_margin(aside, **terms, offset=1.2) == pytest.approx(0.0, abs=1e-12)
    assert other_climb.unprotected_climb(aside, 0.2) == pytest.approx(aside - 0.2)
    assert other_climb.unprotected_climb(0.1, 0.2) == 0.0
    assert climb.protected_height(**terms, offset=3.62) is None
    assert climb.protected_height(**terms, offset=3.6) < 7.3 - 1.5
    assert climb.protected_height(**{**terms, "line_exit": 3.0}) is None
    just = climb.protected_height(8.0, 2.0, 0.0, 1.0, 0.5, 0.0, 0.5, offset=4.0)
    assert just == 6.0


# Last done, months, days, due: the same day of the month, or its last day where it lacks that one, by Regulation (EEC, Euratom)
# No 1182/71, article 3(2)(c) (read); the first row is the example of W3C, XQuery and XPath functions, 2010 (read).
@pytest.mark.parametrize(
    ("last", "months", "days", "due"),
    [
        (date(2000, 10, 30), 14, 0, date(2001, 12, 30)),
        (date(2024, 12, 10), 12, 0, date(2025, 12, 10)),
        (date(2026, 1, 31), 1, 0, date(2026, 2, 28)),
        (date(2028, 1, 31), 1, 0, date(2028, 2, 29)),
        (date(2024, 2, 29), 12, 0, date(2025, 2, 28)),
        (date(2026, 8, 31), 6, 0, date(2027, 2, 28)),
        (date(2026, 12, 1), 1, 0, date(2027, 1, 1)),
        (date(2026, 12, 31), 0, 0, date(2026, 12, 31)),
        (date(2026, 2, 20), 0, 14, date(2026, 3, 6)),
        (date(2026, 1, 31), 1, 1, date(2026, 3, 1)),
        (date(9998, 12, 31), 12, 0, date(9999, 12, 31)),
    ],
)
def test_due_date(last, months, days, due):
    """Months first, then days; what a profile calls an interval ends on the same day."""
    assert dates.due_date(last, months, days) == due == Interval(months, days, "").after(last)


# Last done, months, day asked, days overdue: an inspection, a plan review, a drill and a training of the demonstration.
@pytest.mark.parametrize(
    ("last", "months", "overdue"),
    [
        (date(2024, 12, 10), 12, 82),
        (date(2025, 2, 1), 12, 29),
        (date(2025, 1, 15), 12, 46),
        (date(2023, 6, 12), 24, 263),
    ],
)
def test_days_overdue(last, months, overdue):
    """Days since the due date as counted on a wall calendar; zero on the due date, negative days left after it."""
    due = dates.due_date(last, months)
    assert other_dates.days_overdue(due, date(2026, 3, 2)) == overdue == -other_dates.days_until(due, date(2026, 3, 2))
    assert other_dates.days_overdue(due, due) == other_dates.days_overdue(due, last) == 0
    assert other_dates.days_until(due, last) > 0


# Share of men above a body mass in lb, in percent, by the model (own estimate, calibrated as its docstring says).
@pytest.mark.parametrize(
    ("mean", "shares"),
    [
        (195.7, {280: 4.2, 285: 3.5, 290: 3.0, 295: 2.5, 300: 2.1, 310: 1.4}),
        (199.8, {280: 5.1, 285: 4.3, 290: 3.6, 295: 3.1, 300: 2.6, 310: 1.8}),
        (225.0, {280: 13.6, 285: 11.9, 290: 10.4, 295: 9.1, 300: 7.9, 310: 5.9}),
    ],
)
def test_share_over(mean, shares):
    """The table of shares, and its calibration: a mean of 190 lb has its 95th percentile at 267 lb."""
    found = {t: round(100 * population.share_over(t * POUND, mean * POUND, 0.224), 1) for t in shares}
    assert found == shares
    assert population.share_over(267 * POUND, 190 * POUND, 0.224) == pytest.approx(0.05, abs=0.0005)


def test_crew():
    """Expected number and chance of one or more; nobody in an empty crew."""
    assert other_population.expected_excluded(20, 0.03) == pytest.approx(0.6)
    assert other_population.chance_of_any(20, 0.03) == pytest.approx(1 - 0.97**20)
    assert other_population.chance_of_any(0, 0.5) == other_population.expected_excluded(0, 0.5) == 0.0
    assert other_population.chance_of_any(3, 1.0) == 1.0
    assert other_population.shifted_mean(88.8, -13.5) == pytest.approx(75.3)


RESCUE = (
    Step("detect", 60),
    Step("stop", 30, after=("detect",), people=("A",)),
    Step("call", 60, after=("detect",), people=("A",)),
    Step("fetch", 150, after=("detect",), people=("B",)),
    Step("reach", 90, after=("stop", "fetch"), people=("B",)),
    Step("lower", 120, after=("reach", "call"), people=("A", "B")),
    Step("meet", 45, after=("call",), people=("C",)),
)


def test_rescue_times():
    """A does two steps one after the other; fetching decides; meeting the ambulance has time to spare."""
    plan = rescue.schedule(RESCUE)
    assert plan.total == 420.0
    assert {s.id: (s.start, s.finish, s.slack) for s in plan.steps} == {
        "detect": (0.0, 60.0, 0.0), "stop": (60.0, 90.0, 120.0), "call": (90.0, 150.0, 150.0),
        "fetch": (60.0, 210.0, 0.0), "reach": (210.0, 300.0, 0.0), "lower": (300.0, 420.0, 0.0),
        "meet": (150.0, 195.0, 225.0),
    }  # fmt: skip
    assert [s.id for s in plan.steps if s.critical] == ["detect", "fetch", "reach", "lower"]
    assert plan.steps[2].waits_for == ("detect", "stop")
    assert (plan.steps[5].duration, plan.steps[5].people) == (120, ("A", "B"))
    assert rescue.finish_of(plan, "reach") == 300.0
    assert rescue.critical_steps(plan, "meet") == ("detect", "stop", "call", "meet")
    assert rescue.critical_steps(plan, "lower") == ("detect", "fetch", "reach", "lower")


# Step cut, seconds saved at "lower": fetching takes 150 s, but then reaching waits for the stop at 90 s.
@pytest.mark.parametrize(
    ("cut", "saved"), [("detect", 60), ("stop", 0), ("call", 0), ("fetch", 120), ("reach", 90), ("lower", 120)]
)
def test_gain(cut, saved):
    """Cutting a step saves at most its time, and no more than the next longest chain leaves."""
    assert rescue.gain_if_cut(RESCUE, cut, "lower") == saved


def test_list_order_is_the_priority():
    """One person, two free steps: the first in the list goes first; a later step never fills a gap before it."""
    first, second = Step("a", 10, people=("A",)), Step("b", 20, people=("A",))
    assert [s.start for s in rescue.schedule([first, second]).steps] == [0.0, 10.0]
    assert [s.start for s in rescue.schedule([second, first]).steps] == [0.0, 20.0]
    gap = [Step("wait", 100), Step("late", 10, after=("wait",), people=("A",)), Step("early", 10, people=("A",))]
    assert [s.start for s in rescue.schedule(gap).steps] == [0.0, 100.0, 110.0]
    listed_before_its_predecessor = [Step("b", 5, after=("a",)), Step("a", 7)]
    assert [s.start for s in rescue.schedule(listed_before_its_predecessor).steps] == [7.0, 0.0]


def test_two_equal_chains():
    """Two chains of the same length are both critical, and cutting one saves nothing."""
    plan = (Step("l", 60), Step("r", 60), Step("both", 30, after=("l", "r")))
    assert rescue.critical_steps(rescue.schedule(plan), "both") == ("l", "r", "both")
    assert rescue.gain_if_cut(plan, "l", "both") == 0.0
    diamond = (
        Step("s", 5),
        Step("l", 60, after=("s",)),
        Step("r", 60, after=("s",)),
        Step("both", 30, after=("l", "r")),
    )
    assert rescue.critical_steps(rescue.schedule(diamond), "both") == ("s", "l", "r", "both")


def test_estimates_and_detection():
    """The worst estimate decides; detection costs the whole interval unless watched."""
    assert rescue.pessimistic([60.0, 60.0, 60.0]) == other_rescue.expected_pert(60.0, 60.0, 60.0) == 60.0
    assert rescue.pessimistic([30.0, 60.0, 120.0]) == rescue.pessimistic([120.0, 60.0]) == 120.0
    assert other_rescue.expected_pert(30.0, 60.0, 120.0) == 65.0
    assert rescue.detection_time(600.0, 120.0) == 720.0
    assert rescue.detection_time(600.0, 120.0, True) == 0.0
    assert rescue.time_since_fall(720.0, 500.0) == 1220.0


INF, NAN = math.inf, math.nan
REFUSED = [
    (lambda: capacity.chain_limit([]), "the chain holds no rated part; give the limit of at least one part"),
    (lambda: capacity.chain_limit([140.0, 0.0]), "limit 2 is 0; it must be a finite number above zero"),
    (lambda: capacity.lower_limit([]), "the chain holds no part; give the lower limit of at least one part, or zero"),
    (lambda: capacity.lower_limit([-1.0]), "lower limit 1 is -1; it must be a finite number, zero or more"),
    (lambda: capacity.users_allowed(1, 1.5), "trolleys is 1.5; it must be a whole number, 0 or more"),
    (lambda: capacity.users_allowed(True, 1), "rail users is True; it must be a whole number, 0 or more"),
    (lambda: capacity.users_allowed(-1, 1), "rail users is -1; it must be a whole number, 0 or more"),
    (lambda: other_capacity.body_allowance(100.0, -1.0), "allowance 1 is -1; it must be a finite number, zero or more"),
    (
        lambda: other_capacity.body_allowance(100.0, 60.0, 50.0),
        "the allowances add up to 110 kg, more than the capacity of 100 kg; they must be less than the capacity",
    ),
    (lambda: other_capacity.within_limit(NAN, 140.0, True), "mass is nan; it must be a finite number above zero"),
    (
        lambda: clearance.governing_arrest_distance([]),
        "no arrest distance is given; give at least one from the label of the device",
    ),
    (
        lambda: clearance.governing_arrest_distance([INF]),
        "arrest distance 1 is inf; it must be a finite number, zero or more",
    ),
    (
        lambda: clearance.posture_addition(1.5, 1.6),
        "the D-ring is at 1.6 m in the working posture and 1.5 m standing; both are measured from the walking surface, "
        "and the posture must not be the higher one",
    ),
    (
        lambda: clearance.required_below_surface(1.0, 0.3, 0.0, -0.1, 0.0, 0.6),
        "swing is -0.1; it must be a finite number, zero or more",
    ),
    (
        lambda: clearance.required_below_surface(None, 0.3, 0.0, 0.1, 0.0, 0.6),
        "arrest distance is None; it must be a finite number, zero or more",
    ),
    (lambda: clearance.available_below_surface(NAN, 0.0), "surface is nan; it must be a finite number"),
    (lambda: clearance.available_below_surface("3", 0.0), "surface is '3'; it must be a finite number"),
    (lambda: clearance.available_below_surface(True, 0.0), "surface is True; it must be a finite number"),
    (lambda: swing.line_angle(0.0, 1.0), "height is 0; it must be a finite number above zero"),
    (lambda: swing.line_angle(-1.0, 1.0), "height is -1; it must be a finite number above zero"),
    (lambda: swing.swing_drop(-0.1, 1.0), "height is -0.1; it must be a finite number, zero or more"),
    (
        lambda: other_swing.swing_drop_at_angle(1.0, 2.0),
        "line angle is 114.592 degrees from vertical; it must be at most 90 degrees",
    ),
    (
        lambda: swing.largest_offset_for_angle(1.0, math.pi / 2),
        "angle limit is 90 degrees; it must be less than 90 degrees",
    ),
    (
        lambda: other_swing.arc_heights(10.0, 2.0, 1.0, 3.5, 4.0),
        "the interval from 3.5 m to 4 m lies beyond the swing of 3 m; it must come within the line length of the point "
        "under the line exit",
    ),
    (
        lambda: arrest.lock_distance(1.4, math.pi / 2),
        "line angle is 90 degrees from the vertical; it must be less than 90 degrees",
    ),
    (lambda: arrest.lock_distance(1.4, 0.0, 0.0), "g is 0; it must be a finite number above zero"),
    (lambda: other_arrest.average_force(100.0, 1.0, 0.0), "braking is 0; it must be a finite number above zero"),
    (
        lambda: arrest.braking_distance(100.0, 1.0, 100 * G),
        "braking force is 980.665 N; it must be above the weight of 980.665 N",
    ),
    (
        lambda: other_arrest.average_from_peak(6000.0, 1.1),
        "ratio is 1.1; it must be at most 1, since an average cannot exceed the peak",
    ),
    (
        lambda: other_arrest.person_mass(100.0, 0.9),
        "factor is 0.9; it must be 1 or more, since a rigid mass hits harder than a person",
    ),
    (lambda: anchorage.prescriptive_load(0, 1.0), "users is 0; it must be a whole number, 1 or more"),
    (lambda: anchorage.engineered_load(8000.0, 1, 0.5), "safety factor is 0.5; it must be 1 or more"),
    (lambda: other_anchorage.lifeline_tension(1.0, 1.6), "sag angle is 91.6732 degrees; it must be at most 90 degrees"),
    (lambda: other_anchorage.lifeline_sag(7.0, 8.0), "line length is 7 m; it must be at least the span of 8 m"),
    (
        lambda: other_climb.climb_margin(6.0, 7.3, 1.5, 0.0, 1.0, 0.3, 0.0, 0.6),
        "the D-ring is 0.2 m above the line exit; the line exit must be above the D-ring",
    ),
    (
        lambda: dates.add_months("2026-01-01", 1),
        "day is '2026-01-01'; it must be a calendar date without a time of day",
    ),
    (
        lambda: other_dates.days_until(date(2026, 1, 1), datetime(2026, 1, 1)),
        "as of is datetime.datetime(2026, 1, 1, 0, 0); it must be a calendar date without a time of day",
    ),
    (lambda: dates.add_months(date(2026, 1, 1), -1), "months is -1; it must be a whole number, 0 or more"),
    (
        lambda: dates.add_months(date(9999, 1, 1), 12),
        "12 months after 9999-01-01 is beyond the year 9999; give a shorter interval",
    ),
    (
        lambda: dates.due_date(date(9999, 12, 31), 0, 1),
        "1 days after 9999-12-31 is beyond the year 9999; give a shorter interval",
    ),
    (lambda: population.share_over(0.0, 88.0, 0.2), "threshold is 0; it must be a finite number above zero"),
    (lambda: other_population.expected_excluded(3, 1.2), "share is 1.2; it must lie between 0 and 1"),
    (
        lambda: other_population.shifted_mean(88.0, -88.0),
        "mean and difference add up to 0 kg; their sum must be above zero",
    ),
    (lambda: other_population.shifted_mean(88.0, -90.0), "mean and difference add up to -2 kg; their sum must be above zero"),
    (lambda: rescue.schedule([]), "the rescue has no step; give at least one"),
    (
        lambda: rescue.schedule([Step("a", 1), Step("a", 2)]),
        "rescue step 'a' is given twice; each step needs an id of its own",
    ),
    (lambda: rescue.schedule([Step("a", -1)]), "duration of a is -1; it must be a finite number, zero or more"),
    (
        lambda: rescue.schedule([Step("a", 1, after=("b",))]),
        "rescue step 'a' comes after 'b', which is not a step; add it or correct the name",
    ),
    (
        lambda: rescue.schedule(
            [Step("z", 1), Step("a", 1, after=("z", "b")), Step("b", 1, after=("c",)), Step("c", 1, after=("b",))]
        ),
        "rescue steps wait for each other: b after c after b; take one of these links out",
    ),
    (
        lambda: rescue.schedule([Step("a", 1, after=("a",))]),
        "rescue steps wait for each other: a after a; take one of these links out",
    ),
    (
        lambda: rescue.finish_of(rescue.schedule(RESCUE), "fly"),
        "rescue step 'fly' is not in the schedule; it must be one of: detect, stop, call, fetch, reach, lower, meet",
    ),
    (
        lambda: rescue.gain_if_cut([Step("a", 1)], "b", "a"),
        "rescue step 'b' is not in the schedule; it must be one of: a",
    ),
    (
        lambda: rescue.critical_steps(rescue.schedule([Step("a", 1)]), "b"),
        "rescue step 'b' is not in the schedule; it must be one of: a",
    ),
    (
        lambda: other_rescue.expected_pert(60.0, 50.0, 90.0),
        "the estimates are 60 s, 50 s and 90 s; they must run from the shortest over the most likely to the longest",
    ),
    (lambda: rescue.pessimistic([]), "no duration is estimated; give at least one"),
]


@pytest.mark.parametrize(("call", "message"), REFUSED, ids=range(len(REFUSED)))
def test_refused(call, message):
    """What cannot be calculated is refused with one sentence: which value, what would be right; never NaN."""
    with pytest.raises(CalcError) as caught:
        call()
    assert str(caught.value) == message
    assert isinstance(caught.value, DocgenError)
    assert isinstance(caught.value, ValueError)
