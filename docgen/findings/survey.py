"""Findings on what was measured: inputs that are missing, assumed, undated or older than the thing they describe."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from docgen.calc import G
from docgen.engineering.model import Assumed, Case
from docgen.engineering.spread import spread
from docgen.findings.allowances import assumable
from docgen.findings.common import (
    SIDES,
    bays_in_use,
    case_names,
    grouped,
    latest,
    law_figure,
    least_first,
    listed,
    parts_in_use,
    parts_relied_on,
    systems_in_use,
    task_path,
    terms,
    vehicles_in_use,
    worded,
)
from docgen.findings.model import Phrase, Usual, Value
from docgen.findings.rule import ALL, NOTICE, PLAN, RECORD, RESCUE, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import under
from docgen.site import Quantity, Vehicle
from docgen.site.declare import Spoken
from docgen.site.obstacle import Obstacle
from docgen.site.vehicles import Barrier
from docgen.text.screens import found_in_any
from docgen.trade.practice import practice, practice_beside

__all__ = [
    "barrier_low",
    "barrier_not_physical",
    "barrier_unproved",
    "barrier_weak",
    "case_impossible",
    "cover_weak",
    "critical",
    "critical_input_assumed",
    "critical_input_missing",
    "datum_missing",
    "default_taken",
    "deflection_unknown",
    "edge_unmeasured",
    "end_stops_missing",
    "evidence_unstated",
    "length_below_zero",
    "measured_in_future",
    "no_tasks",
    "posture_unmeasured",
    "posture_unstated",
    "side_untold",
    "survey_old",
    "survey_undated",
    "system_missing",
    "vehicle_changed",
]

DEFAULT_AT = {
    "d_ring_standing": "limits.d_ring.standing",
    "stretch": "limits.stretch",
    "margin": "limits.margin",
    "line_angle": "limits.line_angle",
}


@finding("no-tasks", "must-fix", documents=ALL)
def no_tasks(view: View) -> Iterator[Hit]:
    """What it looks at: whether any task is listed.

    Why: cases come only from tasks, and what is unlisted is prohibited. Example: a profile with bays and vehicles and
    no task yields no number at all. Reference: common practice.
    """
    if not view.site.tasks:
        yield Hit("tasks")


@finding("system-missing", "must-fix", documents=(PLAN,))
def system_missing(view: View) -> Iterator[Hit]:
    """What it looks at: a bay with an allowed task and no system.

    Why: there is no load path to compute. Example: bay B3 with a sampling task, and no record under systems that names
    B3. Reference: common practice.
    """
    for bay in bays_in_use(view):
        if view.site.system_of(bay.id) is None:
            yield Hit(bay.path, {"bay": bay.name, "id": bay.id})


@finding("critical-input-missing", "must-fix", documents=(PLAN,))
def critical_input_missing(view: View) -> Iterator[Hit]:
    """What it looks at: heights, offsets, reach, hang and arrest distance that an allowed case needs and does not
    find.

    Why: a case without them is not computed and never counts as a pass. Example: no hang, so no line exit height.
    Reference: common practice.
    """
    without: dict[str, list[Case]] = {}
    elsewhere = {b.path for b in view.site.bays} | {f"{s.path}.parts" for s in view.site.systems}
    elsewhere |= {f"{p.path}.arrest_at" for p in view.site.equipment}
    for case in view.allowed:
        for path in case.missing:
            if path not in elsewhere:
                without.setdefault(path, []).append(case)
    for path, cases in without.items():
        yield Hit(
            path,
            {"input": path, "cases": _not_computed(len(cases)), "vehicles": listed(view.vehicles[c.vehicle].name for c in cases)},
        )


def _things(things: Iterable[Obstacle]) -> Iterator[Quantity | None]:
    yield from (q for thing in things for q in (thing.from_, thing.to, thing.bottom, thing.top))


def critical(view: View) -> Iterator[Quantity | None]:
    """The figures on which clearance, angle and strength rest, as far as the profile gives them."""
    for bay in bays_in_use(view):
        rail, along, ladder = bay.rail, bay.parking.along, bay.ladder
        yield from (
            rail.underside,
            rail.offset,
            rail.line_exit_below_rail,
            rail.deflection,
            rail.deflection_load,
            bay.parking.lateral,
        )
        yield from (along.front, along.off, rail.hangers.first, rail.hangers.last, bay.hook_up.line.slack)
        beam = rail.beam
        yield from (ladder.offset, ladder.at, ladder.trolley_lag, rail.length, rail.as_built.slope)
        yield from (beam.span, beam.allowed_stress, beam.modulus, beam.second_moment, beam.section_modulus)
        line = bay.electrical.line
        yield from (line.distance, line.voltage)
        yield from _things(bay.obstructions)
    for vehicle in vehicles_in_use(view):
        yield from (
            vehicle.deck,
            vehicle.length,
            vehicle.walk.from_,
            vehicle.walk.to,
            vehicle.deck_range.empty,
            vehicle.deck_range.loaded,
        )
        yield from (q for h in vehicle.hatches if not h.stopped_by for q in (h.at, h.size, h.lower))
        yield from (q for s in vehicle.sides if not s.stopped_by for q in (s.lower.height, s.edge, s.edge_top))
        barriers = (*(s.stopped_by for s in vehicle.sides), *(h.stopped_by for h in vehicle.hatches))
        yield from (q for barrier in barriers if barrier for q in (barrier.height, barrier.load))
        yield from _things(vehicle.protrusions)
    allowed = (t for t in view.site.tasks if t.permission == "allowed")
    yield from (q for task in allowed for q in (task.reach_from_centreline, task.past_end_stop))
    limits = view.site.limits
    yield from (
        limits.d_ring.standing,
        limits.d_ring.kneeling,
        limits.d_ring.lying,
        limits.posture_drop,
        limits.stature.shortest,
        limits.stature.tallest,
    )
    yield from (q for q, name in assumable(view) if under(q.si, practice_beside(name, q.unit, view.system).si))
    for part in parts_relied_on(view):
        yield from (
            part.capacity.min,
            part.capacity.max,
            part.arrest_distance,
            part.deceleration_distance,
            part.arrest_force_peak,
            part.line_strength,
            part.line_length,
            part.tensile,
            part.proof,
            part.gate_proof,
            part.design_load,
            part.free_fall,
            part.free_fall_max,
            part.angle_max,
            part.line_angle.max,
            part.edge_use.arrest_distance,
            part.edge_use.setback,
            part.cold.below,
            part.cold.distance,
            part.temperature.min,
            part.temperature.max,
            part.arrest_force_average,
        )
        yield from (q for other in part.arrest_at for q in (other.mass, other.distance))
    for system in systems_in_use(view):
        yield from (q for load in system.load_cases for q in (load.load, load.deflection))
        yield system.spacing
        yield from (system.anchorage.design_load_all_users, system.anchorage.direction.angle, system.anchorage.direction.load)
    yield from of_rescue(view)


def of_rescue(view: View) -> Iterator[Quantity | None]:
    """Those of them that bear a rescuer or the person who is brought down, or say how far a method reaches, lifts and lets down."""
    yield from (
        q for bay in bays_in_use(view) for anchor in bay.rescue_anchors for q in (anchor.strength, anchor.load, anchor.height)
    )
    for method in view.site.rescue.methods:
        yield from (method.anchor_strength, method.attach_height, method.hook.reach, method.lift.needed, method.lift.rope_at_top)
        kits = (view.site.part(key) for key in method.kits)
        yield from (q for part in kits if part is not None for q in (part.reach, part.handle_height))


def _papers(quantity: Quantity, rescue: frozenset[str]) -> tuple[str, ...]:
    """The papers that rest on a critical figure."""
    return (PLAN, RECORD, RESCUE) if quantity.path in rescue else (PLAN, RECORD)


@finding("critical-input-assumed", "must-fix", documents=(PLAN, RECORD, RESCUE))
def critical_input_assumed(view: View) -> Iterator[Hit]:
    """What it looks at: how=assumed on a height, a distance, a D-ring, a rating, an arrest distance, a design load or what a rescue anchor
    holds; on stretch, margin and lag below what practice takes.

    Why: nobody read it. Example: an arrest distance of 3.5 ft that was assumed and stands on the label as 4.5 ft.
    Reference: common practice.
    """
    rescue = frozenset(q.path for q in of_rescue(view) if q is not None)
    for quantity in critical(view):
        if quantity is not None and quantity.assumed:
            yield Hit(quantity.path, {"input": quantity.path, "value": near(quantity)}, documents=_papers(quantity, rescue))


@finding("measured-in-future", "must-fix", documents=(PLAN, RECORD, RESCUE))
def measured_in_future(view: View) -> Iterator[Hit]:
    """What it looks at: the day on which a figure became known, of those on which clearance, angle and strength rest, against the day of the check.

    Why: nobody has measured it yet, or the day is that of another year. The day of the check itself counts. Example: deck measured on 2027-08-18, checked
    on 2026-11-01. Reference: common practice.
    """
    rescue = frozenset(q.path for q in of_rescue(view) if q is not None)
    for quantity in critical(view):
        if quantity is not None and quantity.on is not None and view.ahead(quantity.on):
            values: dict[str, Value] = {"input": quantity.path, "on": quantity.on, "today": view.as_of}
            yield Hit(f"{quantity.path}.on", values, documents=_papers(quantity, rescue))


def _lengths(view: View) -> Iterator[Quantity | None]:
    """Lengths that are distances, so that below zero they mean nothing; elevations may lie below the datum."""
    for bay in view.site.bays:
        rail = bay.rail
        yield from (
            rail.line_exit_below_rail,
            rail.trolley_lag,
            rail.deflection,
            rail.length,
            rail.beam.span,
            bay.parking.lateral,
            bay.parking.along.off,
            bay.hook_up.line.slack,
            bay.ladder.offset,
            bay.ladder.trolley_lag,
            bay.electrical.line.distance,
        )
    yield from (s.edge for v in view.site.vehicles for s in v.sides)
    for vehicle in view.site.vehicles:
        yield from (vehicle.length, vehicle.walk.from_, vehicle.walk.to, *(q for h in vehicle.hatches for q in (h.at, h.size)))
    yield from (q for t in view.site.tasks for q in (t.reach_from_centreline, t.past_end_stop))
    for part in view.site.equipment:
        yield from (part.arrest_distance, part.deceleration_distance, part.free_fall, part.free_fall_max)
        yield from (part.line_length, part.reach)
    limits = view.site.limits
    yield from (limits.d_ring.standing, limits.d_ring.kneeling, limits.d_ring.lying, limits.stretch, limits.margin)
    yield from (limits.lateral.value, limits.line_angle.value)


@finding("length-below-zero", "must-fix", documents=(PLAN,))
def length_below_zero(view: View) -> Iterator[Hit]:
    """What it looks at: distances and angles written with a minus sign.

    Why: they lengthen the clearance on paper. Example: stretch -1 ft. Reference: geometry.
    """
    for quantity in _lengths(view):
        if quantity is not None and quantity.si < 0:
            yield Hit(quantity.path, {"input": quantity.path, "written": quantity.text})


@finding("case-impossible", "must-fix", documents=(PLAN,))
def case_impossible(view: View) -> Iterator[Hit]:
    """What it looks at: allowed cases whose figures contradict each other.

    Why: not computed is never a pass. Example: a D-ring that is higher kneeling than standing, or a lower level above
    the deck. Reference: geometry.
    """
    bare = [c for c in view.allowed if c.margin is None and not c.missing and (c.height is None or c.height.si > 0)]
    for cases in grouped(bare, lambda c: c.task, lambda c: 0.0):
        yield Hit(task_path(view, cases[0]), case_names(view, cases))


@finding("deflection-unknown", "must-fix", documents=(PLAN,))
def deflection_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: the rail's deflection in the arrest.

    Why: unknown is not zero; it is taken from the clearance. Example: a rail that bends 4 in uses up a margin of 0.3
    ft. Reference: common practice, no published source.
    """
    computed = [c for c in view.allowed if c.margin is not None and c.deflection is None]
    for cases in grouped(computed, lambda c: c.bay, lambda c: least_first(c.margin)):
        values = case_names(view, cases[:1]) | {"margin": down(cases[0].margin)}
        yield Hit(f"{view.bays[cases[0].bay].rail.path}.deflection", values)


