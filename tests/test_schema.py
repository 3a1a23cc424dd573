"""The schema of the site profile: it matches the model, explains every field, and refuses what has no meaning."""

import functools
import json
import pickle
import re
from datetime import date
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator, FormatChecker

from docgen import check, profile, read, resources, site, units, unknown
from docgen.site.log import KINDS
from docgen.site.place import Place
from docgen.site.schema import entry_schema, profile_schema, written_schemas

ROOT = Path(__file__).resolve().parent.parent
BAD = Path(__file__).resolve().parent / "profiles" / "bad"
SCHEMA = json.loads(json.dumps(profile_schema()))
EDITORS = json.loads(resources.schema_text("site_profile"))
KIND_OF = {("timespan" if kind == "time" else kind): kind for kind in units.KINDS}
FORMATS = {*KIND_OF, "date", "interval"}
OWN_LIST_ONLY = {
    "retired.id",
    "site.id",
    "bays.obstructions.id",
    "vehicles.protrusions.id",
    "rescue.methods.steps.id",
}  # ids that are unique within their list at most


def resolved(node):
    """A schema with its `$ref` followed; what stands beside the `$ref` comes on top."""
    if "$ref" not in node:
        return node
    target = SCHEMA
    for step in node["$ref"].removeprefix("#/").split("/"):
        target = target[step]
    return {**resolved(target), **{key: value for key, value in node.items() if key != "$ref"}}


def objects(node, path=""):
    """Every schema of a mapping below `node` with its path; a `$ref` is not followed, `$defs` are walked by name."""
    if "properties" in node:
        yield path, node
    for key, inner in node.get("properties", {}).items():
        yield from objects(inner, f"{path}.{key}".lstrip("."))
    if "items" in node:
        yield from objects(node["items"], path)
    for key, inner in node.get("$defs", {}).items():
        yield from objects(inner, key)


OBJECTS = list(objects(SCHEMA))
PROPERTIES = [(f"{at}.{key}".lstrip("."), each) for at, node in OBJECTS for key, each in node["properties"].items()]
EXPLAINED = PROPERTIES + [(f"$defs {key}", each) for key, each in SCHEMA["$defs"].items()]


@functools.cache
def plain_formats():
    """Formats as the library checks them, with the readers of docgen.units behind them."""
    formats = FormatChecker(formats=())
    readers = {name: functools.partial(units.parse, kind=kind) for name, kind in KIND_OF.items()}
    readers |= {"date": units.parse_date, "interval": units.parse_interval}
    for name, reader in readers.items():
        formats.checks(name, raises=units.UnitProblem)(
            lambda value, reader=reader: not isinstance(value, str) or reader(value) is not None
        )
    return formats


def mistakes(value, node=SCHEMA):
    """What the library alone finds wrong with `value`, as `path: keyword`."""
    validator = Draft202012Validator({"$defs": SCHEMA["$defs"], **node}, format_checker=plain_formats())
    return sorted(f"{'.'.join(map(str, e.absolute_path))}: {e.validator}" for e in validator.iter_errors(value))


def test_the_schema_is_a_schema():
    """It is valid under the published metaschema (JSON Schema draft 2020-12), and says so."""
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_the_schema_is_not_stale():
    """The files that editors read say what the declarations of the records say: tests/record_schemas.py --write."""
    for name, text in written_schemas().items():
        assert resources.schema_text(name.removesuffix(".schema.json")) == text


def test_each_declared_kind_is_built():
    """What the schema calls a figure, a day, an interval, a number or a flag is one in the records of the full demo."""
    built = site.build(read.read_profile(ROOT / "site_profiles" / "harrow-ridge"))
    kinds = {"date": date, "interval": units.Interval, "integer": int, "number": float, "boolean": bool, "string": str}
    seen = 0
    for path, value in site.walk(built):
        field = re.sub(r"\[[^]]*\]", "", path)
        if field not in dict(PROPERTIES):  # declared, and refused until what reads it is there: only its default is here
            assert value is False, path
            continue
        node = resolved(dict(PROPERTIES)[field])
        node = resolved(node.get("items", node))
        if isinstance(value, site.Quantity):
            assert (value.kind, node["type"]) == (KIND_OF[node["format"]], ["string", "object"]), path
        else:
            said = node.get("format", node.get("type", "string"))
            wanted = kinds["string" if said == ["string", "object"] else said]
            assert type(value) is wanted, path
        seen += 1
    assert seen > 500


