"""The closed forms derived again by other means: differential equations, symbols, root finders, graphs, enumeration."""

import itertools
import math
import random
from datetime import date

import pytest
from reference import anchorage as other_anchorage
from reference import arrest as other_arrest
from reference import climb as other_climb
from reference import population as other_population
from reference import swing as other_swing

from docgen.calc import G, anchorage, arrest, clearance, climb, dates, population, rescue, swing
from docgen.calc.rescue import Step

FOOT, POUND, LBF = 0.3048, 0.45359237, 4.4482216152605  # international yard and pound, 1959; basis: memory
EXACT = {"rtol": 1e-11, "atol": 1e-12}


def until(motion, start, stop, duration=20.0, **options):
    """Integrate a motion until `stop` crosses zero; time and state there."""
    solve = pytest.importorskip("scipy.integrate").solve_ivp
    stop.terminal = True
    done = solve(motion, (0.0, duration), start, events=stop, **EXACT, **options)
    assert done.t_events[0].size == 1
    return done.t_events[0][0], done.y_events[0][0]


def test_constants():
    """Standard gravity and the units of these tests against scipy's CODATA table; unit pairs of the rules."""
    constants = pytest.importorskip("scipy.constants")
    table = (constants.g, constants.foot, constants.pound, constants.lbf)
    assert table == pytest.approx((G, FOOT, POUND, LBF), rel=1e-14, abs=0.0)
    pairs = {1800: 8.007, 1350: 6.005, 900: 4.003, 5000: 22.241}
    assert {lbf: round(lbf * LBF / 1000, 3) for lbf in pairs} == pairs


def test_lock_up_vertical():
    """A fall from rest integrated until the line runs at 4.5 ft/s."""
    speed = 4.5 * FOOT
    time, (distance, _) = until(lambda t, y: [y[1], G], [0.0, 0.0], lambda t, y: y[1] - speed)
    assert arrest.lock_distance(speed) == pytest.approx(distance, rel=1e-9)
    assert other_arrest.lock_time(speed) == pytest.approx(time, rel=1e-9)


# Angle in degrees; distance in inches by integration, line exit 15 ft above the D-ring, 4.5 ft/s.
@pytest.mark.parametrize(("degrees", "inches"), [(0, 3.776), (15, 4.036), (30, 4.968), (45, 7.265)])
def test_lock_up_at_an_angle(degrees, inches):
    """The line speed of a body that falls straight beside the exit: the closed form is never short, 4 percent high."""
    height, speed, angle = 15 * FOOT, 4.5 * FOOT, math.radians(degrees)
    offset = height * math.tan(angle)

    def line_speed(t, y):
        return y[1] * (height + y[0]) / math.hypot(height + y[0], offset) - speed

    _, (distance, _) = until(lambda t, y: [y[1], G], [0.0, 0.0], line_speed)
    assert distance / 0.0254 == pytest.approx(inches, abs=5e-4)
    assert distance * (1 - 1e-9) <= arrest.lock_distance(speed, angle) <= 1.04 * distance


@pytest.mark.parametrize(
    ("pounds", "feet", "lbf"), [(310, 6, 900), (282, 6, 900), (310, 2, 1350), (282, 12, 1350), (220, 6, 900)]
)
def test_braking(pounds, feet, lbf):
    """A body braked by a constant force from the speed of its free fall, integrated to standstill."""
    mass, free_fall, force = pounds * POUND, feet * FOOT, lbf * LBF
    start = other_arrest.fall_speed(free_fall)
    _, (distance, _) = until(lambda t, y: [y[1], G - force / mass], [0.0, start], lambda t, y: y[1])
    assert arrest.braking_distance(mass, free_fall, force) == pytest.approx(distance, rel=1e-9)
    assert other_arrest.net_force(mass, start, distance) + mass * G == pytest.approx(force, rel=1e-9)
    assert other_arrest.deceleration(free_fall, distance) == pytest.approx(force / mass - G, rel=1e-9)