@finding("end-stops-missing", "must-fix", documents=(PLAN,))
def end_stops_missing(view: View) -> Iterator[Hit]:
    """What it looks at: stops at both ends of the rail.

    Why: a trolley that runs off the rail is no anchorage. Example: end_stops: false. Reference: common practice, no
    published source.
    """
    for bay in bays_in_use(view):
        if bay.rail.end_stops is False:
            yield Hit(f"{bay.rail.path}.end_stops", {"bay": bay.name})


@finding("survey-old", "must-fix", documents=(PLAN,))
def survey_old(view: View) -> Iterator[Hit]:
    """What it looks at: the survey's day against the last change of surface or track, and the day the rail went into use.

    Why: the heights have moved. Example: resurfaced 2026-01-12, surveyed 2025-11-18. Reference: common practice, no
    published source.
    """
    for bay in bays_in_use(view):
        survey, rail = bay.survey, view.site.part(bay.rail.part)
        changed = latest((survey.last_surface_change, rail.in_service if rail else None))
        if survey.on is not None and changed is not None and survey.on < changed:
            yield Hit(f"{survey.path}.on", {"bay": bay.name, "surveyed": survey.on, "changed": changed})


@finding("vehicle-changed", "must-fix", documents=(PLAN,))
def vehicle_changed(view: View) -> Iterator[Hit]:
    """What it looks at: the day on which a deck was measured against the last change of that kind of vehicle.

    Why: the height has moved since. A measurement of the day of the change itself counts. Example: measured 2025-11-18, new
    walkway 2026-01-12. Reference: common practice, no published source.
    """
    for vehicle in vehicles_in_use(view):
        measured = vehicle.deck.on if vehicle.deck is not None else None
        if vehicle.changed_on is not None and measured is not None and measured < vehicle.changed_on:
            values: dict[str, Value] = {"vehicle": vehicle.name, "measured": measured, "changed": vehicle.changed_on}
            yield Hit(f"{vehicle.path}.deck", values)