def test_defaults_of_the_model_are_allowed():
    """A default that the model fills in is a value that the schema would accept from a user."""
    assert mistakes(site.Task.__dataclass_fields__["permission_"].default, dict(PROPERTIES)["tasks.permission"]) == []
    assert mistakes(Place.__dataclass_fields__["sector"].default, dict(PROPERTIES)["site.sector"]) == []


def test_nothing_unknown_slips_through():
    """Every mapping refuses keys that it does not declare (common practice, no published source)."""
    assert [at for at, node in OBJECTS if node.get("additionalProperties") is not False] == []


def test_every_required_key_is_declared():
    """A required key can be given: it is among the properties of the same mapping."""
    assert [at for at, node in OBJECTS if not set(node.get("required", ())) <= set(node["properties"])] == []


def test_every_field_is_explained():
    """Each field carries one plain sentence: it begins with a capital, ends with its only stop, and stays short."""
    wrong = {at: each.get("description") for at, each in EXPLAINED
             if not re.fullmatch(r"[A-Z](?:[^.!?\n]|[.](?=[0-9a-z]))*\.", each.get("description", ""))
             or len(each["description"]) > 180}  # fmt: skip
    assert wrong == {}
    assert len(PROPERTIES) > 300


def test_every_field_has_an_example_that_holds():
    """Each field shows at least one example, and each example passes the field's own schema, formats included."""
    wrong = {at: [mistakes(value, each) for value in each.get("examples", [])] for at, each in EXPLAINED}
    assert {at: found for at, found in wrong.items() if not found or any(found)} == {}


def test_enumerated_values_are_plain_words():
    """Allowed values are lowercase words joined by hyphens, a number at most at the end, so that none can be read as true, false or a number."""
    nodes = [(at, resolved(resolved(each).get("items", each))) for at, each in PROPERTIES]
    enums = [(at, value) for at, node in nodes for value in node.get("enum", ())]
    odd = {(at, value) for at, value in enums if not re.fullmatch(r"[a-z][a-z0-9]*(-[a-z]+)*(-[1-9])?", value)}
    rows = {("rescue.methods.rows", value) for value in "ABCDE"}
    assert odd == {("equipment.line_material", value) for value in ("wire rope", "synthetic rope")} | rows
    assert len(enums) > 80


def test_formats_are_those_that_can_be_read():
    """Every format named is read by docgen.units, and every kind of quantity there can be written somewhere."""
    text = json.dumps(SCHEMA)
    assert set(re.findall(r'"format": "([^"]+)"', text)) == FORMATS
    # of the names that JSON Schema 2020-12 gives a meaning (Validation, 7.3) only `date` is used, and in that meaning
    theirs = {
        "date-time",
        "date",
        "time",
        "duration",
        "email",
        "hostname",
        "ipv4",
        "ipv6",
        "uri",
        "uuid",
        "iri",
        "regex",
        "json-pointer",
    }
    assert FORMATS & theirs == {"date"}


def annotations(key):
    """Path and value of an annotation on fields or on the items of fields."""
    for at, each in PROPERTIES:
        for node in (each, each.get("items", {})):
            if key in node:
                yield at, node[key]


def referred(node):
    """Every collection that a schema refers to."""
    if isinstance(node, list):
        return {name for each in node for name in referred(each)}
    if not isinstance(node, dict):
        return set()
    to = node.get("refers_to", ())
    return {to} if isinstance(to, str) else {*to} | {name for each in node.values() for name in referred(each)}


def test_references_have_a_home():
    """What `refers_to` names is a collection whose ids are declared by exactly one `id_of`."""
    homes = [name for _, name in annotations("id_of")]
    assert len(homes) == len(set(homes))
    wanted = {name for _, to in annotations("refers_to") for name in ([to] if isinstance(to, str) else to)}
    assert wanted <= set(homes)
    assert {"bays", "vehicles", "roles", "equipment", "shifts", "methods", "users"} <= wanted
    assert {name for kind in KINDS for name in referred(entry_schema(kind))} <= set(homes)
    named = {at for at, _ in annotations("id_of")}
    assert {at for at, _ in PROPERTIES if at.split(".")[-1] == "id"} == named | OWN_LIST_ONLY


def test_no_field_for_a_body_weight():
    """The profile has no place for what a person weighs: a person is checked against the limit, pass or not yet."""
    words = {at for at, _ in PROPERTIES if re.search(r"weight|body|mass", at.split(".")[-1])}
    assert words == {"equipment.arrest_at.mass"}  # the mass of a maker's test
    person = resolved(SCHEMA["properties"]["people"]["properties"]["users"]["items"])["properties"]
    assert [key for key, each in person.items() if resolved(each).get("format") == "mass"] == []
    assert [k for k, v in entry_schema("fit")["properties"].items() if v.get("$ref") == "#/$defs/mass"] == ["lower", "upper"]


