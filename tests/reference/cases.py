"""One case of a site worked out a second time: by vectors, in polar form, with every end of every figure tried and roots found by Newton.

Written from the rules of the design and the sentences of the fields, without the program's own calculation. It takes the frozen
records of the profile and nothing else of the program. Lengths in m, angles in rad; heights over the datum of the bay, upward.

A figure is the array of its ends on an axis of its own. What follows from several figures is then an array over all their axes, so
that the greatest and the least value in it are the true extremes over the box of the tolerances: every result here grows or falls
with each figure while the others stand still, and so takes its extremes in corners. `stepwise` tries the ends of offset and of line exit first
and goes on with the extremes of each, which is the same box with fewer corners; the tests run a share of the cases without it.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import yaml

import docgen

PRACTICE = yaml.safe_load((Path(docgen.__file__).parent / "trade" / "practice.yaml").read_text(encoding="utf-8"))
METRES = {"m": 1.0, "mm": 0.001, "cm": 0.01, "ft": 0.3048, "in": 0.0254, "ft/s": 0.3048, "deg": math.pi / 180}
G = 9.80665
OFF_ROAD = ("railcar", "machine", "other")
POSTURE_DROP = {"kneeling": "posture_kneeling", "lying": "posture_lying"}
NOISE = 1e-9
TESTED = 310 * 0.45359237  # kg; up to here a label speaks


def practice(name: str, metric: bool = False) -> float:
    """A figure of the trade in SI, in the form for sites in feet or in metres."""
    row = PRACTICE[name]
    figure, unit = re.fullmatch(
        r"([\d.]+) (\S+)", str(row.get("metric_value", row["value"]) if metric else row["value"])
    ).groups()
    return float(figure) * METRES[unit]


@dataclass
class Span:
    """A figure of the profile: as it stands, and its ends."""

    nominal: float
    low: float
    high: float

    @property
    def ends(self) -> list[float]:
        return sorted({self.low, self.high})


def sure(value: float) -> Span:
    """A figure without a tolerance."""
    return Span(value, value, value)


def span(quantity, metric: bool, usual: float | None = None) -> Span:
    """A length of the profile with its tolerance: as stated; else none for a bound, else by how it became known, `usual` for decks and rings."""
    value = quantity.si
    if quantity.tolerance_stated and quantity.tolerance:
        half = quantity.tolerance
    elif quantity.bound is not None and quantity.how not in (None, "measured"):
        half = 0.0
    elif usual is not None:
        half = usual
    elif quantity.how == "measured":
        short = value <= practice("tape_short_up_to", metric) + NOISE
        half = practice("tape_short" if short else "tape_long", metric)
    else:
        half = practice("unchecked_on_site", metric)
    return Span(value, value - half, value + half)


def bound(quantity, metric: bool) -> Span:
    """A figure that is a bound already: with a tolerance only where one is stated, but for what somebody measured."""
    if quantity.how == "measured" and quantity.kind == "length":
        return span(quantity, metric)
    return Span(quantity.si, quantity.si - quantity.tolerance, quantity.si + quantity.tolerance)


@dataclass
class Level:
    """Something that a person may fall on, and whether it rises and sinks with the deck."""

    top: Span
    moves: bool
    path: str


@dataclass
class Figures:
    """All that goes into one case. `drop` is measured between the two rings, or None where each ring has its own figure."""

    underside: Span
    below_rail: Span
    deck: Span
    standing: Span
    ring: Span | None
    drop: Span | None
    rail: Span
    toward: str | None
    reach: list[Span]
    parking: Span
    lag: Span
    past: Span
    levels: list[Level]
    arrest: Span
    over_edge: Span | None
    stretch: Span
    deflection: Span | None
    margin: Span
    edge: Span | None
    edge_top: Span | None
    side: str | None
    inboard: bool
    at_ground: bool
    ladder: list[Span]
    angle: float
    rule: float | None
    metric: bool


def box(figures: list[Span], nominal: bool) -> list[np.ndarray]:
    """Each figure on an axis of its own: its ends, or the figure as it stands."""
    axes = [np.array([f.nominal] if nominal else f.ends) for f in figures]
    return list(np.meshgrid(*axes, indexing="ij", sparse=True))


def extremes(values: np.ndarray) -> Span:
    """Greatest and least of a result, as a figure to go on with."""
    return Span(float("nan"), float(values.min()), float(values.max()))


def polar(height, offset):
    """Length of the line from its exit to the D-ring, and its angle from the vertical."""
    return np.hypot(offset, height), np.arctan2(offset, height)


def fall_of_arc(length, angle):
    """How far a pendulum let go at an angle comes down, L (1 - cos a) by the half angle."""
    return 2.0 * length * np.sin(angle / 2.0) ** 2


def offset_of_fall(height, fall):
    """The offset from which a pendulum falls so far: root of L(x) - h - s = 0 by Newton from the right, where the curve is convex."""
    height, fall = np.broadcast_arrays(np.asarray(height, float), np.asarray(fall, float))
    wanted = np.where(fall > 0.0, fall, 1.0)
    x = height + wanted
    for _ in range(100):
        length, angle = polar(height, x)
        step = (fall_of_arc(length, angle) - wanted) / np.sin(angle)
        x = x - step
        if np.all(np.abs(step) <= 1e-14 * (1.0 + x)):
            break
    return np.where(fall > 0.0, x, 0.0)


@dataclass
class Corners:
    """What one pass over the box gives, as arrays over it: with one element where the figures are taken as they stand."""

    exit: np.ndarray
    deck: np.ndarray
    standing: np.ndarray
    ring: np.ndarray
    height: np.ndarray
    offset: np.ndarray
    arrest: np.ndarray
    stretch: np.ndarray
    deflection: np.ndarray
    margin: np.ndarray
    levels: list[np.ndarray]
    edge_top: np.ndarray | None


def offsets(f: Figures, nominal: bool) -> np.ndarray:
    """Offset of the D-ring from under the trolley, over all ends: the length of the vector (across, along)."""
    rail, parking, lag, past, *reach = box([f.rail, f.parking, f.lag, f.past, *f.reach], nominal)
    reached = reach[0]
    for one in reach[1:]:
        reached = np.maximum(reached, one)
    across = np.abs(rail) + reached + parking
    return np.abs(across + 1j * (lag + past))


def at_ladder(f: Figures) -> float:
    """The farthest that the ladder can be from under the trolley, over all ends: distance and parking across, lag and way past a hanger along."""
    if not f.ladder:
        return 0.0
    beside, parking, lag, at, off, first, last = box(f.ladder, False)
    past = np.maximum(0.0, np.maximum(first - (at - off), at + off - last))
    return float(np.abs(beside + parking + 1j * (lag + past)).max())


def ladder(bay, metric: bool) -> list[Span]:
    """What the place of the ladder is made of; empty where its distance from the rail is not told. One of the vehicle stands off as it does."""
    place, rail = bay.ladder, bay.rail
    if place.offset is None:
        return []
    own = place.owner != "site"
    lag = place.trolley_lag or rail.trolley_lag
    along = [place.at, rail.hangers.first, rail.hangers.last, bay.parking.along.off if own else 0.0]
    told = None not in along
    return [
        span(place.offset, metric), bound(bay.parking.lateral, metric) if own else sure(0.0),
        sure(practice("trolley_lag")) if lag is None else span(lag, metric), span(place.at, metric) if told else sure(0.0),
        bound(bay.parking.along.off, metric) if told and own else sure(0.0), span(rail.hangers.first, metric) if told else sure(0.0),
        span(rail.hangers.last, metric) if told else sure(0.0),
    ]  # fmt: skip


def corners(f: Figures, arrest: Span, nominal: bool, stepwise: bool) -> Corners:
    """The box of a case."""
    offset = offsets(f, nominal)
    under, drop = box([f.underside, f.below_rail], nominal)
    exit_ = under - drop
    if stepwise and not nominal:
        exits, reaches = [extremes(exit_)], [extremes(offset)]
    else:
        exits, reaches = [f.underside, f.below_rail], [f.rail, f.parking, f.lag, f.past, *f.reach]
    own = [f.ring] if f.ring is not None else [f.drop]
    tops = [level.top for level in f.levels]
    edge = [f.edge_top] if f.edge_top is not None else []
    plain = [f.deck, f.standing, *own, arrest, f.stretch, f.deflection or sure(0.0), f.margin, *tops, *edge]
    axes = box([*plain, *exits, *reaches], nominal)
    deck, standing, second, arrest_, stretch, deflection, margin = axes[:7]
    rest = axes[7 : len(plain)]
    far = axes[len(plain) :]
    exit_ = far[0] if len(exits) == 1 else far[0] - far[1]
    offset = far[-1] if len(reaches) == 1 else offset.reshape((1,) * (len(plain) + 2) + offset.shape)
    ring = second if f.ring is not None else np.maximum(standing - second, 0.0)
    heave = deck - f.deck.nominal
    levels = [top + heave if level.moves else top for level, top in zip(f.levels, rest, strict=False)]
    return Corners(
        exit=exit_, deck=deck, standing=standing, ring=ring, height=exit_ - deck - ring, offset=offset, arrest=arrest_,
        stretch=stretch, deflection=deflection, margin=margin, levels=levels, edge_top=rest[-1] + heave if edge else None,
    )  # fmt: skip


@dataclass
class Result:
    """The figures of a case by the names of the program's own, in SI; None where it cannot be worked out."""

    offset: float
    offset_worst: float
    height: float
    line_angle: float | None = None
    line_angle_worst: float | None = None
    swing_drop: float | None = None
    swing_speed: float | None = None
    swing_drop_worst: float | None = None
    swing_speed_worst: float | None = None
    arrest_distance: float | None = None
    arrest_distance_worst: float | None = None
    required: float | None = None
    required_worst: float | None = None
    available: float | None = None
    available_worst: float | None = None
    margin: float | None = None
    margin_worst: float | None = None
    kept: float | None = None
    kept_least: float | None = None
    edge: float | None = None
    bears: bool = False
    setback: float = 0.0
    largest_offset: float | None = None
    largest_offset_by: str | None = None
    largest_by_clearance: float | None = None
    largest_by_angle: float | None = None
    largest_by_rule: float | None = None
    largest_worst: float | None = None
    allowance_left: float | None = None
    allowance_right: float | None = None
    hang: float | None = None
    hang_low: float | None = None
    hang_high: float | None = None
    feet: float | None = None
    feet_low: float | None = None
    feet_high: float | None = None
    line_needed: float | None = None
    verdict: str = "not-computed"


