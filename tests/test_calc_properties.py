"""What must hold for all sensible numbers, not only for examples."""

import math
from dataclasses import replace

import pytest
from reference import arrest as other_arrest
from reference import clearance as other_clearance
from reference import lanyard as other_lanyard
from reference import swing as other_swing

from docgen.calc import G, arrest, capacity, clearance, lanyard, rescue, swing
from docgen.calc.rescue import Step

pytest.importorskip("hypothesis")
from hypothesis import assume, given, settings
from hypothesis import strategies as st

STEADY = settings(derandomize=True, deadline=None, database=None)  # the same numbers in every run, no clock


def lengths(low=0.0, high=30.0):
    return st.floats(low, high, allow_nan=False, allow_subnormal=False)


terms = st.tuples(*[lengths(high=5.0)] * 6)


@STEADY
@given(terms, st.integers(0, 5), lengths(0.001, 5.0))
def test_required_grows_with_every_term(values, place, more):
    """The requirement is never smaller when one of its terms is larger."""
    larger = [value + more if n == place else value for n, value in enumerate(values)]
    assert clearance.required_below_surface(*larger) > clearance.required_below_surface(*values)


@STEADY
@given(lengths(), lengths(), lengths(0.001, 5.0))
def test_required_grows_with_the_offset(height, offset, more):
    """The swing drop, and with it the requirement, is never smaller further out."""
    assert swing.swing_drop(height, offset + more) >= swing.swing_drop(height, offset)


@STEADY
@given(
    lengths(-30, 30),
    lengths(),
    lengths(high=2.0),
    lengths(high=2.0),
    st.tuples(*[lengths(high=3.0)] * 4),
    lengths(-100, 100),
)
def test_three_references_agree(lower, drop, height, ring, rest, shift):
    """The margin is the same from the surface, the D-ring and the line exit, and wherever the datum lies."""
    surface = lower + drop
    line_exit = surface + ring + height
    need = clearance.required_below_surface(rest[0], rest[1], 0.0, rest[2], 0.0, rest[3])
    margins = [clearance.clearance_margin(clearance.available_below_surface(surface + z, lower + z), need) for z in (0.0, shift)]
    margins.append(
        clearance.clearance_margin(
            other_clearance.available_below_d_ring(surface, lower, ring), other_clearance.required_below_d_ring(need, ring)
        )
    )
    margins.append(
        clearance.clearance_margin(
            other_clearance.available_below_anchorage(line_exit, lower),
            other_clearance.required_below_anchorage(need, ring, line_exit - surface - ring),
        )
    )
    assert max(margins) - min(margins) < 1e-9


@STEADY
@given(
    lengths(),
    lengths(0.5, 2.0),
    lengths(high=2.0),
    lengths(high=3.0),
    st.tuples(*[lengths(high=2.0)] * 3),
    st.floats(0, 1),
)
def test_feet_after_the_fall(surface, ring, height, offset, rest, crouch):
    """Elevations followed through the fall, in any posture: the feet end where the requirement without margin says."""
    arrest_distance, stretch, deflection = rest
    ring_now = ring * crouch
    line_exit = surface + ring_now + height
    line = swing.line_length(height, offset)
    hang = clearance.hang_d_ring_lowest(line_exit, line, arrest_distance, deflection)
    feet = clearance.hang_feet_lowest(hang, ring, stretch)
    posture = clearance.posture_addition(ring, ring_now)
    drop = swing.swing_drop(height, offset)
    used = clearance.required_below_surface(arrest_distance, stretch, posture, drop, deflection, 0.0)
    assert surface - feet == pytest.approx(used, abs=1e-9)
    edge = clearance.line_bears_on_edge(ring_now, arrest_distance, drop)
    assert hang + deflection - surface == pytest.approx(edge, abs=1e-9)


@STEADY
@given(lengths(), lengths())
def test_swing_drop_bounds(height, offset):
    """No drop straight below; the whole offset at the height of the exit; less than the offset in between."""
    drop = swing.swing_drop(height, offset)
    assert swing.swing_drop(height, 0.0) == 0.0
    assert swing.swing_drop(0.0, offset) == offset
    assert 0.0 <= drop <= offset
    assert drop == pytest.approx(math.sqrt(height**2 + offset**2) - height, abs=1e-12)
    assert drop < offset or height < 1e-6 * (1 + offset) or offset == 0.0


@STEADY
@given(lengths(), lengths())
def test_offset_and_drop_undo_each_other(height, offset):
    """The largest offset for the drop of an offset is that offset."""
    assert swing.largest_offset_for_drop(height, swing.swing_drop(height, offset)) == pytest.approx(offset, abs=1e-9)


@STEADY
@given(lengths(0.01), lengths())
def test_offset_and_angle_undo_each_other(height, offset):
    """The same for the angle, and drop by height equals drop by angle."""
    angle = swing.line_angle(height, offset)
    assume(angle < math.radians(89))
    assert swing.largest_offset_for_angle(height, angle) == pytest.approx(offset, abs=1e-9)
    by_angle = other_swing.swing_drop_at_angle(swing.line_length(height, offset), angle)
    assert by_angle == pytest.approx(swing.swing_drop(height, offset), abs=1e-9)


@STEADY
@given(terms, lengths(), lengths())
def test_largest_offset_passes_and_more_does_not(values, available, height):
    """At the largest offset by clearance the margin is zero; below it positive, above it negative."""
    arrest_distance, stretch, posture, _, deflection, margin = values
    allowed = clearance.allowed_swing(available, arrest_distance, stretch, posture, deflection, margin)
    assume(allowed > 1e-3)
    largest = swing.largest_offset_for_drop(height, allowed)
    left = [
        available
        - clearance.required_below_surface(
            arrest_distance, stretch, posture, swing.swing_drop(height, largest * part), deflection, margin
        )
        for part in (0.9, 1.0, 1.1)
    ]
    assert left[0] > 0 > left[2]
    assert left[1] == pytest.approx(0.0, abs=1e-9)