@finding("survey-undated", "fix-soon", documents=(PLAN,))
def survey_undated(view: View) -> Iterator[Hit]:
    """What it looks at: who surveyed the bay, and when.

    Why: without a day nobody can tell whether the figures still hold. Example: heights without a survey record.
    Reference: common practice, no published source.
    """
    for bay in bays_in_use(view):
        if bay.survey.on is None or bay.survey.by is None:
            yield Hit(bay.survey.path, {"bay": bay.name})


@finding("datum-missing", "fix-soon", documents=(PLAN,))
def datum_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the surface from which the heights of a bay are measured.

    Why: a height without it means nothing. Example: rail 25 ft above the slab or above the top of rail differ by the
    track. Reference: common practice.
    """
    for bay in bays_in_use(view):
        if bay.heights_from is None:
            yield Hit(f"{bay.path}.heights_from", {"bay": bay.name})


@finding("side-untold", "must-fix", documents=(PLAN, RECORD))
def side_untold(view: View) -> Iterator[Hit]:
    """What it looks at: the four sides of each vehicle that is climbed on.

    Why: a side that the profile does not speak of is a side that nobody worked out a fall over. One that something physical
    closes says so. Example: no word on the front of a tank trailer. Reference: common practice, no published source.
    """
    for vehicle in vehicles_in_use(view):
        told = {side.side for side in vehicle.sides}
        untold = [side for side in SIDES if side not in told]
        if untold:
            yield Hit(f"{vehicle.path}.sides", {"vehicle": vehicle.name, "sides": terms(untold)})


#: What covers an opening; at an edge it is a barrier like another.
COVERS = ("grate", "bolted-cover", "locked-lid")
#: What keeps its form when a body falls against it; a chain may close the gap in a guardrail.
STIFF = (*COVERS, "hoop-rail", "wall", "cage")


@finding("barrier-not-physical", "must-fix", documents=(PLAN, RECORD, NOTICE))
def barrier_not_physical(view: View) -> Iterator[Hit]:
    """What it looks at: the words for what closes a side or a hatch, where they speak of a line, paint, a sign, a rule or of nothing; and where they name a net, a chain
    or another thing that gives way, and nothing stiff, for what is said to be a wall, a hoop rail, a cage or a cover.

    Why: a closed side is not worked out at all, and what only asks people to stop stops nobody who falls. Example: a guardrail of which
    it is said "Yellow line painted on the walkway"; a grate of which it is said "Net". Reference: common practice; the word list in the words of each language.
    """
    for vehicle in vehicles_in_use(view):
        for barrier in (*(s.stopped_by for s in vehicle.sides), *(h.stopped_by for h in vehicle.hatches)):
            what = barrier.what
            versions = what.versions.values() if isinstance(what, Spoken) else (what,)
            kinds = ("not-physical", "not-stiff") if barrier.kind in STIFF else ("not-physical",)
            caught = [c.text for text in versions for kind in kinds for c in found_in_any(text, kind, view.languages)]
            if caught:
                yield Hit(f"{barrier.path}.what", {"vehicle": vehicle.name, "words": listed(caught)})


def _barriers(view: View) -> Iterator[tuple[Vehicle, Barrier, bool]]:
    """Each thing that is said to keep people from an edge or an opening, but for covers over openings; whether it is a wall, which bears and stands by itself."""
    for vehicle in vehicles_in_use(view):
        edges = [(side.stopped_by, side.side in ("hatch", "gap")) for side in vehicle.sides]
        for barrier, opening in (*edges, *((hatch.stopped_by, True) for hatch in vehicle.hatches)):
            if barrier and not (opening and barrier.kind in COVERS):
                yield vehicle, barrier, barrier.kind == "wall"


@finding("barrier-unproved", "must-fix", documents=(PLAN, RECORD, NOTICE))
def barrier_unproved(view: View) -> Iterator[Hit]:
    """What it looks at: whether what closes an edge is known to be high and strong enough and to stand whenever people are up.

    Why: a closed side is not worked out at all; over a low rail a person falls, through a weak one too, and one that folds may lie flat. A wall is asked for its height alone, a cover
    over an opening for nothing more. Example: "Folding rail 1.1 m". Reference: 29 CFR 1910.29(b) (read); common practice.
    """
    for vehicle, barrier, wall in _barriers(view):
        told = (
            ("barrier-height", barrier.height is not None),
            ("barrier-load", wall or barrier.load is not None),
            ("barrier-up", wall or barrier.always_up is True),
        )
        if lacking := [name for name, there in told if not there]:
            yield Hit(barrier.path, {"vehicle": vehicle.name, "what": barrier.what or NOT_STATED, "lacking": terms(lacking)})


@finding("barrier-low", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:guardrail_height")
def barrier_low(view: View) -> Iterator[Hit]:
    """What it looks at: the height of what closes an edge, less its tolerance, against the least that the law lets a guardrail have, else that of practice.

    Why: a person falls over a low one. Exactly the least is enough. Example: a rail of 30 in, 39 in at the least. Reference: 29 CFR 1910.29(b)(1) (read).
    """
    for vehicle, barrier, _ in _barriers(view):
        if barrier.height is None:
            continue
        asked = law_figure(view, "guardrail_height", barrier.height)
        off = law_figure(view, "guardrail_height_tolerance", barrier.height) or 0.0
        usual = practice_beside("guardrail_height", barrier.height.unit, view.system, view.site.country).si
        least = usual if asked is None else asked - off
        if under((low := spread(barrier.height, "length", view.system)[0].low), least):
            values: dict[str, Value] = {"vehicle": vehicle.name, "what": barrier.what or NOT_STATED}
            yield Hit(barrier.height.path, values | {"height": down(low, "length"), "least": up(least, "length")})


@finding("barrier-weak", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:guardrail_load_min")
def barrier_weak(view: View) -> Iterator[Hit]:
    """What it looks at: the force that the top of what closes an edge bears, against the law's for a guardrail, else that of practice.

    Why: a person falls through a weak one. Exactly as strong is enough. Example: 100 lbf, 200 lbf asked for. Reference: 29 CFR 1910.29(b)(3) (read).
    """
    for vehicle, barrier, _ in _barriers(view):
        if barrier.load is None:
            continue
        asked = law_figure(view, "guardrail_load_min", barrier.load)
        usual = practice_beside("guardrail_load", barrier.load.unit, view.system, view.site.country).si
        least = usual if asked is None else asked
        if under(barrier.load.si, least):
            values: dict[str, Value] = {"vehicle": vehicle.name, "what": barrier.what or NOT_STATED}
            yield Hit(barrier.load.path, values | {"load": down(barrier.load), "least": up(least, "force")})


@finding("cover-weak", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="standard:29 CFR 1910.29(e)(1)|memory")
def cover_weak(view: View) -> Iterator[Hit]:
    """What it looks at: the load that the cover or grate over an opening is said to bear, against twice the weight of the posted upper limit.

    Why: a person steps or falls on it, and a closed opening is not worked out. Exactly twice is enough; a load that is not stated is not asked for. Example: 300 lbf,
    upper limit 310 lb. Reference: 29 CFR 1910.29(e)(1) and 1926.502(i)(2) (memory).
    """
    limit, factor = view.site.limits.upper.value, practice("cover_factor", view.system, view.site.country).si
    for vehicle in vehicles_in_use(view):
        openings = [side.stopped_by for side in vehicle.sides if side.side in ("hatch", "gap")]
        for cover in (*openings, *(hatch.stopped_by for hatch in vehicle.hatches)):
            least = 0.0 if limit is None else factor * limit.si * G
            if limit is not None and cover.kind in COVERS and cover.load is not None and under(cover.load.si, least):
                values: dict[str, Value] = {"vehicle": vehicle.name, "what": cover.what or NOT_STATED, "load": down(cover.load)}
                yield Hit(cover.load.path, values | {"least": up(least, "force"), "posted": near(limit), "factor": f"{factor:g}"})


@finding("edge-unmeasured", "fix-soon", documents=(PLAN,))
def edge_unmeasured(view: View) -> Iterator[Hit]:
    """What it looks at: an open side whose edge has no distance.

    Why: people get as far as the edge, whatever the task. Example: reach 2.0 ft is stated and the walkway edge lies at
    3.5 ft. Reference: common practice, no published source.
    """
    for vehicle in vehicles_in_use(view):
        for side in vehicle.sides:
            if not side.stopped_by and side.edge is None and side.side not in ("front", "rear"):
                yield Hit(f"{side.path}.edge", {"vehicle": vehicle.name, "side": side.side})


@finding("posture-unstated", "fix-soon", documents=(PLAN,))
def posture_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: allowed tasks that do not say how people work: standing, kneeling or lying.

    Why: then only standing is computed, and a lower D-ring lengthens the fall. Example: gauging at a hatch, postures left
    out. Reference: common practice, no published source.
    """
    for task in view.site.tasks:
        if task.permission == "allowed" and not task.postures:
            yield Hit(f"{task.path}.postures", {"task": task.id})