def least_to_keep(margin: float, metric: bool) -> float:
    """What of a margin must be left after tolerances."""
    part = practice("kept_least", metric)
    return max(part, min(practice("kept_most", metric), margin - part))


def least_offset(f: Figures) -> float:
    """The least offset that can occur: a person may stand anywhere within reach, and the vehicle anywhere within the parking."""
    r = f.rail
    nearest = 0.0 if r.low <= 0.0 <= r.high else min(abs(r.low), abs(r.high))
    return max(0.0, nearest - max(one.high for one in f.reach) - f.parking.high)


def toward(f: Figures, side: str) -> Span:
    """The rail's offset toward a side: against the case where it is not told to which."""
    r = f.rail
    if f.toward is None:
        far = max(abs(r.low), abs(r.high))
        return Span(abs(r.nominal), far, far)
    return r if f.toward == side else Span(-r.nominal, -r.high, -r.low)


def from_the_edge(f: Figures) -> float:
    """How far inside an edge across the vehicle the trolley is at the least, over all ends; 0 at every other edge, and where it is not measured."""
    if f.edge is None or f.side not in ("left", "right"):
        return 0.0
    rail = [
        sign * end
        for sign in ((1, -1) if f.toward is None or f.rail.nominal < 0 else (1 if f.toward == f.side else -1,))
        for end in f.rail.ends
    ]
    return max(0.0, min(edge - at - off for edge in f.edge.ends for at in rail for off in (-f.parking.high, f.parking.high)))