def test_elastic_stop():
    """A fall into a spring, integrated to its lowest point: peak force; into a two-slope line: energy used up."""
    mass, free_fall, stiffness = 100.0, 1.5, 9000.0
    _, (stretch, _) = until(
        lambda t, y: [y[1], G - stiffness * y[0] / mass], [0.0, other_arrest.fall_speed(free_fall)], lambda t, y: y[1]
    )
    assert other_arrest.peak_force_spring(mass, free_fall, stiffness) == pytest.approx(stiffness * stretch, rel=1e-9)
    line = {"knee": 0.4, "first_stiffness": 9000.0, "second_stiffness": 2000.0}
    _, (stretch, _) = until(
        lambda t, y: [y[1], G - other_arrest.two_slope_force(max(0.0, y[0]), **line) / mass],
        [0.0, other_arrest.fall_speed(free_fall)],
        lambda t, y: y[1],
        max_step=1e-3,
    )
    assert stretch > line["knee"]
    assert other_arrest.two_slope_energy(stretch, **line) == pytest.approx(
        other_arrest.energy(mass, free_fall, stretch), rel=1e-6
    )


def test_two_slope_energy_is_the_area():
    """Energy of the two-slope line against numerical quadrature of its tension."""
    quad = pytest.importorskip("scipy.integrate").quad
    line = {"knee": 4.88, "first_stiffness": 204.0, "second_stiffness": 111.0}
    area, _ = quad(lambda x: other_arrest.two_slope_force(x, **line), 0.0, 16.7, points=[4.88])
    assert other_arrest.two_slope_energy(16.7, **line) == pytest.approx(area, rel=1e-9)


# Height and offset in feet, speed in ft/s: 15 and 8 give 11.3444 ft/s at the lowest point after 1.159 s.
@pytest.mark.parametrize(("height", "offset"), [(15, 8), (3.5, 4), (20, 1), (0.5, 6)])
def test_pendulum(height, offset):
    """The equation of the pendulum integrated to its lowest point: speed, and tension from the motion there."""
    h, x = height * FOOT, offset * FOOT
    length, angle = swing.line_length(h, x), swing.line_angle(h, x)
    time, (_, rate) = until(lambda t, y: [y[1], -G / length * math.sin(y[0])], [angle, 0.0], lambda t, y: y[0])
    speed = swing.swing_speed(swing.swing_drop(h, x))
    assert speed == pytest.approx(-rate * length, rel=1e-9)
    assert other_swing.tension_at_bottom(90.0, angle) == pytest.approx(90.0 * (rate * rate * length + G), rel=1e-9)
    if (height, offset) == (15, 8):
        assert (speed / FOOT, time) == pytest.approx((11.3444, 1.159), abs=5e-4)


def test_pendulum_with_speed():
    """The same with a speed at lock-up along the arc: squares add."""
    length, angle, start = 4.0, math.radians(35), 1.4
    _, (_, rate) = until(lambda t, y: [y[1], -G / length * math.sin(y[0])], [angle, -start / length], lambda t, y: y[0])
    assert other_swing.combined_speed(start, other_swing.swing_drop_at_angle(length, angle)) == pytest.approx(
        -rate * length, rel=1e-9
    )


def test_symbols_of_energy():
    """Energy balance and spring solved by a computer algebra system, compared as values at awkward numbers."""
    sympy = pytest.importorskip("sympy")
    w, h, d, f, k = sympy.symbols("w h d f k", positive=True)
    numbers = {
        w: sympy.Float("1379.4"),
        h: sympy.Float("1.83"),
        d: sympy.Float("0.71"),
        f: sympy.Float("4003.4"),
        k: 9000,
    }
    mass = 1379.4 / G
    (force,) = sympy.solve(sympy.Eq(w * (h + d), f * d), f)
    assert other_arrest.average_force(mass, 1.83, 0.71) == pytest.approx(float(force.subs(numbers)))
    (distance,) = sympy.solve(sympy.Eq(w * (h + d), f * d), d)
    assert arrest.braking_distance(mass, 1.83, 4003.4) == pytest.approx(float(distance.subs(numbers)))
    peaks = [k * root for root in sympy.solve(sympy.Eq(w * (h + d), k * d**2 / 2), d)]
    assert other_arrest.peak_force_spring(mass, 1.83, 9000.0) == pytest.approx(max(float(p.subs(numbers)) for p in peaks))


