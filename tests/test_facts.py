"""The list of what is asked for and not given: made from the declarations alone, in walking order, short enough for one worksheet."""

from __future__ import annotations

import dataclasses
import json

import pytest
from support import ALL_DEMOS, demo, with_changes

from docgen.report import as_json
from docgen.site import Site, slots_of
from docgen.site.facts import CONDITIONS, STATIONS, missing_facts
from docgen.words import words

FULL = ("harrow-ridge", "pellan-creek")


def declared(cls=Site, path=""):
    """Every declared field below a record: its path and what is said of it."""
    said = {f.name: f.metadata["says"] for f in dataclasses.fields(cls) if "says" in f.metadata}
    for slot in slots_of(cls):
        at = f"{path}.{slot.key}".lstrip(".")
        yield at, said[slot.name]
        if slot.what == "record":
            yield from declared(slot.arg, at)


FIELDS = list(declared())


def test_each_asked_field_says_where_it_is_got():
    """A field that closes a bay or keeps a paper a draft names its station; nothing else does."""
    asked = {at for at, said in FIELDS if said.need in ("A", "B")}
    assert {at for at, said in FIELDS if said.station} == asked
    assert len(asked) > 80


def test_conditions_are_used_and_known():
    """Each condition is named by a field, and each field names one that there is."""
    assert {said.when for _, said in FIELDS if said.when} == set(CONDITIONS)


def test_stations_have_words():
    """Each station says who knows."""
    assert set(words("en")["report"]["who"]) == set(STATIONS)


@pytest.mark.parametrize("name", FULL)
def test_a_full_profile_is_asked_nothing(name):
    """The two full demos answer everything."""
    assert missing_facts(demo(name).site) == ()


@pytest.mark.parametrize("name", [n for n in ALL_DEMOS if n not in FULL])
def test_a_thin_profile_is_asked_a_worksheet(name):
    """What is asked of a thin site fits a worksheet of forty lines and some more; bays first, each part in walking order."""
    facts = missing_facts(demo(name).site)
    assert 20 < len(facts) <= 52
    ranks = [(f.need, STATIONS.index(f.station)) for f in facts]
    assert ranks == sorted(ranks)
    for fact in facts:
        assert fact.sentences
        assert fact.paths
        assert fact.papers


def test_a_fact_names_all_places_once():
    """The same field missing in two bays is one line with both."""
    checked = with_changes(demo("harrow-ridge"), {"bays[B1].phone": None, "bays[B2].phone": None})
    (fact,) = missing_facts(checked.site)
    assert (fact.fields, fact.places, fact.bays) == (("bays.phone",), ("Truck bay", "Rail spur"), ("B1", "B2"))
    assert fact.read_off == (
        "Walk from the ladder to the nearest telephone",
        "The area classification drawing",
        "Stand at the telephone and look",
    )


def test_who_is_asked_elsewhere_is_asked_once():
    """Three things that the engineer must say of one anchorage stand in one line."""
    at = "systems[S1].anchorage"
    checked = with_changes(demo("harrow-ridge"), {f"{at}.look": None, f"{at}.corrosion": None, f"{at}.commissioning": None})
    (fact,) = missing_facts(checked.site)
    assert fact.fields == ("systems.anchorage.commissioning", "systems.anchorage.look", "systems.anchorage.corrosion")


def test_conditions_on_both_sides():
    """A fact is asked exactly where its condition holds."""
    site = demo("harrow-ridge")

    def fields(changes):
        return {field for fact in missing_facts(with_changes(site, changes).site) for field in fact.fields}

    assert fields({"bays[B1].meter": None}) == {"bays.meter"}
    assert fields({"bays[B1].meter": None, "bays[B1].dangers": ["moving"]}) == set()
    assert fields({"bays[B1].wind_meter": None}) == {"bays.wind_meter"}
    assert fields({"bays[B1].wind_meter": None, "bays[B1].setting": "indoor"}) == set()
    assert fields({"limits.upper.value": "311 lb"}) == {"equipment.arrest_at"}
    assert fields({"limits.upper.value": "310 lb"}) == set()
    assert fields({"systems[S2].climbers_at_once": 2}) == {"systems.load_cases"}
    assert fields({"equipment[D-1].edge_use": {"page": "page 22"}}) == {"equipment.edge_use"}
    assert fields({"equipment[D-1].edge_use": {"page": "page 22", "same": True, "setback": "0 ft"}}) == set()
    assert "equipment.edge_use" in fields({"equipment[D-1].edge_use": {"page": "page 22", "same": True}})


def test_what_bears_on_the_ends_and_sides_of_the_rail_is_asked_for():
    """What the structural record says on side load, unless it is silent or states the load (E18); the end stops (E22); where work lies along the rail (E23); the deck
    empty and loaded (E27)."""
    site, at = demo("harrow-ridge"), "systems[S1].anchorage.direction"

    def asked(changes):
        return {(field, fact.need) for fact in missing_facts(with_changes(site, changes).site) for field in fact.fields}

    assert asked({at: None}) == {("systems.anchorage.direction", "B")}
    assert asked({at: {"silent": False}}) == {("systems.anchorage.direction", "B")}
    assert asked({at: {"silent": True}}) == asked({at: {"load": "900 lbf"}}) == set()
    for field in ("bays.rail.stops", "bays.rail.hangers", "bays.parking.along"):
        assert asked({field.replace("bays", "bays[B1]"): None}) == {(field, "A")}, field
    for field in ("vehicles.walk", "vehicles.length"):
        assert asked({field.replace("vehicles", "vehicles[tanker]"): None}) == {(field, "A")}, field
    assert asked({"vehicles[tanker].deck_range": None}) == {("vehicles.deck_range", "B")}


def test_json_has_every_line():
    """check --format json lists all of them, with why, who and how."""
    checked = demo("sable-point")
    listed = json.loads(as_json(checked))["facts"]
    assert len(listed) == len(missing_facts(checked.site))
    assert all(f["why"] and f["who"] and f["fact"] for f in listed)


#: Facts of papers that close a bay while they are missing, from the datum to the kit of a rescue.
CLOSING = [
    "bays[B1].heights_from", "bays[B1].rail.length", "bays[B1].hook_up.how", "bays[B1].control.steps[0].undone_by",
    "vehicles[tanker].sides[left].edge", "tasks[load].reach_from_centreline", "equipment[D-1].class", "systems[S1].climbers_at_once",
    "systems[S1].anchorage.designed_for_users", "equipment[F-1].part_of", "equipment[HG-1].part_of", "rescue.methods[M2].kits", "rescue.methods[M2].attach_height", "limits.d_ring.standing",
]  # fmt: skip


@pytest.mark.parametrize("path", CLOSING)
def test_a_fact_of_the_bay_closes_it_while_it_is_missing(path):
    """Each of these taken out of the full demo closes the truck bay, and is asked for at its place."""
    checked = with_changes(demo("harrow-ridge"), {path: None})
    assert checked.assessed.bays[0].state == "closed-by-finding"
    asked = {p for fact in checked.view.facts if fact.need == "A" for p in fact.paths}
    assert path in asked or path.rpartition(".")[0] in asked