def work(f: Figures, stepwise: bool = True, arrest: Span | None = None) -> Result:
    """One case. `arrest`: the arrest distance in force, where it is not to be looked for here."""
    as_is = corners(f, arrest or f.arrest, True, stepwise)
    ends = corners(f, arrest or f.arrest, False, stepwise)
    height, offset = float(as_is.height.item()), float(as_is.offset.item())
    worst_offset = float(ends.offset.max())
    out = Result(offset, worst_offset, height, largest_by_rule=f.rule, setback=from_the_edge(f))
    if f.levels:
        out.available = min(float((as_is.deck - level).item()) for level in as_is.levels)
    if f.at_ground:
        out.line_needed = float(polar(ends.exit - ends.standing, np.maximum(ends.offset, at_ladder(f)))[0].max())
    if height <= 0.0:
        out.bears = f.inboard
        used = f.over_edge if out.bears else f.arrest
        out.arrest_distance = None if used is None else used.nominal
        out.arrest_distance_worst = None if used is None else used.high
        return out
    length, out.line_angle = (float(v.item()) for v in polar(as_is.height, as_is.offset))
    drop = out.swing_drop = float(fall_of_arc(length, out.line_angle))
    out.swing_speed = math.sqrt(2 * G * drop)
    above = float(ends.height.min()) > 0.0
    if above:
        lengths, angles = polar(ends.height, ends.offset)
        drops = fall_of_arc(lengths, angles)
        out.line_angle_worst = float(angles.max())
        out.swing_drop_worst = float(drops.max())
        out.swing_speed_worst = math.sqrt(2 * G * out.swing_drop_worst)
    # the edge, with the figure for use without one
    out.bears = f.inboard
    if above:
        top = ends.deck if ends.edge_top is None else np.maximum(ends.deck, ends.edge_top)
        clear = ends.deck + ends.ring - ends.arrest - ends.deflection - drops - top
        out.edge = float(clear.min())
        out.bears = f.inboard and out.edge < -NOISE
    if arrest is None and out.bears:
        if f.over_edge is None:
            return out
        as_is = corners(f, f.over_edge, True, stepwise)
        ends = corners(f, f.over_edge, False, stepwise)
    out.arrest_distance = float(as_is.arrest.item())
    out.arrest_distance_worst = float(ends.arrest.max())
    clearance(f, out, as_is, ends, drop, above)
    hanging(f, out, as_is, ends, length, above)
    inverse(f, out, as_is, ends, above)
    return out