def test_symbols_of_swing():
    """The inverse of the swing drop, found by solving for the offset."""
    sympy = pytest.importorskip("sympy")
    h, x, s = sympy.symbols("h x s", positive=True)
    (offset,) = sympy.solve(sympy.Eq(sympy.sqrt(h**2 + x**2) - h, s), x)
    assert sympy.simplify(offset**2 - (s**2 + 2 * h * s)) == 0
    for height, drop in ((2.3, 0.4), (0.0, 0.7), (6.0, 0.01)):
        assert swing.largest_offset_for_drop(height, drop) == pytest.approx(float(offset.subs({h: height, s: drop})))


def test_largest_offsets_by_root_finder():
    """Largest offsets and the protected height of a climb against a root finder on the forward formula."""
    root = pytest.importorskip("scipy.optimize").brentq
    for height, drop in ((2.3, 0.4), (0.6, 1.5), (7.0, 0.05)):
        found = root(lambda x, h=height, s=drop: swing.swing_drop(h, x) - s, 0.0, 50.0, xtol=1e-14)
        assert swing.largest_offset_for_drop(height, drop) == pytest.approx(found, rel=1e-9)
        found = root(lambda x, h=height: swing.line_angle(h, x) - math.radians(30), 0.0, 50.0, xtol=1e-14)
        assert swing.largest_offset_for_angle(height, math.radians(30)) == pytest.approx(found, rel=1e-9)
    terms = (7.3, 1.5, 0.2, 1.07, 0.3, 0.02, 0.6)
    for offset in (0.0, 0.8, 2.0, 3.5):
        found = root(lambda z, x=offset: other_climb.climb_margin(z, *terms, x), 0.2, 5.8, xtol=1e-14)
        assert climb.protected_height(*terms, offset) == pytest.approx(found, rel=1e-9)


@pytest.mark.parametrize(
    ("height", "offset", "arrested", "deflected"), [(8.0, 0.0, 3.5, 0.0), (8.5, 3.6, 3.5, 0.25), (11.2, 4.3, 2.5, 0.1)]
)
def test_hanging_at_rest(height, offset, arrested, deflected):
    """A body at rest on an inextensible line hangs where its height is least on the circle about the lowered exit, of the line paid out.

    The line at lock is the distance from exit to D-ring, the arrest distance is paid out; the feet are a stretch and a D-ring height lower.
    """
    minimum = pytest.importorskip("scipy.optimize").minimize_scalar
    line_exit = 25.0
    at_lock = abs(complex(offset, height))
    radius = at_lock + arrested

    def elevation(angle):
        return (line_exit - deflected) - radius * math.cos(angle)

    rest = minimum(elevation, bounds=(-1.5, 1.5), method="bounded", options={"xatol": 1e-9}).fun
    low = clearance.hang_d_ring_lowest(line_exit, at_lock, arrested, deflected)
    assert low == pytest.approx(rest, abs=1e-9)
    assert clearance.hang_d_ring_height(line_exit, at_lock, arrested + deflected) == pytest.approx(rest, abs=1e-9)
    # Hung up from the ring downward: stretch first, then the height of the ring over the feet.
    standing, stretch = 5.0, 1.2
    assert clearance.hang_feet_lowest(low, standing, stretch) == pytest.approx(rest - stretch - standing, abs=1e-9)
    surface = line_exit - height - standing
    need = clearance.required_below_surface(arrested, stretch, 0.0, at_lock - height, deflected, 0.0)
    assert clearance.hang_feet_lowest(low, standing, stretch) == pytest.approx(surface - need, abs=1e-9)