@finding("posture-unmeasured", "fix-soon", documents=(PLAN,))
def posture_unmeasured(view: View) -> Iterator[Hit]:
    """What it looks at: kneeling or lying tasks without a measured D-ring height.

    Why: a low ring adds line already out. Example: kneeling counts as 3 ft more where nobody measured it. Reference:
    common practice, no published source.
    """
    for posture in ("kneeling", "lying"):
        cases = [c for c in view.allowed if c.posture == posture and c.posture_addition is not None]
        measured = posture == "kneeling" and view.site.limits.posture_drop is not None
        if cases and not measured and getattr(view.site.limits.d_ring, posture) is None:
            values: dict[str, Value] = {
                "posture": posture,
                "addition": near(cases[0].posture_addition),
                "tasks": listed(c.task for c in cases),
            }
            yield Hit(f"limits.d_ring.{posture}", values)


@finding("default-taken", "fix-soon", documents=(PLAN,))
def default_taken(view: View) -> Iterator[Hit]:
    """What it looks at: figures that the profile leaves out and that common practice filled in.

    Why: the site may differ. Example: trolley lag 5.0 ft, though this trolley follows within 2.0 ft. Reference: the
    source of each figure.
    """
    taken: dict[str, Assumed] = {}
    for case in view.allowed:
        for assumed in case.assumed:
            at = DEFAULT_AT.get(assumed.name)
            if assumed.name == "trolley_lag":
                at = f"{view.bays[case.bay].rail.path}.trolley_lag"
            if at is not None:
                taken.setdefault(at, assumed)
    for at, assumed in taken.items():
        yield Hit(at, {"input": at, "what": Usual(assumed.name), "value": near(assumed.value), "source": assumed.source})


def _not_computed(count: int) -> Phrase:
    return worded("cases-not-computed_one") if count == 1 else worded("cases-not-computed", n=count)


@finding("evidence-unstated", "advice", documents=(PLAN,))
def evidence_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how a height or an arrest distance became known.

    Why: a reviewer asks who measured it. Example: underside 27 ft, without how, by and on. Reference: common practice,
    no published source.
    """
    bare = [b.rail.underside for b in bays_in_use(view)] + [b.rail.line_exit_below_rail for b in bays_in_use(view)]
    bare += [v.deck for v in vehicles_in_use(view)] + [p.arrest_distance for p in parts_in_use(view, "srd")]
    paths = [q.path for q in bare if q is not None and q.how is None]
    if paths:
        figures = worded("figures-say-not-how_one") if len(paths) == 1 else worded("figures-say-not-how", n=len(paths))
        yield Hit(paths[0], {"inputs": listed(paths), "figures": figures})