def clearance(f: Figures, out: Result, as_is: Corners, ends: Corners, drop: float, above: bool) -> None:
    """Need against room, as the figures stand and in every corner, over each thing that lies below."""

    def need(c: Corners, fall):
        return c.arrest + c.stretch + (c.standing - c.ring) + c.deflection + c.margin + fall

    if not f.levels:
        return
    out.required = float(need(as_is, drop).item())
    out.margin = out.available - out.required
    out.kept_least = least_to_keep(f.margin.nominal, f.metric)
    if above:
        wanted = need(ends, fall_of_arc(*polar(ends.height, ends.offset)))
        for level in ends.levels:
            room = ends.deck - level
            left = room - wanted
            if out.margin_worst is None or left.min() < out.margin_worst:
                at = np.unravel_index(left.argmin(), left.shape)
                out.margin_worst = float(left[at])
                out.required_worst = float(np.broadcast_to(wanted, left.shape)[at])
                out.available_worst = float(np.broadcast_to(room, left.shape)[at])
        out.kept = f.margin.nominal + out.margin_worst
    if out.margin < -NOISE:
        out.verdict = "short"
    elif out.kept is None or out.kept < out.kept_least - NOISE:
        out.verdict = "short-after-tolerances"
    else:
        whole = "holds" if out.kept >= f.margin.nominal - NOISE else "keeps-less"
        out.verdict = "open" if f.deflection is None else whole