def test_hanging_after_lock_up_alone():
    """The highest hang: under the exit, a fall integrated until the line runs at 4.5 ft/s, where a light person may stop almost at once."""
    line_exit, at_lock, speed = 25.0 * FOOT, 8.0 * FOOT, 4.5 * FOOT
    _, (elevation, _) = until(lambda t, y: [y[1], -G], [line_exit - at_lock, 0.0], lambda t, y: y[1] + speed)
    highest = clearance.hang_d_ring_highest(line_exit, at_lock, arrest.lock_distance(speed))
    assert highest == pytest.approx(elevation, rel=1e-9)
    assert highest >= clearance.hang_d_ring_lowest(line_exit, at_lock, arrest.lock_distance(speed) + 1e-9)


def test_a_line_bears_where_it_would_pass_through_the_edge():
    """A straight line from a trolley inboard of an edge to a ring outside it or against the flank: does any point of it lie within the body?

    The body is all that lies inboard of the edge and below its top. While the ring is above the top, no point of the line is in
    it, since the line only comes down toward the ring; once the ring at the flank is below, the line passes through the corner.
    """
    chance = random.Random(11)
    seen = set()
    for _ in range(2000):
        exit_, edge_height = chance.uniform(8.0, 15.0), chance.choice((0.0, chance.uniform(0.0, 3.5)))
        ring, arrested, drop, deflected = (
            chance.uniform(1.0, 5.5),
            chance.uniform(1.0, 5.0),
            chance.uniform(0.0, 2.0),
            chance.uniform(0.0, 0.3),
        )
        inboard = chance.uniform(0.2, 4.0)
        left = clearance.line_bears_on_edge(ring, arrested, drop, deflected, edge_height)
        end = ring - arrested - drop - deflected  # above the surface; the edge is at 0 across, inboard is negative
        outward = chance.uniform(0.0, 1.0) if end > edge_height else 0.0
        points = [(-inboard + (inboard + outward) * k / 4000, exit_ + (end - exit_) * k / 4000) for k in range(3990, 4001)]
        within = any(across <= 0.0 and up < edge_height for across, up in points)
        seen.add(within)
        if abs(left) > 1e-9:
            assert (left < 0.0) == within
        assert left == pytest.approx(end - edge_height, abs=1e-12)
    assert seen == {True, False}


def test_kept_margin_is_the_room_under_the_feet():
    """What is kept does not depend on the margin asked for: it is the elevation of the hanging feet over the lower level, whatever the margin."""
    chance = random.Random(12)
    for _ in range(500):
        deck, arrested, stretch, posture, drop, deflected = (
            chance.uniform(low, high) for low, high in ((6, 15), (1, 5), (0, 2), (0, 5), (0, 2), (0, 0.4))
        )
        margin, standing = chance.uniform(0.0, 4.0), 5.0
        need = clearance.required_below_surface(arrested, stretch, posture, drop, deflected, margin)
        kept = clearance.kept_margin(margin, clearance.clearance_margin(deck, need))
        ring = deck + (standing - posture) - drop - arrested - deflected
        assert kept == pytest.approx(clearance.hang_feet_lowest(ring, standing, stretch), abs=1e-9)


def test_beams():
    """Deflections against the moment line integrated by a computer algebra system and by a boundary-value solver."""
    sympy = pytest.importorskip("sympy")
    x, p, length, ei = sympy.symbols("x p length ei", positive=True)
    # Left half of a simply supported beam: slope zero at midspan, deflection zero at the support.
    slope = sympy.integrate(p * x / 2, x) / ei
    sag = sympy.integrate(slope - slope.subs(x, length / 2), (x, 0, length / 2))
    # Cantilever, x from the support: slope and deflection zero there.
    tip = sympy.integrate(sympy.integrate(p * (length - x), (x, 0, x)) / ei, (x, 0, length))
    numbers = {p: 8000, length: 6, ei: 200e9 * 8e-6}
    midspan = anchorage.midspan_deflection(8000.0, 6.0, 200e9, 8e-6)
    assert midspan == pytest.approx(float(-sag.subs(numbers)))
    assert other_anchorage.cantilever_deflection(8000.0, 6.0, 200e9, 8e-6) == pytest.approx(float(tip.subs(numbers)))

    solve, numpy = pytest.importorskip("scipy.integrate").solve_bvp, pytest.importorskip("numpy")
    mesh = numpy.linspace(0.0, 3.0, 31)
    beam = solve(
        lambda s, y: numpy.vstack([y[1], -8000.0 * s / 2 / (200e9 * 8e-6)]),
        lambda left, right: numpy.array([left[0], right[1]]),
        mesh,
        numpy.zeros((2, mesh.size)),
        tol=1e-9,
    )
    assert midspan == pytest.approx(beam.sol(3.0)[0], rel=1e-6)
    assert anchorage.bending_stress(8000.0, 6.0, 1e-4) == pytest.approx(8000.0 / 2 * 3.0 / 1e-4)