def test_conditions_only_require_or_forbid():
    """`if` looks at one fixed value and `then` only names keys, so that the fields stay declared in one place."""
    found = [rule for _, node in OBJECTS for rule in node.get("allOf", ())]
    assert len(found) == 4
    for rule in found:
        assert set(rule) == {"if", "then"}
        assert set(rule["then"]) <= {"required", "not"}
        assert [list(each) for each in rule["if"]["properties"].values()] == [["const"]]


TASK = {"id": "t", "bay": "b", "vehicle": "v"}
CONDITIONS = [
    ("tasks", [TASK], []),
    ("tasks", [{**TASK, "permission": "allowed"}], []),
    ("tasks", [{**TASK, "permission": "prohibited"}], ["0: required"]),
    ("tasks", [{**TASK, "permission": "prohibited", "reason": "too low"}], []),
    ("tasks", [{**TASK, "permission": "other-means"}], ["0: required"]),
    ("tasks", [{**TASK, "permission": "other-means", "instead": "from the ground"}], []),
    ("shifts", [{"id": "s", "watch": {"how": "continuous"}}], []),
    ("shifts", [{"id": "s", "watch": {"how": "nobody"}}], []),
    ("shifts", [{"id": "s", "watch": {"how": "radio"}}], ["0.watch: required", "0.watch: required"]),
    ("shifts", [{"id": "s", "watch": {"how": "radio", "interval": "10 min"}}], ["0.watch: required"]),
    ("shifts", [{"id": "s", "watch": {"how": "radio", "interval": "10 min", "confirm": "1 min"}}], []),
    ("shifts", [{"id": "s", "watch": {"by": "Control room"}}], []),
    ("contractors", {"harnesses": "own"}, []),
    ("contractors", {"harnesses": "loaned"}, [": required"]),
    ("contractors", {"harnesses": "loaned", "loaned_check": "looked over by both"}, []),
]


@pytest.mark.parametrize(("section", "value", "expected"), CONDITIONS)
def test_conditions_on_both_sides(section, value, expected):
    """A condition asks for its keys exactly when its value is given (common practice, no published source)."""
    assert mistakes(value, SCHEMA["properties"][section]) == expected


PATTERNS = [
    # ISO 3166-1 alpha-2 and ISO 3166-2 (a country, a hyphen, one to three letters or digits); codes from memory
    ("site.jurisdiction", ["US", "US-CA", "GB-ENG", "FR-75", "AT-9"], ["us-ca", "USA", "US-", "US_CA", "US-CALI"]),
    # RFC 5646: a primary language of two or three letters (ISO 639), a region of two capital letters by convention
    ("document.languages", [["en"], ["haw"], ["pt-BR"]], [["EN"], ["english"], ["pt-br"], ["e"], []]),
    # ids: common practice, no published source
    (
        "bays.id",
        ["B1", "bay-2", "9", "x" * 40, "conveyor", "com10", "S1", "W"],
        [
            "bay 2",
            "bay_2",
            "a.b",
            "bays[0]",
            "",
            "-b",
            ".b",
            "x" * 41,
            "é",
            "en",
            "EN",
            "pt-BR",
            "haw",
            "con",
            "NUL",
            "Prn",
            "aux",
            "COM1",
            "lpt9",
            "harness",
            "Rail",
            "rescue-kit",
            "PDF",
            "html",
            "counsel",
        ],
    ),
    ("roles.id", ["en", "rail", "safety-manager"], ["safety_manager", "a.b", "", "x" * 41]),
    ("site.id", ["yard-7", "7-yard", "Yard-7"], ["yard 7", "yard_7", "-yard", "", "x" * 41, "es", "COM3", "srd"]),
]


@pytest.mark.parametrize(("field", "right", "wrong"), PATTERNS)
def test_patterns(field, right, wrong):
    """Codes and ids are accepted and refused as their standard writes them."""
    node = dict(PROPERTIES)[field]
    assert [value for value in right if mistakes(value, node)] == []
    assert [value for value in wrong if not mistakes(value, node)] == []


def editor_faults(data, schema=EDITORS):
    """What a validator without our formats finds wrong under a written schema, as an editor does."""
    return [f"{'.'.join(map(str, e.absolute_path))}: {e.message}" for e in Draft202012Validator(schema).iter_errors(data)]