def hanging(f: Figures, out: Result, as_is: Corners, ends: Corners, length: float, above: bool) -> None:
    """Where a person hangs: the end of a plumb line from the exit; the feet below the ring by its height on a standing person and the stretch."""

    def plumb(c: Corners, line):
        return c.exit - line - c.arrest - c.deflection

    if not above:
        return
    ring = plumb(as_is, length)
    out.hang = float(ring.item())
    out.feet = float((ring - as_is.standing - as_is.stretch).item())
    line, _ = polar(ends.height, ends.offset)
    low = plumb(ends, line)
    out.hang_low = float(low.min())
    out.feet_low = float((low - ends.standing - ends.stretch).min())
    lock = practice("lock_speed") ** 2 / (2 * G)
    straight, _ = polar(ends.height, least_offset(f))
    high = ends.exit - straight - lock
    out.hang_high = float(high.max())
    out.feet_high = float((high - ends.standing).max())
    farthest, _ = polar(ends.height, np.maximum(ends.offset, at_ladder(f)))
    out.line_needed = max(out.line_needed or 0.0, float((farthest + ends.arrest + ends.deflection).max()))


def inverse(f: Figures, out: Result, as_is: Corners, ends: Corners, above: bool) -> None:
    """The largest offsets that pass, and how far the vehicle may stand to either side."""

    def left(c: Corners, level):
        return c.deck - level - (c.arrest + c.stretch + (c.standing - c.ring) + c.deflection + c.margin)

    out.largest_by_angle = out.height * math.tan(f.angle)
    bounds = [out.largest_by_angle]
    if f.rule is not None:
        bounds.append(f.rule)
    if not f.levels:
        return
    out.largest_by_clearance = min(float(offset_of_fall(as_is.height, left(as_is, level)).item()) for level in as_is.levels)
    known = {"clearance": out.largest_by_clearance, "angle": out.largest_by_angle, "site-rule": f.rule}
    out.largest_offset, out.largest_offset_by = min((v, k) for k, v in known.items() if v is not None)
    worst = 0.0
    if above:
        used = max(0.0, -out.margin_worst) if out.verdict in ("keeps-less", "open", "holds") else 0.0
        passes = [float(offset_of_fall(ends.height, left(ends, level) + used).min()) for level in ends.levels]
        worst = min(*passes, float((ends.height * math.tan(f.angle)).min()), *bounds[1:])
    worst = min(worst, out.largest_offset)
    out.largest_worst = worst
    along = f.lag.high + f.past.high
    reach = max(one.high for one in f.reach)
    across = math.sqrt(max(0.0, worst**2 - along**2))
    out.allowance_left = across - reach - toward(f, "right").high
    out.allowance_right = across - reach - toward(f, "left").high


