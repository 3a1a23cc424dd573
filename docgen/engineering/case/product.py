"""The case that templates, findings and reports read: the product of its stages."""

from __future__ import annotations

from docgen.calc import CalcError
from docgen.engineering.case.run import Stages, Subject, stages
from docgen.engineering.model import Case, computed
from docgen.engineering.spread import Spread
from docgen.site import Quantity

__all__ = ["one_case"]


def one_case(subject: Subject) -> Case:
    """The case, or a bare one where its figures contradict each other (a deck above the rail, say): not computed."""
    try:
        return _product(subject, stages(subject))
    except CalcError:
        return _bare(subject)


def _bare(about: Subject) -> Case:
    """What it is about, and no figure."""
    key = about.id
    return Case(
        path=f"cases[{key}]",
        id=key,
        bay=about.bay.id,
        vehicle=about.vehicle.id,
        task=about.task.id,
        posture=about.posture,
        side=about.side_name,
        permission=about.task.permission,
    )


def _product(about: Subject, s: Stages) -> Case:
    """Each figure as a calculated quantity; those of a stage that is None are None."""
    key = about.id
    path = f"cases[{key}]"

    def length(name: str, si: float | None) -> Quantity | None:
        return computed(f"{path}.{name}", si, "length")

    def angle(name: str, si: float | None) -> Quantity | None:
        return computed(f"{path}.{name}", si, "angle")

    line_exit, deck, heights = s.line_exit.value, s.deck.value, s.heights.value
    ring = s.ring.at("nominal", "nominal")
    distances, offsets, swing = s.distances, s.offsets.value, s.swing.value
    lower = None if s.below.value is None else s.below.value.highest
    have, need, margin, hanging, inverse = s.available.value, s.need.value, s.margin.value, s.hanging.value, s.inverse.value
    worst = None if margin is None else margin.worst
    side, given, edge = about.side, s.allowances, s.edge.value
    return Case(
        path=path,
        id=key,
        bay=about.bay.id,
        vehicle=about.vehicle.id,
        task=about.task.id,
        posture=about.posture,
        side=about.side_name,
        permission=about.task.permission,
        deck=length("deck", _nominal(None if deck is None else deck.elevation)),
        line_exit=length("line_exit", _nominal(None if line_exit is None else line_exit.elevation)),
        ring=length("ring", ring.in_posture),
        height=length("height", None if heights is None else heights.height),
        reach=length("reach", _nominal(distances.reach)),
        rail_offset=length("rail_offset", _nominal(distances.rail_offset)),
        parking=length("parking", _nominal(distances.parking)),
        across=length("across", None if offsets is None else offsets.across),
        along=length("along", distances.along.nominal),
        along_worst=length("along_worst", distances.along.high),
        offset=length("offset", None if offsets is None else offsets.offset),
        offset_worst=length("offset_worst", None if offsets is None else offsets.worst),
        swing_drop=length("swing_drop", None if swing is None else swing.drop),
        swing_drop_worst=length("swing_drop_worst", None if swing is None else swing.drop_worst),
        swing_speed=computed(f"{path}.swing_speed", None if swing is None else swing.speed, "speed"),
        swing_speed_worst=computed(f"{path}.swing_speed_worst", None if swing is None else swing.speed_worst, "speed"),
        line_angle=angle("line_angle", None if swing is None else swing.angle),
        line_angle_worst=angle("line_angle_worst", None if swing is None else swing.angle_worst),
        angle_limit=angle("angle_limit", given.angle_limit),
        lower_level=length("lower_level", None if lower is None else lower.top.nominal),
        lower_what=(None if side is None else side.lower.what) if lower is None else lower.what,
        lower_path=None if lower is None else lower.path,
        arrest_distance=length("arrest_distance", _nominal(s.arrest_distance.value)),
        arrest_distance_worst=length("arrest_distance_worst", _high(s.arrest_distance.value)),
        stretch=length("stretch", given.stretch.nominal),
        stretch_worst=length("stretch_worst", given.stretch.high),
        posture_addition=length("posture_addition", ring.addition),
        deflection=length("deflection", _nominal(given.deflection)),
        deflection_worst=length("deflection_worst", _high(given.deflection)),
        margin_term=length("margin_term", given.margin),
        required=length("required", None if need is None else need.required),
        required_worst=length("required_worst", None if worst is None else worst.required),
        available=length("available", None if have is None else have.nominal),
        available_worst=length("available_worst", None if worst is None else worst.available),
        margin=length("margin", None if margin is None else margin.nominal),
        margin_worst=length("margin_worst", None if worst is None else worst.over),
        kept=length("kept", None if worst is None else worst.kept),
        kept_least=length("kept_least", None if margin is None else margin.least),
        edge=length("edge", None if edge is None else edge.clear),
        bears=edge is not None and edge.bears,
        setback=length("setback", None if edge is None else edge.setback),
        largest_offset=length("largest_offset", None if inverse is None else inverse.largest),
        largest_offset_by=None if inverse is None else inverse.by,
        largest_by_clearance=length("largest_by_clearance", None if inverse is None else inverse.by_clearance),
        largest_by_angle=length("largest_by_angle", None if inverse is None else inverse.by_angle),
        largest_by_rule=length("largest_by_rule", given.largest_by_rule),
        largest_worst=length("largest_worst", None if inverse is None else inverse.largest_worst),
        largest_worst_by=None if inverse is None else inverse.worst_by,
        allowance_left=length("allowance_left", None if inverse is None else inverse.left),
        allowance_right=length("allowance_right", None if inverse is None else inverse.right),
        arrest_way_out=length("arrest_way_out", None if margin is None else margin.arrest_way_out),
        hang=length("hang", None if hanging is None else hanging.ring),
        hang_low=length("hang_low", None if hanging is None else hanging.low),
        hang_high=length("hang_high", None if hanging is None else hanging.high),
        feet=length("feet", None if hanging is None else hanging.feet),
        feet_low=length("feet_low", None if hanging is None else hanging.feet_low),
        feet_high=length("feet_high", None if hanging is None else hanging.feet_high),
        line_needed=length("line_needed", s.line_needed),
        struck=s.struck,
        fouled=s.fouled,
        missing=s.missing,
        assumed=s.assumed,
        tolerances=s.tolerances,
        inputs=s.inputs,
        steps=s.steps,
        corner_steps=s.corner_steps,
    )


def _nominal(spread: Spread | None) -> float | None:
    return None if spread is None else spread.nominal


def _high(spread: Spread | None) -> float | None:
    return None if spread is None else spread.high