@STEADY
@given(lengths(), lengths(high=3.0), lengths(high=3.0), st.floats(-3, 3))
def test_parking_allowance_is_the_slack_of_the_offset(largest, along, reach, rail):
    """A vehicle that stands off by exactly its allowance is exactly at the largest offset."""
    across = swing.largest_across(largest, along)
    allowance = swing.parking_allowance(across, reach, abs(rail))
    assume(allowance >= 0)
    off = swing.offset(swing.across_offset(rail, reach, allowance), along)
    assert off == pytest.approx(max(largest, along), abs=1e-9)


@STEADY
@given(lengths(), lengths(0.1), lengths(high=3.0), st.floats(-1, 1), st.floats(-1, 1), st.floats(0, 1), st.floats(0, 1))
def test_arc_band_holds_every_point(exit_, line, extra, near, far, along, paid):
    """Every point of every arc between lock-up and full payout lies in the band."""
    low, high = other_swing.arc_heights(exit_, line, extra, near * line, far * line)
    y = (near + (far - near) * along) * line
    radius = line + extra * paid
    assert low - 1e-6 <= exit_ - math.sqrt(max(0.0, radius**2 - y**2)) <= high + 1e-6


@STEADY
@given(lengths(0.001), lengths(0.001), st.floats(30, 200))
def test_average_force(free_fall, braking, mass):
    """Above the weight, near it for a tiny free fall, beyond bound for a tiny braking distance; net plus weight."""
    weight = mass * G
    force = other_arrest.average_force(mass, free_fall, braking)
    assert force > weight
    assert other_arrest.average_force(mass, 0.0, braking) == weight
    assert other_arrest.average_force(mass, free_fall, braking / 1e6) > 1e5 * (force - weight)
    assert other_arrest.net_force(mass, other_arrest.fall_speed(free_fall), braking) + weight == pytest.approx(force)
    assert arrest.braking_distance(mass, free_fall, force) == pytest.approx(braking)


@STEADY
@given(st.lists(st.floats(40, 300), min_size=1, max_size=8))
def test_chain_never_exceeds_a_part(limits):
    """The limit of the chain is one of its parts and exceeds none; the lower limit is the mirror image."""
    limit, place = capacity.chain_limit(limits)
    assert limit == limits[place]
    assert all(limit <= part for part in limits)
    floor, place = capacity.lower_limit(limits)
    assert floor == limits[place]
    assert all(floor >= part for part in limits)


@STEADY
@given(lengths(), lengths(), st.tuples(*[lengths(high=3.0)] * 4), lengths(high=2.0), lengths(-3, 3))
def test_lanyard_references_agree(ground, length, rest, ring, above):
    """From anchorage and surface the margin of a slack lanyard is the same; of a taut one the surface asks more."""
    surface = ground + 10.0
    from_surface = surface - ground - lanyard.required_below_surface(lanyard.free_fall(length, above), *rest)
    deceleration, stretch, margin, deflection = rest
    from_anchor = (surface + ring + above - ground) - other_lanyard.required_below_anchorage(
        length, deceleration, stretch, ring, margin, deflection
    )
    if length >= above:
        assert from_surface == pytest.approx(from_anchor, abs=1e-9)
    else:
        assert from_anchor - from_surface == pytest.approx(above - length, abs=1e-9)


@st.composite
def networks(draw):
    """Up to seven steps without circles, some of them sharing people."""
    steps = []
    for n in range(draw(st.integers(1, 7))):
        after = draw(st.sets(st.sampled_from(steps), max_size=2)) if steps else set()
        people = draw(st.sets(st.sampled_from("AB"), max_size=2))
        steps.append(Step(f"s{n}", float(draw(st.integers(0, 60))), tuple(sorted(s.id for s in after)), tuple(sorted(people))))
    return draw(st.permutations(steps))


@STEADY
@given(networks(), st.integers(0, 6), st.integers(1, 60))
def test_longer_steps_are_never_faster(steps, place, more):
    """Making one step longer makes no step earlier, and none later than by that much: worst estimates stay worst."""
    place %= len(steps)
    before = {step.id: step for step in rescue.schedule(steps).steps}
    longer = [replace(s, duration=s.duration + more) if n == place else s for n, s in enumerate(steps)]
    for step in rescue.schedule(longer).steps:
        assert before[step.id].start <= step.start
        assert before[step.id].finish <= step.finish <= before[step.id].finish + more
        assert step.waits_for == before[step.id].waits_for


@STEADY
@given(networks())
def test_contact_before_ground(steps):
    """A step that comes after another never ends before it; a critical chain starts at the fall and has no waiting."""
    plan = rescue.schedule(steps)
    at = {step.id: step for step in plan.steps}
    for step in plan.steps:
        assert all(rescue.finish_of(plan, other) <= step.finish for other in step.waits_for)
        chain = [at[name] for name in rescue.critical_steps(plan, step.id)]
        assert min(link.start for link in chain) == 0.0
        for link in chain:
            assert link.start == 0.0 or any(at[o].finish == link.start and at[o] in chain for o in link.waits_for)
        assert step.critical == (step.slack == 0.0)
        assert 0.0 <= rescue.gain_if_cut(steps, step.id, plan.steps[-1].id) <= step.duration
    assert plan.total == max(step.finish for step in plan.steps)
    assert any(step.critical for step in plan.steps)