def figures(site, bay, vehicle, task, posture: str, side, metric: bool) -> Figures:
    """The figures of a case out of the records of the profile; what a case cannot do without must be there."""
    rail, limits = bay.rail, site.limits
    crew = practice("crew_and_vehicles", metric)
    deck = span(vehicle.deck, metric, None if vehicle.kind in OFF_ROAD else crew)
    for one in (vehicle.deck_range.empty, vehicle.deck_range.loaded):
        if one is not None:
            deck = Span(deck.nominal, min(deck.low, (end := span(one, metric)).low), max(deck.high, end.high))
    given = limits.d_ring.standing
    standing = sure(practice("d_ring_standing")) if given is None else span(given, metric, crew)
    for one in (limits.stature.shortest, limits.stature.tallest):
        if one is not None:
            standing = Span(standing.nominal, min(standing.low, (end := span(one, metric)).low), max(standing.high, end.high))
    ring, drop = None, sure(0.0)
    if posture != "standing":
        own = getattr(limits.d_ring, posture)
        if posture == "kneeling" and limits.posture_drop is not None:
            drop = span(limits.posture_drop, metric, crew)
        elif own is not None:
            ring, drop = span(own, metric, crew), None
        else:
            drop = sure(practice(POSTURE_DROP[posture]))
    reach = [] if task.reach_from_centreline is None else [span(task.reach_from_centreline, metric)]
    reach += [
        span(s.edge, metric) for s in vehicle.sides if s.side in ("left", "right") and s.edge is not None and not s.stopped_by
    ]
    devices = [site.part(p) for system in site.systems if system.bay == bay.id for p in system.parts]
    devices = [d for d in devices if d is not None and d.kind == "srd"]
    arrests = [bound(q, metric) for d in devices for q in arrest_figures(site, bay, task, d)]
    over = []
    for d in devices:
        if d.edge_use.page is None:
            continue
        if d.edge_use.same:
            over.append(bound(d.arrest_distance, metric))
        elif d.edge_use.arrest_distance is not None:
            over.append(bound(d.edge_use.arrest_distance, metric))
    angles = [q.si for q in (limits.line_angle.value, *(d.angle_max for d in devices)) if q is not None]
    here = toward_side(rail, side, metric)
    parking = bound(bay.parking.lateral, metric)
    edge = None if side is None or side.edge is None else span(side.edge, metric)
    inboard = side is None or side.side not in ("left", "right") or edge is None or here - parking.high < edge.high
    levels = []
    if side is not None and side.lower.height is not None:
        levels.append(Level(span(side.lower.height, metric), side.lower.moves_with == "vehicle", side.lower.path))
    f = Figures(
        underside=span(rail.underside, metric), below_rail=span(rail.line_exit_below_rail, metric), deck=deck, standing=standing,
        ring=ring, drop=drop, rail=span(rail.offset, metric), toward=rail.offset_toward, reach=reach, parking=parking,
        lag=sure(practice("trolley_lag")) if rail.trolley_lag is None else span(rail.trolley_lag, metric),
        past=sure(0.0) if task.past_end_stop is None else span(task.past_end_stop, metric), levels=levels,
        arrest=widest(arrests), over_edge=widest([*arrests, *over]) if len(over) == len(devices) else None,
        stretch=sure(practice("stretch")) if limits.stretch is None else bound(limits.stretch, metric),
        deflection=None if rail.deflection is None else bound(rail.deflection, metric),
        margin=sure(practice("margin", metric) if limits.margin is None else bound(limits.margin, metric).high),
        edge=edge, edge_top=None if side is None or side.edge_top is None else span(side.edge_top, metric),
        side=None if side is None else side.side, inboard=inboard, at_ground=bay.hook_up.at_ground is True,
        ladder=ladder(bay, metric),
        angle=min(angles, default=practice("line_angle")), rule=None if limits.lateral.value is None else limits.lateral.value.si,
        metric=metric,
    )  # fmt: skip
    if f.levels:
        f.levels += below(f, rail, bay.obstructions, False) + below(f, rail, vehicle.protrusions, True)
    return f


def arrest_figures(site, bay, task, device) -> list:
    """The maker's figures that hold for a task: of the label, for users up to the first mass that covers the posted limit, in the cold."""
    found = [device.arrest_distance]
    limit = site.limits.upper.value
    label = [] if limit is not None and limit.si > TESTED * (1 + NOISE) else [TESTED]
    covering = min([row.mass.si for row in device.arrest_at if limit is not None and row.mass.si >= limit.si - NOISE] + label)
    found += [row.distance for row in device.arrest_at if row.mass.si <= covering * (1 + NOISE)]
    if device.cold:
        posted = site.limits.weather.temperature_min
        bans = (
            [task.temperature_min] if bay.setting == "indoor" else [posted] if posted is None else [posted, task.temperature_min]
        )
        lowest = min((q.si for q in bans if q is not None), default=-math.inf)
        if lowest < (math.inf if device.cold.below is None else device.cold.below.si - NOISE):
            found.append(device.cold.distance)
    return found


