"""Every figure of a site that was only assumed is a finding, unless a table says why that one may be."""

import dataclasses
import re
import typing
from collections.abc import Iterator

import pytest
from support import SITES, demo, with_changes

from docgen.findings.survey import critical
from docgen.site import KEY_OF_FIELD, Quantity, Site
from docgen.site.build import walk

#: Field -> why an assumed one stops nothing by itself.
MAY_BE = {
    "bays[].hazards.slope": "said in words on the plan; no case is worked out with it",
    "bays[].sideways.limit": "decided, not measured",
    "emergency.investigation.start": "decided, not measured",
    "limits.lateral.value": "decided, not measured",
    "limits.line_angle.value": "decided, not measured",
    "limits.lower.value": "decided, not measured",
    "limits.upper.value": "decided, not measured",
    "limits.weather.gust": "decided, not measured",
    "limits.weather.lightning_wait": "decided, not measured",
    "limits.weather.temperature_max": "decided, not measured",
    "limits.weather.temperature_min": "decided, not measured",
    "limits.weather.wind": "decided, not measured",
    "posting[].read_from": "sets a size of type, no limit",
    "rescue.brigade.response": "stated by the brigade, and no time of the plan rests on it",
    "rescue.contact_limit.value": "decided, not measured",
    "rescue.external.arrival": "stated by the service; help from outside is counted on for nothing",
    "rescue.ground_limit.value": "decided, not measured",
    "rescue.methods[].next.after": "decided, not measured",
    "rescue.methods[].steps[].time.best": "a plan in three figures; the drill shows what it is worth",
    "rescue.methods[].steps[].time.likely": "as the best time",
    "rescue.methods[].steps[].time.worst": "as the best time",
    "rescue.methods[].wind_max": "decided, not measured",
    "shifts[].watch.confirm": "decided, not measured",
    "shifts[].watch.interval": "decided, not measured",
    "site_rules[].height": "decided, not measured",
    "tasks[].duration": "decided, not measured",
    "tasks[].kept_margins[].keeps": "what the qualified person wrote",
    "tasks[].kept_margins[].of": "what the qualified person wrote",
    "tasks[].struck[].drop": "what the qualified person wrote",
    "tasks[].temperature_min": "decided, not measured",
    "training.live_person.minutes": "decided, not measured",
    "vehicles[].gauge.deck_from": "decides which vehicles are let in, not where a deck lies",
    "vehicles[].gauge.deck_to": "as the lower figure",
}
#: Fields that no demo gives: what is to be changed with each, so that it is in use.
ELSEWHERE = {
    "systems[].spacing": {"systems[S2].spacing": {"value": "20 ft", "how": "assumed"}},
    "systems[].load_cases[].load": {
        "systems[S2].load_cases": [{"text": "Both", "by": "T. Maran", "load": {"value": "2200 lbf", "how": "assumed"}}]
    },
    "systems[].load_cases[].deflection": {
        "systems[S2].load_cases": [{"text": "Both", "by": "T. Maran", "deflection": {"value": "0.2 ft", "how": "assumed"}}]
    },
    "bays[].rescue_anchors[].height": {"bays[B1].rescue_anchors[RA-1].height": {"value": "24 ft", "how": "assumed"}},
    "equipment[].handle_height": {"equipment[K-1].handle_height": {"value": "6 ft", "how": "assumed"}},
    "tasks[].past_end_stop": {"tasks[load].past_end_stop": {"value": "1 ft", "how": "assumed"}},
    "vehicles[].hatches[].stopped_by.load": {
        "vehicles[tanker].hatches[0].stopped_by.load": {"value": "700 lbf", "how": "assumed"}
    },
    "systems[].anchorage.direction.load": {"systems[S1].anchorage.direction.load": {"value": "500 lbf", "how": "assumed"}},
    "limits.d_ring.lying": {"limits.d_ring.lying": {"value": "1.0 ft", "how": "assumed"}},
}
NEVER = {
    "rescue.kit_places[].blocked_adds": "a plan in minutes; the drill shows what it is worth",
    "shifts[].posts[].from": "decided, not measured",
    "shifts[].posts[].until": "decided, not measured",
    "vehicles[].hatches[].stopped_by.height": "asked of a rail at an edge, not of a cover",
}
#: Stretch, margin and lag as practice takes them may be assumed; below that they are critical.
LESS = {"limits.stretch": "1.0 ft", "limits.margin": "1.5 ft", "bays[].rail.trolley_lag": "2.0 ft"}
PRACTICE = ("limits.stretch", "limits.margin", "bays[B1].rail.trolley_lag", "bays[B2].rail.trolley_lag")
DEMOS = tuple(sorted(path.name for path in SITES.iterdir() if path.is_dir()))


