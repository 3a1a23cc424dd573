"""Every figure of a site that was only assumed is a finding, unless a table says why that one may be."""

import re

import pytest
from support import SITES, demo, with_changes

from docgen.site import Quantity
from docgen.site.build import walk

#: Field -> why an assumed one stops nothing by itself.
MAY_BE = {
    "bays[].electrical.line.distance": "a line in the hazards is shut off or kept away from by a rule of its own",
    "bays[].electrical.line.voltage": "as the distance of that line",
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
#: Stretch, margin and lag as practice takes them may be assumed; below that they are critical.
LESS = {"limits.stretch": "1.0 ft", "limits.margin": "1.5 ft", "bays[].rail.trolley_lag": "2.0 ft"}
DEMOS = tuple(sorted(path.name for path in SITES.iterdir() if path.is_dir()))


def _field(path: str) -> str:
    return re.sub(r"\[[^\]]*\]", "[]", path)


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


@pytest.mark.parametrize("field", sorted(MAY_BE))
def test_what_may_be_assumed_is_not_found(field):
    """The table tells the truth: assuming such a figure is no finding of that name."""
    name, path, text = PLACES[field][0]
    after = with_changes(demo(name), {path: {"value": text, "how": "assumed"}})
    assert not [f for f in after.found if f.name == "critical-input-assumed" and f.path == path]