def below(f: Figures, rail, things, moves: bool) -> list[Level]:
    """What a person falling on that side may come down on, beside the surface there: things on that side, or on a side not told, that
    stand up from below the deck within the landing width of the outermost place of the D-ring. Not measured across, they do; taller
    than the deck they count as high as the deck."""
    zone = outermost(f, rail, moves) + practice("landing_width")
    found = []
    for thing in things:
        told = [q for q in (thing.from_, thing.to) if q is not None]
        near = 0.0 if thing.from_ is None else min(span(q, f.metric).low for q in told)
        bottom, top = thing.bottom, thing.top
        if (
            bottom is not None and top is not None and bottom.si > top.si
        ):  # written the wrong way round: it stands there all the same
            bottom, top = top, bottom
        over = bottom is not None and span(bottom, f.metric).low >= f.deck.high - NOISE
        here = thing.side == f.side or (thing.side is None and f.side != "hatch")  # what stands outside is not met inside a tank
        if here and top is not None and not over and near < zone - NOISE:
            high = span(top, f.metric)
            capped = Span(min(high.nominal, f.deck.nominal), min(high.low, f.deck.low), min(high.high, f.deck.high))
            found.append(Level(capped, moves, top.path))
    return found


def outermost(f: Figures, rail, moves: bool) -> float:
    """How far to that side the D-ring can come, over where it starts and where the trolley hangs: the start, or its mirror in the trolley.

    Seen from the vehicle for what belongs to it, which moves with it, else from the bay; and never less than the edge or the offset: that
    across on a side across, else the whole.
    """
    reach, parking = max(one.high for one in f.reach), f.parking.high
    rails = [sign * r for sign in signs(rail.offset_toward) for r in (f.rail.low, f.rail.high)]
    trolleys = [r + p for r in rails for p in ((-parking, parking) if moves else (0.0,))]
    starts = [sign * (reach + (0.0 if moves else parking)) for sign in (-1, 1)]
    reached = [place for s in starts for t in trolleys for place in (s, 2 * t - s)]
    edge = 0.0 if f.edge is None else f.edge.high
    across = max(abs(f.rail.low), abs(f.rail.high)) + reach + parking
    beyond = across if f.side in ("left", "right") else float(offsets(f, False).max())
    return max(edge, beyond, *(sign * place for sign in signs(f.side) for place in reached))


def signs(side: str | None) -> tuple[int, ...]:
    """Left is negative; both where it is not across, or not told."""
    return {"left": (-1,), "right": (1,)}.get(side or "", (-1, 1))


def toward_side(rail, side, metric: bool) -> float:
    """The least distance of the rail from the centreline toward the side of the fall."""
    r = span(rail.offset, metric)
    far = max(abs(r.low), abs(r.high))
    if side is None or rail.offset_toward is None:
        return -far
    return r.low if rail.offset_toward == side.side else -r.high


def widest(spans: list[Span]) -> Span:
    """The longest of several figures, at each end."""
    return Span(*(max(getattr(s, end) for s in spans) for end in ("nominal", "low", "high")))