def test_the_schema_of_editors_allows_unknown_where_the_checker_does():
    """Each field that may be left out, and each entry of a list, may be said to be not known; what is required, or means something when left out, may not."""
    Draft202012Validator.check_schema(EDITORS)
    seen = 0

    def walk(written, plain, at):
        nonlocal seen
        for key, node in plain.get("properties", {}).items():
            here, other = f"{at}.{key}", written["properties"][key]
            wide = {"$ref": "#/$defs/unknown"} in other.get("anyOf", ())
            assert wide is (key not in plain.get("required", ()) and "default" not in node and "decided" not in node), here
            assert other.get("description") == node.get("description")
            walk(
                next(each for each in other["anyOf"] if "const" not in each and "unknown" not in str(each.get("$ref")))
                if wide
                else other,
                node,
                here,
            )
            seen += 1
        if "items" in plain:
            walk(written["items"]["anyOf"][0], plain["items"], f"{at}[]")

    walk(EDITORS, SCHEMA, "")
    assert seen > 450
    for value in ("unknown", {"unknown": {"asked": "rail maker", "on": "2026-10-02"}}, {"unknown": {}}):
        assert editor_faults(value, EDITORS["$defs"]["unknown"] | {"$defs": EDITORS["$defs"]}) == []
    for value in ("Unknown", {"unknown": {"whom": "maker"}}, {"unknown": {}, "value": "3 ft"}, {}):
        assert editor_faults(value, EDITORS["$defs"]["unknown"] | {"$defs": EDITORS["$defs"]}) != []


def test_patterns_are_those_of_json_schema():
    """A pattern escapes signs of its syntax and nothing else, or editors refuse the file (ECMA-262, patterns with the flag u)."""
    for name in ("site_profile", "site_log"):
        patterns = re.findall(r'"pattern": ("(?:[^"\\]|\\.)*")', resources.schema_text(name))
        assert patterns
        assert [p for p in map(json.loads, patterns) if re.search(r"\\[^dDwWsSbBpP.*+?^$|()\[\]{}/\\]", p)] == []


@pytest.mark.parametrize("value", ["unknown", {"unknown": {"asked": "rail maker", "on": "2026-10-02"}}], ids=["word", "asked"])
def test_all_that_may_be_left_out_may_be_unknown(value):
    """The full demo with everything unknown that may be: an editor accepts it, and so do we."""

    def emptied(data, node):
        node = resolved(node)
        if isinstance(data, dict) and "properties" in node:
            keep = {
                *node.get("required", ()),
                *(k for k, each in node["properties"].items() if "default" in each or "decided" in each),
            }
            return {k: emptied(v, node["properties"][k]) if k in keep or isinstance(v, dict) else value for k, v in data.items()}
        if isinstance(data, list):
            return [*(emptied(item, node["items"]) for item in data), value]
        return data

    data = emptied(read.read_profile(ROOT / "site_profiles" / "harrow-ridge").data, SCHEMA)
    data["bays"] = emptied(read.read_profile(ROOT / "site_profiles" / "harrow-ridge").data["bays"], SCHEMA["properties"]["bays"])
    assert editor_faults(data) == []
    source, found = unknown.without_unknown(read.read_text(json.dumps(data)))
    assert len(found) > 60
    assert check.check(source) == ()


GOOD = sorted((BAD.parent / "good").iterdir())


@pytest.mark.parametrize("path", [*GOOD, *sorted((ROOT / "site_profiles").iterdir())], ids=lambda path: path.name)
def test_an_editor_accepts_what_we_accept(path):
    """A small profile with much that is not known, and each demo: no problem here, and none for a general validator on the written file."""
    assert profile.read_site(path).problems == ()
    source = read.read_profile(path)
    assert editor_faults(source.data) == []
    first = next(line for line in source.text.splitlines() if line and not line.startswith("#"))
    assert first == "profile: 2"
    told = re.match(r"# yaml-language-server: \$schema=(.+)\n", source.text)[1]
    assert (path / told).resolve() == ROOT / "schemas" / "site_profile.schema.json"
    if path in GOOD:
        assert len(source.text.splitlines()) <= 45


def test_an_editor_accepts_a_log():
    """A log with an entry of each kind passes the written schema of logs, and an entry with a foreign key does not."""
    schema = json.loads(resources.schema_text("site_log"))
    Draft202012Validator.check_schema(schema)
    entries = [{"kind": kind} | example(entry_schema(kind)) for kind in KINDS]
    assert editor_faults({"log": 1, "entries": entries}, schema) == []
    assert editor_faults({"log": 1, "entries": [entries[0] | {"weight": "x"}]}, schema) != []
    assert editor_faults({"log": 2, "entries": []}, schema) != []