@pytest.mark.parametrize("slack", [-0.01, 0.0, 0.05, 0.5])
def test_lifeline(slack):
    """Sag found by a root finder on the vertical balance of a two-segment elastic line; tension at the solved angle."""
    root = pytest.importorskip("scipy.optimize").brentq
    load, span, area, modulus = 6000.0, 10.0, math.pi * 0.004**2, 100e9

    def imbalance(sag):
        half = math.hypot(span / 2, sag)
        tension = area * modulus * (2 * half / (span + slack) - 1)
        return 2 * tension * sag / half - load

    sag = root(imbalance, math.sqrt(max(0.0, ((span + slack) / 2) ** 2 - (span / 2) ** 2)), span, xtol=1e-14)
    line = other_anchorage.solve_lifeline(load, span, span + slack, area, modulus)
    assert line.sag == pytest.approx(sag, rel=1e-9)
    assert line.tension == other_anchorage.lifeline_tension(load, line.angle)
    stretch = other_anchorage.elastic_stretch(line.tension, span + slack, area, modulus)
    assert line.length == pytest.approx(span + slack + stretch, rel=1e-9)
    assert other_anchorage.lifeline_sag(line.length, span) == pytest.approx(line.sag, rel=1e-6)
    assert other_anchorage.lifeline_angle(line.length, span) == pytest.approx(line.angle, rel=1e-6)


def test_population():
    """The shares against a statistics library and against a sample with a fixed seed."""
    stats = pytest.importorskip("scipy.stats")
    for mean, cv, threshold in ((88.8, 0.224, 131.5), (76.4, 0.224, 59.0), (102.0, 0.3, 140.6)):
        mu, s = population.lognormal_parameters(mean, cv)
        model = stats.lognorm(s, scale=math.exp(mu))
        assert (model.mean(), model.std() / model.mean()) == pytest.approx((mean, cv))
        assert population.share_over(threshold, mean, cv) == pytest.approx(model.sf(threshold), rel=1e-9)
        assert other_population.share_under(threshold, mean, cv) == pytest.approx(model.cdf(threshold), rel=1e-9)
    draw = random.Random(20260302)
    mu, s = population.lognormal_parameters(88.8, 0.224)
    over = sum(draw.lognormvariate(mu, s) > 131.5 for _ in range(200_000)) / 200_000
    assert population.share_over(131.5, 88.8, 0.224) == pytest.approx(over, abs=0.0015)


def test_crew_by_binomial():
    """Chance of one or more and expected number against a binomial distribution."""
    binomial = pytest.importorskip("scipy.stats").binom(17, 0.04)
    assert other_population.chance_of_any(17, 0.04) == pytest.approx(binomial.sf(0))
    assert other_population.expected_excluded(17, 0.04) == pytest.approx(binomial.mean())


def test_months_by_another_library():
    """Months on every day of five years, leap years among them, against a general-purpose date library."""
    delta = pytest.importorskip("dateutil.relativedelta").relativedelta
    for day in map(date.fromordinal, range(date(2023, 1, 1).toordinal(), date(2028, 1, 1).toordinal())):
        for months in (0, 1, 3, 6, 11, 12, 18, 24, 60):
            assert dates.add_months(day, months) == day + delta(months=months)


