"""The field guide: every field is told from its declaration, in reading order, with what was measured of it; short names find the field that is meant."""

import hashlib
import json
import re
from html.parser import HTMLParser

import pytest
from field_uses import FILE, WRONG, asked, printed
from support import ALL_DEMOS, AS_OF, SITES, run

from docgen import read
from docgen.data import load
from docgen.explain import explain
from docgen.fields import below, fields, named, near, sections
from docgen.findings import RULES
from docgen.guide import guide, told
from docgen.papers import outlines
from docgen.site.schema import profile_schema
from docgen.words import findings_words

FIELDS = {field.name: field for field in fields()}
USES = load(FILE, "field_uses")


def names_of(node, at=""):
    """The fields of a schema in its order."""
    while "$ref" in node:
        return
    for key, inner in node.get("properties", {}).items():
        if "format" not in node:  # a figure with its evidence is one field
            yield f"{at}.{key}".lstrip(".")
            yield from names_of(inner, f"{at}.{key}".lstrip("."))
    if "items" in node:
        yield from names_of(node["items"], at)


def test_every_field_of_the_schema_in_its_order():
    """None is left out, none is told that is not there, and the order is that of the declaration."""
    assert [name for name in FIELDS if name.partition(".")[0] != "log"] == list(names_of(profile_schema()))
    assert [s.name for s in sections()][-1] == "log"


def test_must_should_may():
    """What the format asks for and what a must-fix finding asks for must stand; each level occurs, and a reason stands with it."""
    assert {f.level for f in FIELDS.values()} == {"must", "should", "may"}
    severity = {rule.name: rule.severity for rule in RULES}
    for field in FIELDS.values():
        worst = {severity[name] for name in field.asks}
        expected = "must" if field.by_format or "must-fix" in worst else "should" if "fix-soon" in worst else "may"
        assert field.level == expected, field.name
    levels = {
        name: FIELDS[name].level for name in ("site.id", "bays.rail.underside", "systems.anchorage.basis", "retired.reason")
    }
    assert levels == {
        "site.id": "must",
        "bays.rail.underside": "must",
        "systems.anchorage.basis": "must",
        "retired.reason": "may",
    }


def test_the_measured_file_names_what_there_is():
    """Each field, finding and paper in it exists."""
    known = {rule.name for rule in RULES} | {WRONG}
    papers = {outline.name for outline in outlines()}
    assert set(USES) <= set(FIELDS)
    assert {name for row in USES.values() for name in row.get("asks", ())} <= known
    assert {name for row in USES.values() for name in row.get("papers", ())} <= papers


#: A few fields in each run, others after each change of the file, and those that a reader asks for first.
SAMPLE = sorted(USES, key=lambda name: hashlib.sha256(f"{len(USES)} {name}".encode()).hexdigest())[:3]


@pytest.mark.parametrize("name", ["bays.rail.underside", *SAMPLE])
def test_what_was_measured_still_holds(name):
    """Taken out of a demo once more, the same findings stand (tests/field_uses.py measures all of them)."""
    if not FIELDS[name].said.required and FIELDS[name].said.need not in ("A", "B"):
        assert list(asked(name) or ()) == USES[name].get("asks", [])


def test_papers_that_rest_on_a_field_still_do():
    """What the clauses of one demo read is in the file."""
    for name, papers in printed("sable-point").items():
        if name in FIELDS:
            assert papers <= set(USES.get(name, {}).get("papers", ())), name


@pytest.mark.parametrize(("asked_for", "found"), [
    ("anchorage.basis", ["systems.anchorage.basis"]), ("systems.anchorage.basis", ["systems.anchorage.basis"]),
    ("bays[B1].rail.underside", ["bays.rail.underside"]), ("underside", ["bays.rail.underside"]), ("bays underside", ["bays.rail.underside"]),
    ("compatibility.stated_by", ["systems.compatibility.stated_by"]), ("structure_checked_by", ["systems.anchorage.structure_checked_by"]),
    ("capacity.max", ["equipment.capacity.max"]), ("rescuer_tie_off", ["rescue.methods.rescuer_tie_off"]), ("Rescuer tie off", ["rescue.methods.rescuer_tie_off"]),
    ("last inspection", ["log.inspection"]), ("inspection.last", ["log.inspection"]), ("hang", ["bays.rail.line_exit_below_rail"]),
    ("arrest distance", ["equipment.arrest_distance", "equipment.edge_use.arrest_distance"]), ("log.number-tried", ["log.number-tried"]),
    ("phone", ["roles.phone", "bays.phone", "rescue.external.phone"]), ("tension", []), ("xyzzy", []), ("", []), ("...", []),
])  # fmt: skip
def test_a_short_name_finds_its_field(asked_for, found):
    """By the whole path, its last parts, some of them, its old name, or words."""
    assert [field.name for field in named(asked_for)] == found


def test_every_field_is_found_by_its_path_and_its_last_two_parts():
    """The path finds it alone, the last two parts among those meant."""
    for name, field in FIELDS.items():
        assert named(name) == (field,)
        last = ".".join(name.split(".")[-2:])
        assert field in named(last) or last in FIELDS, name


@pytest.mark.parametrize(("word", "first"), [
    ("clearence-short", "clearance-short"), ("deflexion", "deflection-unknown"), ("rescuer tieoff", None), ("tension", None), ("xyzzy", None),
])  # fmt: skip
def test_what_is_near_shares_a_word_or_a_spelling(word, first):
    """And nothing else is offered."""
    close = near(word, [*(rule.name for rule in RULES), *FIELDS])
    assert (close[0] if close else None) == first or (word == "rescuer tieoff" and all("rescuer" in name for name in close))