def example(node):
    """A record out of the first example of each of its fields."""
    return {key: each["examples"][0] for key, each in node["properties"].items() if key != "kind"}


def test_full_example_passes():
    """The full demo profile passes under the library alone, formats included."""
    source = read.read_profile(ROOT / "site_profiles" / "harrow-ridge")
    assert source.problems == ()
    assert mistakes(source.data) == []


FIRST = """
profile: 2
site: {id: first-yard, name: First Yard, jurisdiction: US-KS}
document: {effective: 2026-11-01}
roles:
  - {id: manager, title: Yard manager}
bays:
  - {id: B1, name: Truck bay, rail: {part: R-1, underside: 25 ft}}
vehicles:
  - {id: tanker, name: Tank trailer, deck: 11.5 ft, sides: [{side: left}]}
tasks:
  - {id: load, bay: B1, vehicle: tanker}
equipment:
  - {id: R-1, kind: rail}
  - {id: D-1, kind: srd}
systems:
  - {id: S1, bay: B1, parts: [R-1, D-1]}
people:
  users: [{id: U-1}]
  rescuers: [{id: RS-1}]
shifts:
  - {id: day}
rescue:
  methods:
    - {id: M1, name: Lower with the kit, steps: [{id: alarm, text: Raise the alarm}]}
"""


@pytest.mark.parametrize("text", [FIRST, FIRST[: FIRST.index("roles:")]])
def test_small_first_profile_passes(text):
    """A first profile may leave out heights, ratings, times and dates: their absence is a finding, not a problem."""
    source = read.read_text(text)
    assert source.problems == ()
    assert mistakes(source.data) == []


CASES = sorted(BAD.iterdir())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_bad_profiles_give_these_words(case):
    """A profile with mistakes gives exactly the lines in expected.txt: place, path, what is wrong, what is right."""
    problems = check.check(read.read_profile(case)) or profile.read_site(case).problems
    lines = [f"{p.line}:{p.column} {p.path}: {p.message}; {p.hint}\n" for p in problems]
    assert lines
    assert "".join(lines) == (case / "expected.txt").read_text(encoding="utf-8")


def test_every_bad_profile_is_looked_at():
    """The folder holds its cases, each complete."""
    assert len(CASES) >= 20
    complete = [case for case in CASES if {"profile.yaml", "expected.txt"} <= {file.name for file in case.iterdir()}]
    assert complete == CASES


def test_a_text_may_stand_in_several_languages():
    """A statement under its language codes is one text in the records, in the first of them; a version is asked for by its code."""
    source = read.read_text(
        "profile: 2\nsite: {id: yard, name: Yard, jurisdiction: US-KS}\ndocument: {effective: 2026-11-01}\nbays: [{id: B1, name: Bay, heights_from: {en: Slab, es: Losa}}]\n"
    )
    assert mistakes(source.data) == []
    datum = site.build(source).bays[0].heights_from
    assert (datum, datum.in_("es"), datum.in_("es-MX"), datum.in_("fr")) == ("Slab", "Losa", "Losa", "Slab")
    assert pickle.loads(pickle.dumps(datum)).versions == {"en": "Slab", "es": "Losa"}
    assert mistakes({"english": "Slab"}, SCHEMA["$defs"]["text"]) != []
    assert mistakes({"en": ""}, SCHEMA["$defs"]["text"]) != []


@pytest.mark.parametrize(
    ("path", "parts", "expected"),
    [
        ("roles[gm].holders", ["management", "issuing-authority"], True),
        ("roles[gm].holders", ["management", "trainer"], False),
        ("roles[gm].holders", None, False),
        ("roles[gm].holders[0].name", ["management"], False),
        ("roles[gm].phone", ["safety-manager"], True),
        ("roles[ss].phone", ["supervisor"], False),
        ("roles[gate].phone", ["gate-operator"], False),
        ("document.kept_at", None, True),
        ("roles[gm].title", ["management"], False),
        ("emergency.contacts[0].number", None, False),
        ("emergency.radio.words", None, False),
    ],
)
def test_what_is_administrative(path, parts, expected):
    """Names of posts, office telephones and places of copies are; who answers for the work, and whatever help is called by, never is."""
    assert site.administrative(path, parts) is expected


def test_nothing_of_the_alarm_is_administrative():
    """No field of rescue, emergency or shifts is declared so: no number, caller, backup, radio or alarm word."""
    declared = [at for at, each in PROPERTIES if each.get("administrative")]
    assert len(declared) >= 4
    assert [at for at in declared if at.split(".")[0] in ("rescue", "emergency", "shifts")] == []
