"""What no site can have: texts of white space, figures beyond every site; each is refused at its line, and a figure at the bound is taken."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jsonschema import Draft202012Validator
from support import SITES, changed, demo, with_changes

from docgen.check import check
from docgen.compose.figures import Say, timeline
from docgen.read import read_profile
from docgen.site.log import KINDS
from docgen.site.schema import entry_schema, profile_schema
from docgen.words import words

CLEAN = read_profile(SITES / "harrow-ridge")
SPACES = (" ", "   ", "\u00a0", "\u2003\u2009", "\u3000", "\t")


def told(path, value):
    """The problems of the clean demo with one value changed, as (path, message)."""
    return [(p.path, p.message) for p in check(replace(CLEAN, data=changed(CLEAN.data, {path: value}))) if p.line > 1]


def texts(node, at=""):
    """Every sub-schema of a text that people write in their own words, with its place."""
    if "enum" in node or "const" in node or "format" in node:
        return
    if "string" in (node.get("type"), *(node.get("type") or ())) and "pattern" not in node:
        yield at, {key: part for key, part in node.items() if key != "$ref"}
    for key, part in node.get("properties", {}).items():
        yield from texts(part, f"{at}.{key}")
    for key in ("items", "additionalProperties"):
        if isinstance(node.get(key), dict):
            yield from texts(node[key], f"{at}.{key}")


def test_no_text_of_white_space_passes():
    """No field of profile or log, and no form that they share, takes a text in which nothing stands."""
    profile = profile_schema()
    nodes = [*texts(profile), *(each for kind in KINDS for each in texts(entry_schema(kind), kind))]
    nodes += [each for name, form in profile["$defs"].items() for each in texts(form, name)]
    assert len(nodes) > 10
    for at, node in nodes:
        rule = Draft202012Validator({**node, "type": "string"})
        assert not any(rule.is_valid(text) for text in SPACES), at


@pytest.mark.parametrize("text", SPACES)
@pytest.mark.parametrize("path", [
    "equipment[K-1].name", "bays[B1].name", "rescue.methods[M2].name", "bays[B1].below", "roles[gate].phone",
    "shifts[day].posts[0].post", "vehicles[tanker].sides[left].lower.what", "rescue.methods[M2].steps[rig].text",
])  # fmt: skip
def test_white_space_is_told_at_its_place(path, text):
    """One problem, at the place."""
    ((at, message),) = told(path, text)
    assert at.rpartition(".")[2] == path.rpartition(".")[2]
    assert message == f"'{text}' is white space only"


BEYOND = [
    ("rescue.contact_limit.value", "999999999 min", "8 h"),
    ("rescue.contact_limit.value", "481 min", "8 h"),
    ("rescue.methods[M2].steps[rig].time.worst", "999999999 min", "8 h"),
    ("rescue.methods[M2].steps[rig].time.likely", {"value": "9 h", "how": "assumed"}, "8 h"),
    ("rescue.external.arrival", "9 h", "8 h"),
    ("shifts[day].posts[0].until", "9 h", "8 h"),
    ("tasks[load].duration", "169 h", "168 h"),
    ("vehicles[tanker].sides[rear].edge", "25000 ft", "100 ft"),
    ("vehicles[tanker].sides[rear].edge.tolerance", "999999999 ft", "30 ft"),
    ("bays[B1].rail.length", "999999999 ft", "10,000 ft"),
    ("bays[B1].rail.underside.value", "-999999999 ft", "-10,000 m"),
    ("bays[B1].rail.deflection_load.value", "999999999 lbf", "100,000 lbf"),
    ("bays[B1].rail.beam.allowed_stress.value", "30000 ksi", "60 ksi"),
    ("bays[B1].rail.beam.allowed_stress.value", "60.1 ksi", "60 ksi"),
    ("limits.line_angle.value", "80 deg", "60 deg"),
    ("equipment[D-1].line_angle.max", "61 deg", "60 deg"),
    ("equipment[D-1].angle_max", "80 deg", "60 deg"),
    ("bays[B1].rail.beam.modulus", "0 ksi", "0"),
    ("bays[B1].rail.beam.modulus", "29 ksi", "1 GPa"),
    ("bays[B1].rail.beam.second_moment", "0 in^4", "0"),
    ("bays[B1].rail.beam.section_modulus", {"value": "0 in^3", "how": "design"}, "0"),
    ("bays[B1].rail.beam.span.value", "0 ft", "0"),
    ("bays[B1].rail.line_exit_below_rail.value", "0 ft", "0"),
    ("systems[S1].anchorage.design_factor", 999999999, "100"),
    ("systems[S1].anchorage.design_load_all_users", "20,000 kN", "10,000 kN"),
    ("posting[0].read_from", "-4.0 ft", "0"),
    ("equipment[D-1].capacity.min", "0.001 lb", "20 lb"),
    ("limits.lower.value", "1 lb", "20 lb"),
    ("equipment[H-A].count", 999999999, "10000"),
    ("limits.weather.wind", "400 mph", "100 m/s"),
    ("limits.weather.temperature_min", "-400 °F", "-90 °C"),
    ("vehicles[tanker].hatches[0].size.value", "0 ft", "0"),
    ("bays[B1].hazards.slope", "90 deg", "60 deg"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "bound"), BEYOND, ids=lambda each: str(each)[:40])
def test_a_figure_beyond_every_site_is_refused(path, value, bound):
    """At its place, with the bound in the message."""
    told_ = [message for _, message in told(path, value) if "out of range" in message]
    assert len(told_) == 1
    assert f" {bound}" in told_[0]


@pytest.mark.parametrize(("path", "value"), [
    ("rescue.contact_limit.value", "8 h"), ("rescue.contact_limit.value", "480 min"), ("vehicles[tanker].sides[rear].edge", "100 ft"),
    ("limits.lower.value", "20 lb"), ("bays[B1].rail.beam.modulus", "1 GPa"), ("bays[B1].hazards.slope", "0 deg"),
    ("bays[B1].rail.beam.allowed_stress.value", "60 ksi"), ("limits.line_angle.value", "60 deg"),
])  # fmt: skip
def test_a_figure_at_the_bound_is_taken(path, value):
    """The bound itself is within it."""
    assert told(path, value) == []


def test_the_axis_of_a_timeline_has_few_figures_whatever_comes():
    """A rescue of eight hours, and one that no profile can hold, are drawn with a figure every few minutes or hours."""
    for worst in ("8 h", "999999 h"):
        checked = with_changes(demo("harrow-ridge"), {"rescue.methods[M2].steps[rig].time.worst": worst})
        row = next(r for r in checked.assessed.rescues if r.method == "M2")
        drawing = timeline(row, checked.site, Say(words("en"), checked.assessed.system))
        assert 2 <= sum(1 for item in drawing.items if getattr(item, "part", "") == "minute") <= 40