def test_explain_tells_a_field_and_lists_a_section():
    """The whole path of a short name, with who knows it; the fields of a section in reading order with their level; several that may be meant."""
    text = explain("anchorage.basis", None, None, AS_OF)
    assert text.startswith("systems.anchorage.basis\n")
    assert "anchorage-basis-missing" in text
    text = explain("rescue", None, None, AS_OF)
    listed = re.findall(r"(?m)^  (?:must|should|may) +(\S+)$", text)
    assert listed == [field.key for field in below("rescue", deep=False)]
    assert "Calculations of that name: " in text
    assert "fields that may be meant by 'phone': 3" in explain("phone", None, None, AS_OF)
    assert explain("fields", None, None, AS_OF) == told(None, "text", AS_OF, "en")
    code, _, err = run("explain", "tension")
    assert (code, "near" in err) == (2, False)


@pytest.mark.parametrize("name", ALL_DEMOS[:1])
def test_explain_a_field_of_a_site(name):
    """Where the site gives it, with its line."""
    out = run("explain", "rail.underside", str(SITES / name), "--as-of", "2026-11-01")[1]
    assert re.search(r"profile\.yaml:\d+ bays\[", " ".join(out.split()))


def test_examples_are_read_back():
    """What the guide prints as an example stands in a file as it is printed."""
    from docgen.guide import example_of

    for field in FIELDS.values():
        if text := example_of(field):
            source = read.read_text(f"x: {text}")
            assert source.problems == (), field.name
            assert source.data == {"x": json.loads(json.dumps(field.said.examples[0]))}, field.name


def test_fields_lists_sections_and_tells_one():
    """At the terminal: sections with their counts; each field of one with kind, example, level, who knows it."""
    code, out, _ = run("fields")
    assert code == 0
    assert re.findall(r"(?m)^([a-z_]+): \d+ fields?:? ", out) == [s.name for s in sections()]
    code, out, _ = run("fields", "bays.rail")
    assert code == 0
    assert all(f"\n{field.name}\n" in out for field in below("bays.rail") if not field.group)
    assert max(map(len, out.splitlines())) <= 80
    code, _, err = run("fields", "equipmnt")
    assert (code, "near it: equipment" in err) == (2, True)


def test_fields_as_json():
    """One object a field, in order."""
    told_of = json.loads(run("fields", "--format", "json")[1])["fields"]
    assert [row["name"] for row in told_of] == list(FIELDS)
    (row,) = [row for row in told_of if row["name"] == "bays.rail.underside"]
    assert (row["units"], row["level"], row["list"]) == (["ft", "in", "m", "cm", "mm"], "must", False)


class Anchors(HTMLParser):
    """Ids, and links within the page."""

    def __init__(self):
        super().__init__()
        self.ids, self.to = set(), set()

    def handle_starttag(self, tag, attrs):
        for key, value in attrs:
            if key == "id":
                self.ids.add(value)
            elif key == "href" and value.startswith("#"):
                self.to.add(value[1:])


def test_the_guide_as_a_paper(tmp_path):
    """HTML and PDF of a section; each link leads somewhere; a second time into the same folder changes nothing."""
    code, out, _ = run("fields", "systems", "--into", str(tmp_path))
    assert (code, len(out.splitlines())) == (0, 3)
    page = (tmp_path / "field-guide.systems.html").read_text(encoding="utf-8")
    anchors = Anchors()
    anchors.feed(page)
    assert anchors.to <= anchors.ids
    assert "anchorage" in page
    assert (tmp_path / "field-guide.systems.pdf").read_bytes().startswith(b"%PDF")
    assert not re.search(r"[A-Za-z]\\_", page)
    assert run("fields", "systems", "--format", "html")[1] == page
    assert "underside" in run("fields", "bays.rail", "--format", "html")[1]


def test_the_whole_guide_names_every_field():
    """In its Markdown, once where it stands."""
    text = guide(None, AS_OF, "en").markdown
    assert all(f"`{field.key}` (" in text for field in FIELDS.values() if "." in field.name)


def test_findings_name_fields_that_there_are():
    """Every field that a finding tells somebody to enter is one, and `explain` finds it by the name that is printed."""
    written = re.compile(r"(?<![\w{'/-])[a-z]+(?:[._][a-z]+)+(?![\w}-])")
    keys = {field.key for field in FIELDS.values()}
    for name, said in findings_words("en").items():
        for word in written.findall(" ".join(said[part] for part in ("message", "action"))):
            assert word in keys or named(word), (name, word)
        assert not re.search(r"\b(?:hang again|users_max|design_load\b(?!_)|users_at_once)", said["action"]), name


@pytest.mark.parametrize(("asked", "names", "offered"), [
    ("rai.colour", ("rail.size",), ()), ("rails.colour", ("rail.size",), ("rail.size",)), ("bays.tagline", ("bays.big", "x.taglines"), ("bays.big", "x.taglines")), ("kit", ("bit", "kin"), ()),
    ("anchorge", ("anchorage",), ("anchorage",)),
])  # fmt: skip
def test_a_short_word_is_like_no_other(asked, names, offered):
    """A word of three letters is near its equal only: half of all short words differ in one letter."""
    assert set(near(asked, names)) == set(offered)