def floor_of_climb(site, bay, metric: bool) -> float | None:
    """The greatest height that whatever lies below the ladder can have, over all ends: the told surface of each vehicle on that side (all of them where it is not told
    there), and what stands on that side within the whole offset of the ladder and a landing width of the rail."""
    crew = practice("crew_and_vehicles", metric)
    mirror = {"left": "right", "right": "left", "front": "rear", "rear": "front"}
    at = {bay.ladder.side} if bay.ladder.side in mirror else set(mirror)
    if bay.ladder.owner != "vehicle" and bay.parking.along.either_way is not False:
        at |= {mirror[one] for one in at}
    tops = []
    for vehicle in site.vehicles:
        if not any(t.bay == bay.id and t.vehicle == vehicle.id and t.permission == "allowed" for t in site.tasks):
            continue
        ends = span(vehicle.deck, metric, None if vehicle.kind in OFF_ROAD else crew).ends
        for one in (vehicle.deck_range.empty, vehicle.deck_range.loaded):
            ends = ends if one is None else [*ends, *span(one, metric).ends]
        heaves = [end - vehicle.deck.si for end in ends]
        lows = {s.side: s.lower for s in vehicle.sides if s.side in mirror and s.lower.height is not None}
        for name, low in lows.items():
            if name in at or not at <= set(lows):
                moved = heaves if low.moves_with == "vehicle" else [0.0]
                tops += [h + m for h in span(low.height, metric).ends for m in moved]
        for things, moved in ((bay.obstructions, [0.0]), (vehicle.protrusions, heaves)):
            far = farthest_ladder(bay, moved is heaves, metric)
            for thing in things:
                near = [q for q in (thing.from_, thing.to) if q is not None]
                heights = [q for q in (thing.bottom, thing.top) if q is not None]
                closest = min(span(q, metric).low for q in near) if thing.from_ is not None else -math.inf
                starts = min(span(q, metric).low for q in heights) if len(heights) == 2 else -math.inf
                if (thing.side is None or thing.side in at) and thing.top is not None and starts < max(ends) and closest < far:
                    tops += [min(max(ends), span(max(heights, key=lambda q: q.si), metric).high + m) for m in moved]
    return max(tops, default=None)


def farthest_ladder(bay, on_vehicle: bool, metric: bool) -> float:
    """How far to its side of the center line a climber can come down beside the ladder, seen from the bay or the vehicle; everywhere at an end of the vehicle."""
    if bay.ladder.side not in ("left", "right"):
        return math.inf
    parked = bound(bay.parking.lateral, metric).high
    rail, beside = span(bay.rail.offset, metric), span(bay.ladder.offset, metric)
    rails = [r if bay.rail.offset_toward == bay.ladder.side else -r for r in rail.ends]
    sways = (-parked, parked) if bay.ladder.owner != "site" or on_vehicle else (0.0,)
    return max(r + b + s for r in rails for b in beside.ends for s in sways) + practice("landing_width")


def climb(site, bay, vehicle, task, side, metric: bool) -> float:
    """Height of the feet on the ladder from which an arrest ends in time above that floor, in its worst corner: by halving, on where the ring comes to rest."""
    f = figures(site, bay, vehicle, task, "standing", side, metric)
    worst, below = work(f), floor_of_climb(site, bay, metric)
    exits = [u - d for u in f.underside.ends for d in f.below_rail.ends]
    slack = span(bay.hook_up.line.slack, metric).high
    term = worst.arrest_distance_worst + slack + f.stretch.high + f.deflection.high + f.margin.high
    found = []
    for exit_ in exits:
        for ring in f.standing.ends:
            low, high = below, exit_ - ring
            for _ in range(80):
                middle = (low + high) / 2
                hangs = exit_ - abs(complex(exit_ - ring - middle, at_ladder(f))) - term - ring
                low, high = (middle, high) if hangs < below else (low, middle)
            found.append(high)
    return max(found)


def off_the_ladder(site, bay, vehicle, task, side, metric: bool) -> float:
    """Drop of the swing of who falls off the top of the ladder with the feet at the deck, the most over all ends: the line turns down about its exit."""
    f = figures(site, bay, vehicle, task, "standing", side, metric)
    ends = span(vehicle.deck, metric, None if vehicle.kind in OFF_ROAD else practice("crew_and_vehicles", metric)).ends
    for one in (vehicle.deck_range.empty, vehicle.deck_range.loaded):
        ends = ends if one is None else [*ends, *span(one, metric).ends]
    out = at_ladder(f)
    lines = [
        complex(u - d - deck - ring, out)
        for u in f.underside.ends
        for d in f.below_rail.ends
        for deck in ends
        for ring in f.standing.ends
    ]
    return max(abs(line) - line.real for line in lines)