def network(seed, people, size=9):
    """A network of steps without circles, the same for the same seed, listed in an order of its own."""
    draw = random.Random(seed)
    names = [f"s{n}" for n in range(size)]
    steps = [
        Step(
            name,
            float(draw.randint(0, 90)),
            after=tuple(sorted(draw.sample(names[:n], min(n, draw.randint(0, 2))))),
            people=tuple(sorted(draw.sample(people, draw.randint(0, len(people))))),
        )
        for n, name in enumerate(names)
    ]
    draw.shuffle(steps)
    return steps


def longest(networkx, durations, links):
    """Finish of the last step: longest path of a graph whose edges carry the duration of the step they end with."""
    graph = networkx.DiGraph()
    for name, seconds in durations.items():
        graph.add_edge("fall", name, seconds=seconds)
    for first, second in links:
        graph.add_edge(first, second, seconds=durations[second])
    return networkx.dag_longest_path_length(graph, weight="seconds")


@pytest.mark.parametrize("seed", range(40))
def test_schedule_without_people(seed):
    """Without people the total is the longest path of the network; slack is what a step can be longer without harm."""
    networkx = pytest.importorskip("networkx")
    steps = network(seed, people=[])
    durations = {step.id: step.duration for step in steps}
    links = [(other, step.id) for step in steps for other in step.after]
    plan = rescue.schedule(steps)
    assert plan.total == longest(networkx, durations, links)
    for step in plan.steps:
        assert longest(networkx, {**durations, step.id: step.duration + step.slack}, links) == plan.total
        assert longest(networkx, {**durations, step.id: step.duration + step.slack + 1}, links) == plan.total + 1
        cut = plan.total - longest(networkx, {**durations, step.id: 0.0}, links)
        last = max(plan.steps, key=lambda s: s.finish)
        assert cut <= rescue.gain_if_cut(steps, step.id, last.id) <= step.duration


@pytest.mark.parametrize("seed", range(40))
def test_schedule_with_people(seed):
    """No step before its predecessors, nobody in two places; times are the longest path through the waiting links."""
    networkx = pytest.importorskip("networkx")
    steps = network(seed, people=["A", "B", "C"])
    plan = rescue.schedule(steps)
    at = {step.id: step for step in plan.steps}
    for step in steps:
        assert at[step.id].finish == at[step.id].start + step.duration
        assert all(at[other].finish <= at[step.id].start for other in step.after)
    for first, second in itertools.combinations(plan.steps, 2):
        if set(first.people) & set(second.people):
            assert first.finish <= second.start or second.finish <= first.start
    durations = {step.id: step.duration for step in steps}
    links = [(other, step.id) for step in plan.steps for other in step.waits_for]
    assert plan.total == longest(networkx, durations, links)
    assert plan.total >= longest(networkx, durations, [(o, s.id) for s in steps for o in s.after])
    for step in plan.steps:
        chain = rescue.critical_steps(plan, step.id)
        assert longest(networkx, durations, [link for link in links if link[1] in chain]) >= step.finish
        assert step.id in chain


def best_by_enumeration(steps):
    """Shortest total of all ways to put the steps that share a person in sequence (every pair, either way round)."""
    pairs = [(a, b) for a, b in itertools.combinations(steps, 2) if set(a.people) & set(b.people)]
    totals = []
    for choice in itertools.product((False, True), repeat=len(pairs)):
        after = {step.id: set(step.after) for step in steps}
        for (first, second), turned in zip(pairs, choice, strict=True):
            earlier, later = (second, first) if turned else (first, second)
            after[later.id].add(earlier.id)
        finish = {}
        while len(finish) < len(steps):
            ready = [s for s in steps if s.id not in finish and after[s.id] <= finish.keys()]
            if not ready:
                break
            for step in ready:
                finish[step.id] = max((finish[o] for o in after[step.id]), default=0.0) + step.duration
        else:
            totals.append(max(finish.values()))
    return min(totals)


@pytest.mark.parametrize("seed", range(12))
def test_schedule_against_enumeration(seed):
    """The best order that anyone could find is reached by listing it; the order given is never faster than that."""
    steps = network(seed, people=["A", "B"], size=5)
    best = best_by_enumeration(steps)
    assert rescue.schedule(steps).total >= best
    assert min(rescue.schedule(order).total for order in itertools.permutations(steps)) == best