def _field(path: str) -> str:
    return re.sub(r"\[[^\]]*\]", "[]", path)


def _declared(kind: type = Site, at: str = "") -> set[str]:
    """Every field of the profile that takes a measured figure, as `_field` writes it."""
    found: set[str] = set()
    for f in dataclasses.fields(kind):
        if "says" not in f.metadata:
            continue
        path = f"{at}.{KEY_OF_FIELD.get(f.name, f.name)}".lstrip(".")
        for one in _kinds(typing.get_type_hints(kind)[f.name]):
            several = typing.get_origin(typing.get_type_hints(kind)[f.name]) is tuple
            if one is Quantity:
                found.add(path)
            elif isinstance(one, type) and dataclasses.is_dataclass(one):
                found |= _declared(one, f"{path}[]" if several else path)
    return found


def _kinds(hint: object) -> Iterator[object]:
    for inner in typing.get_args(hint):
        yield from _kinds(inner)
    yield hint


def _found() -> dict[str, list[tuple[str, str, str]]]:
    """Field -> (demo, path, figure as written) of each place where a demo gives it."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for name in DEMOS:
        for path, value in walk(demo(name).site):
            if isinstance(value, Quantity):
                found.setdefault(_field(path), []).append((name, path, value.text))
    return found


PLACES = _found()


def test_the_table_names_fields_that_demos_give():
    """No reason stands for a field that no demo has, or that is critical all the same."""
    assert set(MAY_BE) <= set(PLACES)


@pytest.mark.parametrize("field", sorted(set(PLACES) - set(MAY_BE)))
def test_an_assumed_figure_is_found(field):
    """In some demo that has the field in use, assuming it is a must-fix finding with its line."""
    for name, path, text in PLACES[field][:40]:
        after = with_changes(demo(name), {path: {"value": LESS.get(field, text), "how": "assumed"}})
        hits = [f for f in after.found if f.name == "critical-input-assumed" and f.path == path]
        if hits:
            assert hits[0].severity == "must-fix"
            return
    pytest.fail(f"{field}: assumed in each of {len(PLACES[field])} places, and nothing is found")


@pytest.mark.parametrize("field", sorted(ELSEWHERE))
def test_an_assumed_figure_that_no_demo_gives_is_found(field):
    """The same of fields that the demos leave out."""
    assert field not in PLACES
    after = with_changes(demo("harrow-ridge"), ELSEWHERE[field])
    assert [f for f in after.found if f.name == "critical-input-assumed" and _field(f.path) == field]


def test_every_field_is_either_critical_or_excused():
    """No field of the format that takes a figure with its evidence is in none of the three tables."""
    assert _declared() - set(PLACES) - set(ELSEWHERE) - set(NEVER) == set()
    assert set(NEVER) <= _declared() - set(PLACES)


@pytest.mark.parametrize("name", ["harrow-ridge", "pellan-creek"])
def test_each_place_in_use_is_critical(name):
    """Not one place of a field, but each: the device on the ladder as the one on the rail."""
    checked = demo(name)
    known = {q.path for q in critical(checked.view) if q is not None}
    allowed = [t for t in checked.site.tasks if t.permission == "allowed"]
    unused = [v.path for v in checked.site.vehicles if all(t.vehicle != v.id for t in allowed)]
    unused += [t.path for t in checked.site.tasks if t not in allowed]
    unused += [
        f"{h.path}.{of}" for v in checked.site.vehicles for h in v.hatches if h.stopped_by for of in ("at", "size", "lower")
    ]
    given = {p for p, v in walk(checked.site) if isinstance(v, Quantity) and _field(p) not in MAY_BE}
    places = {p for p in given if not p.startswith(tuple(unused))}
    assert places - known - set(PRACTICE) == set()


@pytest.mark.parametrize("field", sorted(MAY_BE))
def test_what_may_be_assumed_is_not_found(field):
    """The table tells the truth: assuming such a figure is no finding of that name."""
    name, path, text = PLACES[field][0]
    after = with_changes(demo(name), {path: {"value": text, "how": "assumed"}})
    assert not [f for f in after.found if f.name == "critical-input-assumed" and f.path == path]
