"""Law as data: what the federal set answers and is silent on, and what a new jurisdiction may do without any Python."""

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import FrozenInstanceError, replace
from datetime import date
from pathlib import Path

import jsonschema
import pint
import pytest
import yaml
from support import AS_OF, SITES, LawLoader, all_markdown, demo, legal_file, run, with_changes

from docgen.codes import LawAlone, facts, known, load, question, questions
from docgen.codes.answers import read_value
from docgen.codes.folder import ANSWER_FILES, HOME, NOT_LOOKED, find
from docgen.codes.given import negations
from docgen.codes.model import Amendment
from docgen.codes.needed import ever_needed, needed
from docgen.codes.survey import Due, counted, due_for_reading
from docgen.compose import all_bodies
from docgen.data import Blocks, files, read
from docgen.errors import CodeError, DataError
from docgen.resources import schema_text
from docgen.units import Interval
from docgen.words import fallback_text, finding_text

TODAY = date(2026, 11, 25)
READ = date(2026, 11, 26)  # the day of the last reading of the texts
TABLES = Path(__file__).parent / "codes"
UNITS = pint.UnitRegistry()
SECTORS = ("general-industry", "construction")
SI = {"length": "m", "mass": "kg", "force": "N", "time": "s", "angle": "rad"}
SETS = [(code, sector) for code in known() for sector in find(code).index["sectors"]]
NOT_US = ("1910.", "1926.", "OSHA", "CFR")
DEFINITIONS = {"limits": "answers", "rules": "answers", "definitions": "answers"}
SCHEMA_OF = dict(files())
DATA_FILES = sorted(p for p in HOME.rglob("*.yaml") if "elements" not in p.parts)  # the lists of elements: test_elements.py


def table(name: str):
    return whole(TABLES / name)


def code_of(sector: str = "general-industry", jurisdiction: str = "US", on: date = TODAY) -> LawAlone:
    return load(jurisdiction, sector, on)


def plain(value):
    """Data as JSON has it: days as text, keys as text."""
    if isinstance(value, dict):
        return {plain(key): plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return value.isoformat() if isinstance(value, date) else value


def whole(path: Path):
    return yaml.load(path.read_text(encoding="utf-8"), LawLoader)


def entries(code: str):
    """Every dated entry of a jurisdiction: file, question, sector, day, fields."""
    for name in ANSWER_FILES:
        for key, sectors in find(code).file(name).items():
            for sector, days in sectors.items():
                for day, entry in [*days.items(), *days.get("expected", {}).items()]:
                    if isinstance(day, date):  # neither the heading of what is expected nor what has no day yet
                        yield name, key, sector, day, entry


# The data files


@pytest.mark.parametrize("path", DATA_FILES, ids=lambda path: str(path.relative_to(HOME)))
def test_every_file_keeps_the_schema(path):
    """Each data file is valid under its definition in code.schema.json, days and expressions included."""
    checker = definition("words" if path.parent.name == "words" else DEFINITIONS.get(path.stem, path.stem))
    faults = checker.iter_errors(plain(whole(path)))
    assert [f"{'/'.join(map(str, fault.path))}: {fault.message}" for fault in faults] == []


def test_the_schema_is_itself_valid():
    """The schema is a JSON Schema of 2020-12, and each definition with properties has a closed list of them."""
    schema = json.loads(schema_text("code"))
    jsonschema.Draft202012Validator.check_schema(schema)
    closed = [name for name, each in schema["$defs"].items() if each.get("properties")]
    assert [name for name in closed if schema["$defs"][name].get("additionalProperties") is not False] == []


READING = {"on": "2026-11-26", "in": "copy"}


def entry(**fields) -> dict:
    """The answers of one question with one entry, which holds these fields."""
    return {"a": {"all": {"2017-01-17": fields}}}


def answer_with(**fields) -> dict:
    """An answer that is right, with fields put in or changed."""
    return entry(**({"value": "1800 lbf", "source": "cfr", "read": READING} | fields))


def silence_with(**fields) -> dict:
    """A silence that is right, with fields put in or changed."""
    return entry(**({"silent": True, "looked": "2026-11-26", "looked_in": ["cfr"], "fallback": "none", "note": "n"} | fields))


def without(data: dict, *names: str) -> dict:
    """The same without some fields of its entry."""
    ((key, sectors),) = data.items()
    ((sector, days),) = sectors.items()
    ((day, fields),) = days.items()
    return {key: {sector: {day: {name: value for name, value in fields.items() if name not in names}}}}


SOURCE = {
    "title": "t", "body": "b", "edition": "e", "url": "https://x.org/t", "form": "{a}", "cite": {"a": "1"}, "force": "mandatory",
}  # fmt: skip
QUESTION = {"group": "arrest", "kind": "force", "asks": "x", "fallbacks": ["none"], "bound": "maximum", "at_limit": "inside"}
RIGHT_DATA = [  # definition, data that stands, from which the wrong data below differ in one thing
    ("answers", answer_with()),
    ("answers", without(answer_with(recalled=True), "read")),
    ("answers", answer_with(read=READING | {"of": "summary", "paragraph": "recalled"})),
    ("answers", answer_with(amended_by=[{"on": "2019-12-17", "by": "84 FR 68797"}], starts="a death", written="in a day")),
    ("answers", silence_with()),
    ("answers", without(silence_with(recalled=True), "looked", "looked_in")),
    ("answers", without(silence_with(looked=False), "looked_in")),
    ("copies", {"copy": {"grade": "copy", "of": "a house", "state": "of 2024", "url": "https://x.org"}}),
    ("sources", {"a": SOURCE | {"stable": "29 CFR 1910.140"}}),
    ("questions", {"a": QUESTION | {"stops": True, "when": {"all": ["railcars"]}}}),
    ("questions", {"a": {"group": "reporting", "kind": "clock", "asks": "x", "fallbacks": ["counsel"]}}),
]
BAD_DATA = [  # definition, data that it must refuse
    ("answers", without(answer_with(), "source")),
    ("answers", without(answer_with(), "read")),  # neither read nor recalled
    ("answers", answer_with(recalled=True)),  # both
    ("answers", answer_with(recalled=False)),
    ("answers", answer_with(basis="read")),  # the form of old
    ("answers", answer_with(read={"in": "copy"})),  # no day
    ("answers", answer_with(read={"on": "2026-11-26"})),  # no copy
    ("answers", answer_with(read=True)),
    ("answers", answer_with(read=READING | {"on": "2026-02-30"})),
    ("answers", answer_with(read=READING | {"of": "rumour"})),
    ("answers", answer_with(read=READING | {"paragraph": "read"})),
    ("answers", answer_with(read=READING | {"grade": "official"})),  # the copy has it
    ("answers", without(answer_with(), "value")),  # neither figure nor words
    ("answers", answer_with(amended_by=[])),
    ("answers", answer_with(amended_by=[{"by": "84 FR 68797"}])),  # no day
    ("answers", answer_with(looked="2026-11-26")),
    ("answers", answer_with(fallback="none")),
    ("answers", {"a": {"all": {"2017-02-30": {"value": "1 N", "source": "cfr", "read": READING}}}}),
    ("answers", {"a": {"maritime": {"2017-01-17": {"value": "1 N", "source": "cfr", "read": READING}}}}),
    ("answers", {"a": {"all": {}}}),
    ("answers", without(silence_with(), "note")),
    ("answers", silence_with(fallback="x")),
    ("answers", without(silence_with(), "looked_in")),  # a day, and nowhere
    ("answers", without(silence_with(), "looked")),  # somewhere, and no day
    ("answers", without(silence_with(), "looked", "looked_in")),  # neither looked nor recalled
    ("answers", silence_with(recalled=True)),  # recalled, and looked
    ("answers", silence_with(looked=False)),  # nobody looked, and yet somewhere
    ("answers", silence_with(looked=True)),  # without its day
    ("answers", silence_with(says="x")),
    ("answers", silence_with(says_plain="x")),
    ("answers", silence_with(value="1 N")),
    ("answers", silence_with(read=READING)),
    ("copies", {"copy": {"grade": "hearsay", "of": "a house"}}),  # unknown grade
    ("copies", {"copy": {"grade": "memory", "of": "a house"}}),
    ("copies", {"copy": {"of": "a house"}}),
    ("copies", {"copy": {"grade": "copy"}}),  # nobody's
    ("copies", {"copy": {"grade": "copy", "of": "a house", "url": "http://x.org"}}),
    ("copies", {"A copy": {"grade": "copy", "of": "a house"}}),
    ("questions", {"a": {name: value for name, value in QUESTION.items() if name != "bound"}}),
    ("questions", {"a": {"group": "arrest", "kind": "text", "asks": "x", "fallbacks": ["none"], "bound": "maximum"}}),
    ("questions", {"a": {"group": "reporting", "kind": "clock", "asks": "x", "fallbacks": ["counsel"], "bound": "maximum"}}),
    ("questions", {"a": QUESTION | {"when": {}}}),
    ("questions", {"a": QUESTION | {"when": {"none": ["railcars"]}}}),
    ("questions", {"a": QUESTION | {"when": {"all": []}}}),
    ("questions", {"a": QUESTION | {"stops": False}}),
    ("sources", {"a": SOURCE | {"url": "http://x.org"}}),
    ("sources", {"a": SOURCE | {"basis": "read"}}),
    ("sources", {"a": SOURCE | {"last_review": {"on": "2026-05-01", "by": "a reader"}}}),
    ("sources", {"a": SOURCE | {"stable": ""}}),
    ("mistakes", {"a": {"says": "x", "patterns": [["("]], "instead": "y", "see": ["a"]}}),
    ("words", {"duties": {"a": {"must": "x"}}}),
    ("index", {"code": "US"}),
    ("not_looked", {"questions": {"all": ["a"]}}),  # no note
    ("not_looked", {"note": "n", "questions": {"all": []}}),
]


def definition(kind: str) -> jsonschema.Draft202012Validator:
    """The known validator for one definition of the schema."""
    schema = json.loads(schema_text("code"))
    wanted = {"$schema": schema["$schema"], "$defs": schema["$defs"], "$ref": f"#/$defs/{kind}"}
    return jsonschema.Draft202012Validator(wanted, format_checker=jsonschema.FormatChecker(["date", "regex"]))


@pytest.mark.parametrize(("kind", "data"), RIGHT_DATA)
def test_the_schema_takes_what_is_right(kind, data):
    """Each form that an entry may have stands: what is refused below is refused for the one thing that differs."""
    assert [error.message for error in definition(kind).iter_errors(data)] == []


@pytest.mark.parametrize(("kind", "data"), BAD_DATA)
def test_the_schema_refuses_what_is_wrong(kind, data):
    """An entry without source, without a reading and not recalled, an impossible day, silence without a note and their like do not pass."""
    assert not definition(kind).is_valid(data)


@pytest.mark.parametrize("path", DATA_FILES, ids=lambda path: str(path.relative_to(HOME)))
def test_blocks_read_what_the_whole_file_says(path):
    """Parsing block by block gives exactly what parsing the whole file gives."""
    assert dict(Blocks(path, SCHEMA_OF[path])) == whole(path) == read(path)


def test_the_schema_and_the_vocabulary_name_the_same_words():
    """A force, a fallback, a bound or a sector is known to the schema exactly if the vocabulary explains it."""
    words, schema = whole(HOME / "vocabulary.yaml"), json.loads(schema_text("code"))["$defs"]
    assert sorted(words["forces"]) == sorted(schema["force"]["enum"])
    assert sorted(words["fallbacks"]) == sorted(schema["fallback"]["enum"])
    assert sorted(words["bounds"]) == sorted(schema["bound"]["enum"])
    assert sorted(words["grades"]) == sorted([*schema["grade"]["enum"], "memory"])
    assert all(read_value(question("report_fatality_within"), words_of)[1] == words_of for words_of in words["clocks"])
    assert sorted(words["day_bases"]) == sorted(schema["day_basis"]["enum"])
    assert sorted(words["sectors"]) == sorted([*schema["sector"]["enum"], "all"])
    assert tuple(words["facts"]) == facts()


@pytest.mark.parametrize(("code", "sector"), SETS)
def test_every_question_is_answered_or_silent(code, sector):
    """A set leaves no question of the fixed list open; what the text says nothing on is entered as silent."""
    law = load(code, sector, TODAY)
    assert law.unanswered() == ()
    assert len(law.answers()) == len(questions())
    assert {answer.state for answer in law.answers()} <= {"answered", "inherited", "silent"}


@pytest.mark.parametrize("code", known())
def test_no_answer_is_to_a_question_that_nobody_asks(code):
    """Every key is in the fixed list and stands in one file only; definitions.yaml holds the definitions."""
    keys = [(key, name) for name in ANSWER_FILES for key in find(code).file(name)]
    assert sorted(key for key, _ in keys) == sorted({key for key, _ in keys} & set(questions()))
    assert [key for key, name in keys if (question(key).group == "definitions") != (name == "definitions.yaml")] == []


@pytest.mark.parametrize("code", known())
def test_every_source_exists_and_is_used(code):
    """Each id that an entry names is in sources.yaml, and no source lies there that nothing rests on."""
    ids = set(find(code).file("sources.yaml"))
    named = set()
    undated = [days["expected"]["undated"] for name in ANSWER_FILES for each in find(code).file(name).values() for days in each.values()
               if "undated" in days.get("expected", {})]  # fmt: skip
    for entry in (*(entry for *_, entry in entries(code)), *undated):
        named |= {entry.get("source"), *entry.get("looked_in", ()), *entry.get("law", {}).get("looked_in", ())} - {None}
    assert sorted(named - ids) == []
    assert sorted(ids - named) == []


@pytest.mark.parametrize("code", known())
def test_every_copy_exists_and_is_used(code):
    """Each copy in which an entry was read is in copies.yaml, and no copy lies there in which nothing was."""
    ids = set(find(code).file("copies.yaml"))
    named = {entry["read"]["in"] for *_, entry in entries(code) if "read" in entry}
    assert sorted(named - ids) == []
    assert sorted(ids - named) == []


ACCOUNT = re.compile(r"github|gitlab|huggingface|scribd|repository|\([\w.-]+/[\w.-]+\)")
HOST = re.compile(r"\b[\w-]+\.(com|org|net|io|info|site)\b")
PUBLIC = re.compile(
    r"https://[^/]*(\.gov|\.gc\.ca|gouv\.qc\.ca|govt\.nz|gov\.bc\.ca|alberta\.ca|europa\.eu|hse\.ie|nhs\.uk|csagroup\.org)([./]|$)"
)


@pytest.mark.parametrize("code", known())
def test_no_account_or_firm_is_the_source_of_a_copy(code):
    """A copy is called an unofficial copy; no account, repository or firm is named for it, and only public bodies are linked."""
    for id, copy in find(code).file("copies.yaml").items():
        assert not ACCOUNT.search(f"{copy['of']} {copy.get('url', '')}"), id
        assert copy["grade"] == "official" or not HOST.search(copy["of"]), id
        if copy["grade"] == "copy":
            assert re.match(r"(an |two )?unofficial cop(y|ies)", copy["of"]), id
        if copy["grade"] != "official" and "url" in copy:
            assert PUBLIC.match(copy["url"]), id


RANKS = ("official", "publisher", "copy", "secondary")


@pytest.mark.parametrize("code", known())
def test_a_grade_is_that_of_the_copy_and_never_better(code):
    """What was read in a copy bears its grade; of a summary it is secondary, whosever page it stood on."""
    copies = find(code).file("copies.yaml")
    for _, key, sector, day, entry in entries(code):
        if "read" not in entry or day > READ:
            continue
        asked = find(code).index["sectors"][0] if sector == "all" else sector
        answer = load(code, asked, TODAY).ask(key, on=day)
        copy = copies[entry["read"]["in"]]
        wanted = "secondary" if entry["read"].get("of") == "summary" else copy["grade"]
        assert (answer.grade, answer.read.copy, answer.read.on) == (wanted, copy["of"], entry["read"]["on"]), key
        assert RANKS.index(answer.grade) >= RANKS.index(copy["grade"]), key
        assert (answer.basis, answer.unread, answer.read.paragraph) == ("read", False, "paragraph" not in entry["read"]), key


@pytest.mark.parametrize("code", known())
def test_nothing_recalled_is_looked(code):
    """An answer that is recalled has no reading and no grade of a copy; a silence that is recalled names no text and counts as unread."""
    for _, key, sector, day, entry in entries(code):
        if not entry.get("recalled"):
            continue
        asked = find(code).index["sectors"][0] if sector == "all" else sector
        answer = load(code, asked, TODAY).ask(key, on=day)
        assert answer.unread, key
        assert (answer.read, answer.looked_on, answer.looked_in) == (None, None, ()), key
        assert (answer.grade, answer.looked) == (("none", False) if answer.silent else ("memory", True)), key


# Forms that bodies of the United States have given up (from memory).
DEAD = re.compile(r"^http:|/pls/|owadisp|/SLTC/|/oshaweb/|osha\.gov/.*\.htm$|www\.gpo\.gov|ecfr\.gpoaccess|[?&]p_(id|table)=|\s")


@pytest.mark.parametrize("code", known())
def test_addresses_have_a_live_form(code):
    """No address of a source or a copy has one of the forms that the bodies have given up, and each is https."""
    files_of = (find(code).file(name).values() for name in ("sources.yaml", "copies.yaml"))
    urls = [entry["url"] for entries_of in files_of for entry in entries_of if "url" in entry]
    assert [url for url in urls if DEAD.search(url) or not url.startswith("https://")] == []


@pytest.mark.parametrize("code", known())
def test_days_are_in_order(code):
    """Nothing is read before it holds or after the last reading, no amendment before the one above it; a text stands since it is dated."""
    law = find(code)
    for id, source in law.file("sources.yaml").items():
        assert source.get("effective", READ) <= READ, id
        assert source.get("dated", date.min) <= source.get("effective", READ), id
    for name, key, sector, day, entry in entries(code):
        assert type(day) is date, (name, key, sector)
        if day <= READ:
            for read in (entry.get("read", {}).get("on"), entry.get("looked")):
                assert not read or day <= read <= READ, (key, sector, day)
        amended = [each["on"] for each in entry.get("amended_by", ())]
        assert amended == sorted(amended), (key, sector, day)
        stands = law.file("sources.yaml")[entry["source"]].get("effective") if "source" in entry else None
        assert "source" not in entry or day == stands or "day_basis" in entry, (key, sector, day)


@pytest.mark.parametrize("code", known())
def test_clocks_say_what_starts_them(code):
    """Every clock of a report says which event starts it; no other answer has such a start."""
    for _, key, sector, day, entry in entries(code):
        if "source" in entry:
            assert ("starts" in entry) is (question(key).kind == "clock"), (key, sector, day)


@pytest.mark.parametrize("code", known())
def test_every_dated_entry_can_be_asked(code):
    """Asked on its own day each entry gives an answer of the right kind, with a whole citation and a known basis."""
    for name, key, sector, day, _ in entries(code):
        for asked in find(code).index["sectors"] if sector == "all" else [sector]:
            answer = load(code, asked, TODAY).ask(key, on=day)
            assert answer.effective == day, (name, key)
            if answer.silent:
                assert bool(answer.looked_in) is answer.looked is (answer.looked_on is not None)
                assert answer.note
                assert answer.value is None
            else:
                assert not re.search(r"[{}]|\(\)|,\s*$|\s{2}", answer.citation), answer.citation
                assert re.search(r"\d", answer.citation) or not answer.binding, answer.citation  # a page of advice has no number
                assert answer.title
                assert answer.body
                assert answer.edition
                assert answer.effective_basis in ("read", "memory", "edition")


@pytest.mark.parametrize("code", known())
def test_what_nobody_looked_for_is_entered_once(code):
    """A question in not_looked.yaml is in the fixed list, stands there once a sector, and has no answer beside it."""
    file = find(code).file(NOT_LOOKED)
    listed = [(key, sector) for sector, keys in file.get("questions", {}).items() for key in keys]
    asked = [(key, each) for key, name in listed for each in (find(code).index["sectors"] if name == "all" else [name])]
    assert sorted(key for key, _ in listed if key not in questions()) == []
    assert sorted(asked) == sorted(set(asked))
    beside = {(key, each) for _, key, name, _, _ in entries(code) for each in (SECTORS if name == "all" else (name,))}
    assert sorted(set(asked) & beside) == []
    for key, sector in asked:
        answer = load(code, sector, TODAY).ask(key)
        assert (answer.state, answer.looked, answer.looked_in, answer.note) == ("silent", False, (), file["note"])


@pytest.mark.parametrize(("code", "sector"), SETS)
def test_silence_names_who_may_answer_instead(code, sector):
    """What usually stands in for a silent text is among the choices that the question leaves to a profile."""
    strange = [a.key for a in load(code, sector, TODAY).answers() if a.silent and a.fallback not in a.fallbacks]
    assert strange == []


@pytest.mark.parametrize(("code", "sector"), SETS)
def test_figures_are_what_a_unit_library_makes_of_them(code, sector):
    """SI values equal those of pint to a part in 10^12; the second printed unit agrees within its rounding (5 %)."""
    for answer in load(code, sector, TODAY).answers():
        if answer.silent or answer.kind not in SI:
            continue
        printed = find(answer.jurisdiction).timelines(answer.key)[1][answer.sector][answer.effective]
        measure = UNITS.Quantity(printed["value"]).to(SI[answer.kind]).magnitude
        assert answer.value == pytest.approx(measure, rel=1e-12), answer.key
        if "also" in printed:
            second = UNITS.Quantity(printed["also"]).to(SI[answer.kind]).magnitude
            assert second == pytest.approx(measure, rel=0.05), answer.key
        if "printed" not in printed:
            assert answer.text.replace(",", "").startswith(printed["value"]), answer.key


# What each set says

NAMED = {code.lower(): code for code in known()}  # a table bears the code of its set
ROWS = [(name, row) for name in sorted(NAMED) if (TABLES / f"{name}.yaml").is_file() for row in table(f"{name}.yaml")]


@pytest.mark.parametrize("name", sorted(NAMED))
def test_every_set_has_its_table(name):
    """Beside each folder of law stands a table of what it must answer."""
    assert (TABLES / f"{name}.yaml").is_file()


@pytest.mark.parametrize(("name", "row"), ROWS, ids=[f"{name}-{row['ask']}-{row['sector']}-{row['on']}" for name, row in ROWS])
def test_published_answers(name, row):
    """Each line of a table: value, printed form, citation and basis on its day, from its set or a parent; or silence.

    `clock` is how soon a report is due, `written` what its written form is due within, in words that stand in the answer.
    """
    law = load(NAMED[name], row["sector"], TODAY)
    if "fault" in row and law.kind == "standard":
        with pytest.raises(CodeError, match=row["fault"]):
            law.ask(row["ask"], on=row["on"])
        return
    answer = law.ask(row["ask"], on=row["on"])
    if "fault" in row:  # what held before the first day recorded, nobody looked at
        assert (answer.state, answer.looked, answer.citation) == ("silent", False, "")
        return
    if "silent" in row:
        assert (answer.state, answer.fallback, answer.citation) == ("silent", row["silent"], "")
        if "looked" in row:
            assert answer.looked is row["looked"]
        return
    state, home = ("inherited", row["from"]) if "from" in row else ("answered", NAMED[name])
    assert (answer.state, answer.jurisdiction) == (state, home)
    assert (answer.citation, answer.basis) == (row["published"], row["basis"])
    if "value" in row:
        assert answer.value == pytest.approx(UNITS.Quantity(row["value"]).to(SI[answer.kind]).magnitude, rel=1e-12)
    if "is" in row:
        assert answer.value == (tuple(row["is"]) if isinstance(row["is"], list) else row["is"])
    if "interval" in row:
        assert isinstance(answer.value, Interval)
        assert [answer.value.months, answer.value.days] == row["interval"]
    if "clock" in row:
        assert (answer.kind, answer.value, answer.text) == ("clock", row["clock"], row["clock"])
        assert answer.starts
        assert row.get("written", "") in answer.written
        assert bool(answer.written) is ("written" in row)
    for field in ("text", "bound", "inclusive", "force", "effective", "effective_basis"):
        if field in row:
            assert getattr(answer, field) == row[field]


FIGURES = (*SI, "interval", "count", "ratio", "clock")


@pytest.mark.parametrize("name", sorted(NAMED))
def test_every_figure_is_in_the_table(name):
    """The table of published values covers every figure and every clock that a set has, of each sector and each day."""
    asked = {
        (answer.key, answer.sector, answer.effective)
        for each, row in ROWS if each == name and "published" in row
        for answer in [load(NAMED[name], row["sector"], TODAY).ask(row["ask"], on=row["on"])]
    }  # fmt: skip
    figures = {
        (key, sector, day) for _, key, sector, day, entry in entries(NAMED[name])
        if "value" in entry and day <= TODAY and question(key).kind in FIGURES
    }  # fmt: skip
    assert sorted(figures - asked) == []


def test_general_industry_never_cites_construction():
    """A general industry site prints nothing of Part 1926: no citation, title, note or statement."""
    for answer in code_of().answers():
        printed = (answer.citation, answer.title, answer.edition, answer.note, answer.says, *answer.looked_in)
        assert [text for text in printed if "1926" in text] == [], answer.key


def test_construction_rests_its_criteria_on_its_own_part():
    """The figures of arrest, parts and anchorage come from Part 1926 at a construction site."""
    groups = ("arrest", "parts", "anchorage")
    answered = [answer for answer in code_of("construction").answers() if not answer.silent]
    found = {answer.citation for answer in answered if answer.kind in SI and question(answer.key).group in groups}
    assert found
    assert [citation for citation in found if " 1926." not in citation] == []


def test_vehicle_tops_are_not_claimed():
    """No height is asserted for vehicle tops, and counsel answers instead; the position names the policy of 1996 as policy."""
    law = code_of()
    height, position = law.ask("trigger_height_vehicles"), law.ask("vehicle_tops_position")
    assert (height.state, height.fallback) == ("silent", "counsel")
    assert (position.force, position.binding) == ("policy", False)
    assert "1996" in position.says
    assert position.figure is None


# Exactly at a limit

AT = [  # question, sector, factor on the limit, whether it holds
    ("user_mass_condition", "general-industry", 0.999, True),
    ("user_mass_condition", "general-industry", 1.0, False),
    ("user_mass_condition", "construction", 1.0, False),
    ("arrest_force_max", "general-industry", 1.0, True),
    ("arrest_force_max", "general-industry", 1.001, False),
    ("anchorage_per_user", "general-industry", 0.999, False),
    ("anchorage_per_user", "general-industry", 1.0, True),
    ("trigger_height", "general-industry", 0.999, False),
    ("trigger_height", "general-industry", 1.0, True),
    ("service_pit_depth", "general-industry", 1.0, False),
]


@pytest.mark.parametrize(("key", "sector", "factor", "holds"), AT)
def test_exactly_at_a_limit_follows_the_text(key, sector, factor, holds):
    """1910.140(d)(1) says less than 310 lb; the other figures count exactly-at as kept or reached."""
    answer = code_of(sector).ask(key)
    assert answer.holds(answer.value * factor) is holds


def test_only_a_limit_can_be_held():
    """A silent answer, a text and a plain figure bound nothing, and say so."""
    for key in ("rescue_time_max", "rescue_duty", "guardrail_height"):
        with pytest.raises(ValueError, match="bounds nothing"):
            code_of().ask(key).holds(1.0)


# Where a site lies

PLACES = [  # asked, answers, has a state plan
    ("US", "US", False),
    ("US-KS", "US", False),
    ("US-MI", "US", True),
    ("US-PR", "US", True),
    ("US-NY", "US", False),
]


@pytest.mark.parametrize(("asked", "answers", "plan"), PLACES)
def test_a_state_without_a_folder_falls_back_and_says_so(asked, answers, plan):
    """Kansas is federal; Michigan and Puerto Rico run plans that cover private employers, New York not (memory)."""
    law = code_of(jurisdiction=asked)
    assert (law.jurisdiction, law.code, law.state_plan) == (asked, answers, plan)
    assert (law.fallback is not None) is (asked != answers)
    if law.fallback is not None:
        told = fallback_text(law.fallback, "en")
        assert told.startswith(
            f"The law of {find('US').index['subdivisions'][asked]} itself was not read; this is used in its place: United States, federal"
        )
        assert ("plan of its own" in told) is plan


def test_what_is_known_of_a_state_is_said():
    """Where the federal set stands in, a difference that the review came across is told with its citation."""
    parts = find("US").index
    differences = parts["regional_plans"]["differences"]
    assert set(differences) <= set(parts["subdivisions"])
    for code, said in differences.items():
        fallback = code_of(jurisdiction=code).fallback
        if code in known():  # a part with a set of its own speaks for itself
            assert fallback is None
        else:
            assert f"{said['citation']}, {said['basis']}" in fallback_text(fallback, "en")
    assert "R 408.44501(3), read" in fallback_text(code_of(jurisdiction="US-MI").fallback, "en")
    assert "Known of it" not in fallback_text(code_of(jurisdiction="US-PR").fallback, "en")


OWN_SETS = [code for code in known() if "-" in code and find(code).index["kind"] == "law"]


@pytest.mark.parametrize("asked", OWN_SETS)
def test_a_part_with_a_folder_answers_for_itself(asked):
    """A state or a province that has a folder is not stood in for by its country."""
    law = code_of(jurisdiction=asked)
    assert (law.code, law.fallback, law.state_plan) == (asked, None, False)
    assert asked in find(asked.split("-")[0]).index["subdivisions"]


def test_federal_canada_does_not_stand_in_for_a_province():
    """A province without a folder has no set: federal law there reaches federally regulated employers only."""
    with pytest.raises(CodeError, match="no set of law for 'CA-SK', and CA is Canada, federal and does not stand in"):
        code_of(jurisdiction="CA-SK")
    assert len(find("CA").index["subdivisions"]) == 13  # ISO 3166-2:CA, ten provinces, three territories (memory)


def test_paper_and_spelling_follow_the_place():
    """US and Canada print on letter; a state takes sheet and spelling from its parent when it names none (memory)."""
    found = {
        code: (code_of(jurisdiction=code).paper, code_of(jurisdiction=code).spelling)
        for code in known()
        if code.split("-")[0] in ("US", "CA")
    }
    assert {code: said for code, said in found.items() if said != ("letter", code.split("-")[0].lower())} == {}
    assert (code_of(jurisdiction="US-KS").paper, code_of(jurisdiction="US-KS").spelling) == ("letter", "us")


@pytest.mark.parametrize("code", [code for code in known() if code.split("-")[0] == "CA"])
@pytest.mark.parametrize("sector", SECTORS)
def test_nothing_american_is_printed_in_canada(code, sector):
    """No citation, statement, note, wording or mistake of a Canadian set names US law, and no US spelling is used."""
    law = load(code, sector, TODAY)
    words = law.words("en")
    texts = [text for answer in law.answers() for text in (answer.citation, answer.title, answer.says, answer.note)]
    texts += [text for answer in law.answers() for text in (answer.says_plain, answer.starts, answer.written)]
    texts += [words.answer(answer) for answer in law.answers() if not answer.silent]
    assert [text for text in texts if any(mark in text for mark in NOT_US)] == []
    assert re.findall(r"\b(?:center\w*|labor|color|fiber|defense)\b", " ".join(texts)) == []
    assert {source.jurisdiction for source in law.sources()} == {code}


def test_shared_wording_carries_no_law():
    """A province speaks with the federal wording, and answers nothing with federal law."""
    law, federal = code_of(jurisdiction="CA-MB"), code_of(jurisdiction="CA")
    assert not (find("CA-MB").path / "words").exists()
    assert law.words("en").item("guardrail") == federal.words("en").item("guardrail")
    assert law.words("en").limit(law.ask("anchorage_per_user")) == "at least 22.2 kN"
    assert {answer.jurisdiction for answer in law.answers()} == {"CA-MB"}
    assert not federal.ask("plan_required").silent
    assert law.ask("plan_required").citation != federal.ask("plan_required").citation


def test_the_parts_of_the_country_are_those_of_the_standard():
    """ISO 3166-2:US lists 50 states, 1 district, 6 outlying areas (memory); every plan state is among them once."""
    index = find("US").index
    plans = index["regional_plans"]
    assert len(index["subdivisions"]) == 57
    assert set(plans["private"]) | set(plans["public_only"]) <= set(index["subdivisions"])
    assert not set(plans["private"]) & set(plans["public_only"])
    assert (len(plans["private"]), len(plans["public_only"])) == (22, 7)


FAULTS = [  # jurisdiction, sector, what the one message says
    ("ZZ", "general-industry", "no set of law for 'ZZ'; there are .*US"),
    ("ZZ-QQ", "general-industry", "no set of law for 'ZZ-QQ'"),
    ("US-ZZ", "general-industry", "'US-ZZ' is not a part of United States"),
    ("US", "maritime", "US has no sector 'maritime'; it has general-industry, construction"),
]


@pytest.mark.parametrize(("jurisdiction", "sector", "told"), FAULTS)
def test_an_unknown_place_is_told_what_exists(jurisdiction, sector, told):
    """One message says what is wrong and what would be right."""
    with pytest.raises(CodeError, match=told):
        load(jurisdiction, sector, TODAY)


def test_unknown_questions_and_languages():
    """Each is a CodeError that names the nearest or the list."""
    with pytest.raises(CodeError, match="did you mean 'arrest_force_max'"):
        code_of().ask("arrest_force_maximum")
    with pytest.raises(CodeError, match="no wording in 'xx'; it has en"):
        code_of().words("xx")


def test_answers_are_frozen_and_loading_is_shared():
    """An answer cannot be changed, and the same question to the same set gives the same object."""
    answer = code_of().ask("arrest_force_max")
    with pytest.raises(FrozenInstanceError):
        answer.value = 1.0
    assert code_of() is code_of()
    assert code_of().ask("arrest_force_max") is answer


# Words, and the facts on which a question hangs

GENERAL = ("convenience", "authority", "to_be_verified", "memory", "silent", "no_approval", "regional_plan")


@pytest.mark.parametrize(("code", "sector"), SETS)
def test_answers_are_worded_in_every_language(code, sector):
    """Every answer and every general sentence is worded in each language of the set, and no place of a figure stays open."""
    law = load(code, sector, TODAY)
    for language in law.languages:
        words = law.words(language)
        for answer in law.answers():
            if not answer.silent:
                said = words.answer(answer)
                assert said, answer.key
                assert not re.search(r"[{}]|\b[a-z]+_[a-z_]+\b", f"{said} {answer.says_plain.format(said)} {answer.says}"), (
                    answer.key
                )
        for name in GENERAL:
            assert "{" not in words.general(name)


def test_questions_hang_on_facts_that_are_listed():
    """Every fact on which a question hangs is in the vocabulary, and every question that stops issue is needed by some paper."""
    for key in questions():
        named = {fact for group in question(key).when.values() for fact in group}
        assert named <= set(facts()), key
        assert not question(key).stops or key in ever_needed(), key


MATTERS = [  # question, facts of a site, whether it matters there
    ("rescue_duty", set(), True),
    ("arrest_force_max", set(), True),
    ("railcar_securing", set(), False),
    ("railcar_securing", {"railcars"}, True),
    ("railcar_derail", {"railcars"}, False),
    ("railcar_derail", {"railcars", "spur-track"}, True),
    ("truck_securing", {"trucks"}, False),
    ("truck_securing", {"trucks", "industrial-trucks"}, True),
    ("rigid_rail_rule", {"horizontal-lifeline"}, False),
    ("rigid_rail_rule", {"rigid-rail"}, True),
    ("horizontal_lifeline_factor", {"rigid-rail"}, False),
    ("horizontal_lifeline_factor", {"horizontal-lifeline"}, True),
    ("host_contractor_duty", set(), False),
    ("host_contractor_duty", {"contractors"}, True),
    ("plan_content", {"contractors"}, False),
    ("plan_content", {"construction-work"}, True),
    ("rescuer_training", set(), False),
    ("rescuer_training", {"named-rescuers"}, True),
]


@pytest.mark.parametrize(("key", "given", "matters"), MATTERS)
def test_a_question_matters_by_the_facts_of_a_site(key, given, matters):
    """All of the facts of `all` must hold, and one of `any` where there are some."""
    assert question(key).matters(frozenset(given)) is matters


def test_one_of_some_facts_is_enough():
    """`any` asks for one of its facts, and `all` beside it for every one."""
    ask = replace(question("rescue_duty"), when={"all": ("trucks",), "any": ("railcars", "contractors")})
    assert [ask.matters(frozenset(given)) for given in ((), ("trucks",), ("railcars",), ("trucks", "railcars"))] == [
        False, False, False, True,
    ]  # fmt: skip


NEEDED = [  # facts, questions needed, questions not needed
    (set(), {"rescue_duty", "arrest_force_max", "report_fatality_within"}, {"railcar_securing", "host_contractor_duty"}),
    ({"railcars"}, {"railcar_securing"}, {"host_contractor_duty"}),
    ({"contractors"}, {"host_contractor_duty"}, {"railcar_securing"}),
    ({"railcars", "contractors"}, {"railcar_securing", "host_contractor_duty"}, set()),
]


@pytest.mark.parametrize(("given", "asked", "left"), NEEDED)
def test_what_papers_need_hangs_on_facts(given, asked, left):
    """Railcars and contractors bring their questions; what no paper asks is needed nowhere; the order is that of the list."""
    found = needed(frozenset(given))
    assert asked <= set(found)
    assert not left & set(found)
    assert "definition_anchorage" not in needed(frozenset(facts()))
    assert list(found) == [key for key in questions() if key in set(found)]
    assert set(found) <= set(ever_needed()) == set(needed(frozenset(facts())))


@pytest.mark.parametrize(
    "path",
    sorted(p for p in HOME.glob("*/words/*.yaml") if "elements" not in p.parts),
    ids=lambda path: f"{path.parts[-3]}-{path.stem}",
)
def test_words_hold_no_figures_and_no_promises(path):
    """A figure in the wording would travel without its citation; 'shall', 'ensure', 'safe' are no words of ours. Names of standards may stand."""
    text = path.read_text(encoding="utf-8")
    wording = "\n".join(line for line in text.splitlines() if not line.startswith("#"))
    assert re.findall(r"\d[\d.,]*", re.sub(r"\b(?:ANSI|ISO) [A-Z]?\d+", "", wording)) == []
    assert re.findall(r"(?i)\b(?:shall|ensur\w+|guarante\w+|safe|safely|best practice)\b", wording) == []


def test_limits_are_worded_as_the_text_bounds_them():
    """Less than, not more than, at least, or more: by bound and by exactly-at."""
    law, words = code_of(), code_of().words("en")
    assert words.limit(law.ask("user_mass_condition")) == "less than 310 lb (140 kg)"
    assert words.limit(law.ask("arrest_force_max")) == "not more than 1,800 lbf (8 kN)"
    assert words.limit(law.ask("anchorage_per_user")) == "at least 5,000 lbf (22.2 kN)"
    assert words.limit(law.ask("trigger_height")) == "4 ft (1.2 m) or more"
    with pytest.raises(CodeError, match=r"rescue_time_max.*silent"):
        words.answer(law.ask("rescue_time_max"))


# Common mistakes

MISTAKES = table("us_mistakes.yaml")


def test_every_mistake_has_its_sentences():
    """The twenty mistakes of the data are the twenty of the table, and what puts each right can be asked."""
    found = code_of().mistakes()
    assert len(found) == 20
    assert sorted(mistake.id for mistake in found) == sorted(MISTAKES)
    assert [key for mistake in found for key in mistake.see if key not in questions()] == []


OWN_MISTAKES = [
    (name, mistake) for name in sorted(NAMED) for mistake in load(NAMED[name], SECTORS[0], TODAY).mistakes()
    if find(NAMED[name]).file("mistakes.yaml").get(mistake.id)
]  # fmt: skip


@pytest.mark.parametrize(("name", "mistake"), OWN_MISTAKES, ids=[f"{name}-{mistake.id}" for name, mistake in OWN_MISTAKES])
def test_a_mistake_is_found_and_its_neighbour_is_not(name, mistake):
    """Each sentence that makes the mistake is found, each that only comes near it is left alone."""
    sentences = table(f"{name}_mistakes.yaml")[mistake.id]
    wrong, right = sentences["wrong"], sentences["right"]
    assert list(mistake.find("\n\n".join(wrong))) == wrong
    assert mistake.find("\n\n".join(right)) == ()


@pytest.mark.parametrize("mistake", code_of().mistakes(), ids=lambda mistake: mistake.id)
def test_sentences_are_told_apart(mistake):
    """In running text each wrong sentence is found by itself."""
    wrong = MISTAKES[mistake.id]["wrong"]
    assert list(mistake.find(" ".join(wrong))) == wrong


@pytest.mark.parametrize(("code", "sector"), SETS)
def test_our_own_words_make_no_mistake(code, sector):
    """No statement, note or wording of a set makes one of the mistakes that it lists."""
    law = load(code, sector, TODAY)
    texts = [text for answer in law.answers() for text in (answer.says, answer.says_plain, answer.note)]
    for language in law.languages:
        texts += [law.words(language).answer(answer) for answer in law.answers() if not answer.silent]
    found = [(mistake.id, hit) for mistake in law.mistakes() for text in texts for hit in mistake.find(text)]
    assert found == []


# Another jurisdiction, invented, from data alone

INDEX = """\
code: US-QQ
name: Quill
kind: law
extends: US
languages: [en]
units: us
sectors: [general-industry, construction]
authority: the Quill Department of Work
authority_short: QDW
"""
SOURCES = """\
quill-7:
  title: Work at height
  body: Quill Department of Work
  edition: register 7
  url: https://example.org/quill/7
  form: "QAC {section}{paragraph}"
  cite: {section: "7"}
  force: mandatory
  effective: 2024-03-01
  effective_basis: read
  stable: QAC 7
"""
COPIES = """\
register: {grade: official, of: the register of Quill, state: of March 2024, url: "https://example.org/quill/7"}
gazette: {grade: copy, of: a gazette}
"""
LIMITS = """\
trigger_height:
  all:
    2024-03-01: {value: 3 ft, also: 0.9 m, inclusive: false, source: quill-7, at: "(1)", read: {on: 2026-05-01, in: register}}
    2026-01-01: {value: 2 ft, source: quill-7, at: "(1)", read: {on: 2026-05-01, in: gazette, of: quotation}, day_basis: read,
      says: "Whoever may fall this far must be protected.", says_plain: "Nobody may work {} above the ground without protection.",
      amended_by: [{on: 2026-01-01, by: Order 4, what: The height.}]}
    expected:
      2027-01-01: {value: 1 ft, source: quill-7, at: "(1)", read: {on: 2026-05-01, in: register}, announced: 2026-04-01}
inspection_periodic_interval:
  construction:
    2024-03-01: {value: 6 months, source: quill-7, at: {section: "8", paragraph: "(2)"}, recalled: true}
free_fall_longer:
  all:
    2024-03-01: {silent: true, recalled: true, fallback: none, note: "Not printed, as far as remembered."}
arrest_force_max:
  all:
    2024-03-01: {silent: true, looked: 2026-06-01, looked_in: [quill-7], fallback: manufacturer, note: "Not printed."}
"""
RULES = """\
rescue_duty:
  all:
    2024-03-01: {source: quill-7, at: "(3)", read: {on: 2026-05-01, in: register, of: summary, paragraph: recalled},
      says: "Who sends a person up must be able to bring them down.", says_plain: "Who sends a person up must bring them down."}
report_fatality_within:
  all:
    2024-03-01: {value: at once, source: quill-7, at: "(4)", read: {on: 2026-05-01, in: register}, starts: the employer learns of it,
      written: within 2 days, says: "The employer must report a death.", says_plain: "The employer must report a death {}."}
"""
WORDS = """\
general:
  no_approval: "{authority_short} approves nothing; protection begins at {trigger_height:limit}."
limits:
  threshold-inside: "{} or higher"
"""


def build(root: Path, **changed: str) -> Path:
    own = {"index": INDEX, "sources": SOURCES, "copies": COPIES, "limits": LIMITS, "rules": RULES, "words/en": WORDS}
    files = own | changed
    for name, text in files.items():
        path = root / "quill" / f"{name}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


def test_a_new_jurisdiction_needs_no_python(tmp_path):
    """A folder answers what it takes up, inherits the rest with its citation, and may be silent against its parent."""
    law = load("US-QQ", "construction", date(2026, 11, 25), [build(tmp_path)])
    assert (law.code, law.fallback, law.state_plan, law.unanswered()) == ("US-QQ", None, False, ())
    own = law.ask("inspection_periodic_interval")
    assert (own.state, own.value.months, own.citation, own.jurisdiction) == ("answered", 6, "QAC 8(2)", "US-QQ")
    taken = law.ask("free_fall_max")
    assert (taken.state, taken.citation, taken.jurisdiction) == ("inherited", "29 CFR 1926.502(d)(16)(iii)", "US")
    silent = law.ask("arrest_force_max")
    assert (silent.state, silent.fallback, silent.looked_in) == ("silent", "manufacturer", ("QAC 7",))
    assert (silent.looked, silent.looked_on, silent.unread) == (True, date(2026, 6, 1), False)
    recalled = law.ask("free_fall_longer")
    assert (recalled.state, recalled.looked, recalled.looked_on, recalled.unread) == ("silent", False, None, True)


READINGS = [  # question, day, grade, copy, state, what was seen, paragraph read, unread
    ("trigger_height", date(2025, 1, 1), "official", "the register of Quill", "of March 2024", "words", True),
    ("trigger_height", date(2026, 1, 1), "copy", "a gazette", "", "quotation", True),
    (
        "rescue_duty",
        TODAY,
        "secondary",
        "the register of Quill",
        "of March 2024",
        "summary",
        False,
    ),  # never better than secondary
]


@pytest.mark.parametrize(("key", "on", "grade", "copy", "state", "seen", "paragraph"), READINGS)
def test_an_answer_says_how_it_was_read(tmp_path, key, on, grade, copy, state, seen, paragraph):
    """The day, whose copy, in which state, how much of the words; a summary is secondary on the publisher's own page too."""
    answer = load("US-QQ", "construction", TODAY, [build(tmp_path)]).ask(key, on=on)
    read = answer.read
    assert (answer.grade, read.grade, read.copy, read.state, read.of, read.paragraph) == (
        grade,
        grade,
        copy,
        state,
        seen,
        paragraph,
    )
    assert (read.on, answer.basis, answer.unread, answer.stable) == (date(2026, 5, 1), "read", False, "QAC 7")


def test_what_is_recalled_says_so(tmp_path):
    """An answer from memory has no reading and no day on which it was read."""
    answer = load("US-QQ", "construction", TODAY, [build(tmp_path)]).ask("inspection_periodic_interval")
    assert (answer.basis, answer.read, answer.grade, answer.unread) == ("memory", None, "memory", True)


def test_amendments_and_clocks_are_handed_out(tmp_path):
    """What changed a paragraph, and what starts the clock of a report and when its written form is due."""
    law = load("US-QQ", "construction", TODAY, [build(tmp_path)])
    assert law.ask("trigger_height").amended_by == (Amendment(date(2026, 1, 1), "Order 4", "The height."),)
    assert law.ask("trigger_height").says_plain == "Nobody may work {} above the ground without protection."
    clock = law.ask("report_fatality_within")
    assert (clock.kind, clock.value, clock.text, clock.figure) == ("clock", "at once", "at once", None)
    assert (clock.starts, clock.written) == ("the employer learns of it", "within 2 days")


CLOCKS = [  # as written, whether it is a time of a report
    ("at once", True), ("as soon as possible", True), ("8 h", True), ("1 day", True), ("10 days", True), ("10 working days", True),
    ("1 working day", True), ("0 h", False), ("8 hours", False), ("8h", False), ("8", False), ("eight h", False), ("promptly", False),
    ("2 weeks", False), ("1.5 h", False), ("", False),
]  # fmt: skip


@pytest.mark.parametrize(("text", "right"), CLOCKS)
def test_a_clock_has_one_of_few_forms(tmp_path, text, right):
    """Words of the law or a figure in hours, days or working days; else one message that says what would be right."""
    root = build(tmp_path, rules=RULES.replace("value: at once", f'value: "{text}"'))
    law = load("US-QQ", "construction", TODAY, [root])
    if right:
        assert law.ask("report_fatality_within").value == text
    else:
        told = rf"quill/rules.yaml report_fatality_within: '{re.escape(text)}' is no time of a report; write 'at once' or"
        with pytest.raises(CodeError, match=told):
            law.ask("report_fatality_within")


DAYS = [  # day, text, state, citation, exactly-at inside
    (date(2024, 2, 29), "6 ft (1.8 m)", "inherited", "29 CFR 1926.501(b)(1)", True),
    (date(2024, 3, 1), "3 ft (0.9 m)", "answered", "QAC 7(1)", False),
    (date(2025, 12, 31), "3 ft (0.9 m)", "answered", "QAC 7(1)", False),
    (date(2026, 1, 1), "2 ft", "answered", "QAC 7(1)", True),
    (date(2027, 6, 1), "2 ft", "answered", "QAC 7(1)", True),
]


@pytest.mark.parametrize(("on", "text", "state", "citation", "inside"), DAYS)
def test_the_day_decides_and_an_announced_change_does_not(tmp_path, on, text, state, citation, inside):
    """The last entry whose day has come answers; before the first the parent does; an expected change never answers."""
    answer = load("US-QQ", "construction", on, [build(tmp_path)]).ask("trigger_height")
    assert (answer.text, answer.state, answer.citation, answer.inclusive) == (text, state, citation, inside)
    coming = [(each.effective, each.text, each.citation, each.announced) for each in answer.expected]
    announced = [(date(2027, 1, 1), "1 ft", "QAC 7(1)", date(2026, 4, 1))]
    assert coming == (announced if state == "answered" else [])


def test_words_are_inherited_and_overridden(tmp_path):
    """A child words its own sentences and limits, and speaks with the parent's words otherwise."""
    law = load("US-QQ", "general-industry", TODAY, [build(tmp_path)])
    words = law.words("en")
    assert words.general("no_approval") == "QDW approves nothing; protection begins at 2 ft or higher."
    assert words.limit(law.ask("free_fall_max")) == "not more than 6 ft (1.8 m)"
    assert words.item("guardrail") == code_of().words("en").item("guardrail")
    assert {source.jurisdiction for source in law.sources()} == {"US", "US-QQ"}
    assert len(law.mistakes()) == 20


BROKEN = [  # file, what is put in place of what, what the message says
    ("limits", "2 ft, source", "2, source", r"quill/limits.yaml trigger_height: 2 has no unit"),
    ("limits", "2 ft, source", "2 lb, source", r"quill/limits.yaml trigger_height: .* a length is wanted"),
    ("limits", "2026-01-01:", "2026-02-30:", r"quill/limits.yaml:4:5: '2026-02-30' cannot be read: day is out of range"),
    ("limits", "2026-01-01:", "2024-03-01:", r"quill/limits.yaml:4:5: the key '2024-03-01' stands twice \(first in line 3\)"),
    (
        "limits",
        "arrest_force_max",
        "trigger_height",
        r"quill/limits.yaml:15:1: the key 'trigger_height' stands twice \(first in line 1\)",
    ),
    ("limits", "2 ft, source: quill-7", "2 ft, source: quill-9", r"quill/sources.yaml has no source 'quill-9'"),
    ("limits", ", day_basis: read", "", r"2026-01-01 is not the day of quill-7; add day_basis"),
    (
        "limits",
        "in: gazette",
        "in: a-friend",
        r"limits.yaml trigger_height: .* 2026-01-01 was read in 'a-friend', which quill/copies.yaml",
    ),
    ("limits", ", recalled: true}", "}", r"quill/limits.yaml:11:17: .*: 2024-03-01: the key 'read' is missing"),
    (
        "rules",
        'bring them down."}',
        'bring them down {}."}',
        r"quill/rules.yaml rescue_duty: says_plain .* has none; write the sentence out",
    ),
    (
        "limits",
        "2 ft, source: quill-7",
        "2 ft",
        r"quill/limits.yaml:4:17: trigger_height: all: 2026-01-01: the key 'source' is missing",
    ),
    ("sources", 'cite: {section: "7"}', 'cite: {part: "7"}', r"a citation of quill-7 lacks the part 'section'"),
    ("index", "code: US-QQ", "name: Q", r"quill/index.yaml:1 must begin with the jurisdiction"),
    ("index", "extends: US", "extends: XX", r"quill/index.yaml extends XX, which has no folder; there are .*US"),
    ("index", "extends: US", "extends: US-QQ", r"quill/index.yaml extends US-QQ, which extends it in turn"),
]
WHOLE = {"limits": LIMITS, "rules": RULES, "sources": SOURCES, "index": INDEX}


def asked_of(law: LawAlone) -> list:
    """What the invented set answers, one question of each kind of fault."""
    return [law.ask(key) for key in ("trigger_height", "inspection_periodic_interval", "rescue_duty")]


@pytest.mark.parametrize(("name", "old", "new", "told"), BROKEN)
def test_a_fault_in_the_data_is_one_message(tmp_path, name, old, new, told):
    """Faults in a folder are errors that name file and place, and never a traceback of something else."""
    assert old in WHOLE[name]
    root = build(tmp_path, **{name: WHOLE[name].replace(old, new)})
    with pytest.raises((CodeError, DataError), match=told):
        asked_of(load("US-QQ", "construction", TODAY, [root]))


def test_paper_that_nobody_names_is_one_message(tmp_path):
    """A set that extends nothing must name its sheet and its spelling itself; one that extends takes its parent's."""
    root = build(tmp_path)
    assert load("US-QQ", "construction", TODAY, [root]).paper == "letter"
    alone = load("US-QQ", "construction", TODAY, [build(tmp_path / "own", index=INDEX.replace("extends: US\n", ""))])
    with pytest.raises(CodeError, match=r"quill/index.yaml names no paper; add 'paper:' and one of letter, a4"):
        alone.paper  # noqa: B018
    with pytest.raises(CodeError, match=r"quill/index.yaml names no spelling; add 'spelling:' and one of us, ca, gb"):
        alone.spelling  # noqa: B018


def test_a_child_may_say_that_nobody_looked(tmp_path):
    """Then the parent's law does not answer, the state is silent, and the usual fallback is the question's first."""
    root = build(tmp_path, not_looked='note: "Not covered."\nquestions:\n  construction: [free_fall_max]\n')
    answer = load("US-QQ", "construction", TODAY, [root]).ask("free_fall_max")
    assert (answer.state, answer.looked, answer.fallback, answer.note) == ("silent", False, "standard", "Not covered.")
    assert load("US-QQ", "general-industry", TODAY, [root]).ask("free_fall_max").state == "inherited"


def test_a_later_question_breaks_no_older_set():
    """An optional question that a set does not take up counts as not looked at, and is no gap."""
    answer = code_of().ask("anchorage_working_load")
    assert (answer.state, answer.looked, answer.fallback) == ("silent", False, "engineer")
    assert "anchorage_working_load" not in code_of().unanswered()


def test_a_gap_is_not_silence(tmp_path):
    """A set that extends nothing and leaves a question open is told so, question by question."""
    root = build(tmp_path, index=INDEX.replace("extends: US", "extends: null"))
    law = load("US-QQ", "general-industry", TODAY, [root])
    assert "free_fall_max" in law.unanswered()
    assert "inspection_periodic_interval" in law.unanswered()
    with pytest.raises(CodeError, match="leaves it unanswered; answer it, enter it as silent"):
        law.ask("free_fall_max")


def test_what_held_before_the_first_day_recorded_was_not_looked_at(tmp_path):
    """A paper written for an earlier day finds the question unread; a standard that is not yet in force is a fault."""
    root = build(tmp_path, index=INDEX.replace("extends: US", "extends: null"))
    early = load("US-QQ", "general-industry", TODAY, [root]).ask("trigger_height", on=date(2020, 1, 1))
    assert (early.state, early.looked, early.unread) == ("silent", False, True)
    with pytest.raises(CodeError, match="was not in force"):
        load("Z359.14-2021", "general-industry", TODAY).ask("arrest_force_max", on=date(2020, 1, 1))


# How far the law is known


def test_every_place_is_counted_once_a_sector():
    """Each needed question is answered, inherited, advised by an authority, silent or unread; grades count what is answered, recalled or not."""
    found = list(counted(TODAY))
    assert [(count.code, count.sector) for count in found] == [(code, sector) for code in known() for sector in SECTORS]
    for count in found:
        assert (count.needed, sum(count.states.values()), count.told) == (len(ever_needed()), len(ever_needed()), ""), count.code
        assert set(count.states) <= {"answered", "inherited", "advised", "silent", "unread"}
        assert set(count.grades) <= {"official", "publisher", "copy", "secondary", "memory"}
        law = load(count.code, count.sector, TODAY)
        answers = [law.ask(key) for key in ever_needed()]
        of_law = count.kind == "law"
        assert count.states["unread"] == sum(answer.law_unread if of_law else answer.unread for answer in answers)
        assert count.states["advised"] == (sum(answer.advised and not answer.unread for answer in answers) if of_law else 0)
        assert count.beside == (sum(answer.beside and answer.law_unread for answer in answers) if of_law else 0)
        assert sum(count.grades.values()) == sum(not answer.silent for answer in answers)
        assert count.grades["memory"] <= count.states["unread"]


def test_before_the_law_recorded_of_a_place_all_is_unread():
    """Before the first day recorded nothing is answered, and nothing is told as a fault."""
    early = {(count.code, count.sector): count for count in counted(date(1960, 1, 1))}
    gap = early["GB", "general-industry"]
    assert (dict(gap.states), gap.told) == ({"unread": len(ever_needed())}, "")


def due_of(code: str) -> Iterator[Due]:
    return (due for due in due_for_reading(TODAY) if due.code == code)


def test_what_nobody_read_is_due_first_and_then_the_oldest():
    """Never read first, then by the day of reading; a silence counts with the day on which the text was searched."""
    days = [due.read for due in due_for_reading(TODAY)]
    assert None in days
    assert days == sorted(days, key=lambda day: day or date.min)
    for due in due_for_reading(TODAY):
        answer = load(due.code, due.sectors[0], TODAY).ask(due.key)
        assert due.read == (answer.read.on if answer.read else answer.looked_on)
        assert (due.read is None) is (due.grade == "memory")


def test_what_holds_in_both_sectors_is_due_once():
    """One line for both sectors where they have the same answer, and two where not; nothing inherited and nothing unlooked is due."""
    found = {(due.key, due.sectors): due for due in due_of("US")}
    assert ("report_fatality_within", SECTORS) in found
    assert {sectors for key, sectors in found if key == "arrest_force_max"} == {(sector,) for sector in SECTORS}
    inherited = [a.key for a in code_of(jurisdiction="US-OR").answers() if a.state == "inherited"]
    assert inherited
    assert not {(key, "general-industry") for key in inherited} & {
        (d.key, sector) for d in due_of("US-OR") for sector in d.sectors
    }
    assert "anchorage_working_load" not in {due.key for due in due_of("US")}  # nobody looked


@pytest.mark.parametrize(("read", "amended", "expected", "later"), [
    (date(2026, 11, 26), (), (), False),
    (date(2026, 11, 26), (date(2026, 11, 25),), (), False),
    (date(2026, 11, 26), (date(2026, 11, 26),), (), False),  # read in the state of that day
    (date(2026, 11, 26), (date(2019, 12, 17), date(2026, 11, 27)), (), True),
    (date(2026, 11, 26), (), (date(2027, 1, 1),), True),
    (None, (date(2019, 12, 17),), (), True),
    (None, (), (), False),
])  # fmt: skip
def test_an_amendment_after_the_reading_is_later(read, amended, expected, later):
    """What took effect after the text was read, or is to, makes it due whatever its place in the order."""
    changes = tuple(Amendment(day, "an order", "") for day in amended)
    assert Due("US-QQ", "trigger_height", SECTORS, "QAC 7(1)", "copy", read, changes, expected).later is later


# Answers of law in the profile

COUNSEL = {
    "citation": "Section 4",
    "force": "mandatory",
    "by": "A. Petrie, counsel",
    "on": "2026-10-20",
    "text": "The text says so.",
}
GIVEN = [  # a question that the set leaves silent or unread, value as written, the value, the text printed
    ("inspection_periodic_interval", "6 months", "6 months", "6 months"),
    ("report_dangerous_occurrence", None, "The text says so.", "The text says so."),
    ("rescue_written", "yes", True, "yes"),
    ("rescue_written", "no", False, "no"),
]
STRICTER = [  # a question that was read, a stricter figure, its value, and what the set prints
    ("arrest_force_max", "6 kN", 6000.0, "1,800 lbf (8 kN)"),
    ("anchorage_factor", "3", 3.0, "2"),
    ("free_fall_max", "4 ft", 1.2192, "6 ft (1.8 m)"),
]
SAME = [  # a question that was read, and the very answer that was read
    ("arrest_force_max", "1800 lbf"),
    ("users_per_lifeline_max", "1"),
    ("harness_attachment", "dorsal; presternal"),
    ("inspection_before_use", "each-workshift"),
    ("report_fatality_within", "8 h"),
    ("no_contact", "yes"),
]


def with_answer(key: str, value: str | None, **more: str):
    """The clean demo, with one answer of counsel."""
    said = {} if value is None else {"value": value, "text": f"The text says {value}."}
    given = COUNSEL | {"question": key} | said | more
    return with_changes(demo("harrow-ridge"), {"codes.answers": [given]})


@pytest.mark.parametrize(("key", "written", "value", "text"), GIVEN, ids=lambda each: str(each))
def test_an_answer_of_the_profile_stands_before_the_set(key, written, value, text):
    """It is taken in the form that the question asks for, binds the site, and says who read it, when and in which copy."""
    law = with_answer(key, written, copy="A print of 2026").code
    answer = law.ask(key)
    assert (answer.value.text if isinstance(answer.value, Interval) else answer.value, answer.text) == (value, text)
    assert (answer.state, answer.citation, answer.force, answer.given_by) == (
        "answered",
        "Section 4",
        "mandatory",
        "A. Petrie, counsel",
    )
    assert (answer.grade, answer.unread, answer.read.on, answer.read.copy) == (
        "given",
        False,
        date(2026, 10, 20),
        "A print of 2026",
    )
    other = "free_fall_max"
    assert law.ask(other) == code_of().ask(other)
    assert code_of().ask(key).given_by == ""  # the set itself is as it was


@pytest.mark.parametrize(("key", "written", "value", "own"), STRICTER)
def test_a_stricter_figure_stands_beside_what_was_read(key, written, value, own):
    """The set's own sentence and figure stay; the stricter figure binds, and says by whom it was read."""
    checked = with_answer(key, written, copy="A print of 2026")
    code, binding = checked.code, checked.assessed.binding
    assert [f for f in checked.assessed.findings if f.name == "law-answer-unusable"] == []
    assert code.ask(key) == code_of().ask(key)
    assert code.ask(key).text == own
    governs = binding.strictest(key)
    assert (governs.whose, governs.text, governs.id) == ("read-by", written, "A. Petrie, counsel")
    assert binding.figure(key) == pytest.approx(value)
    assert key in {ruling.key for ruling in checked.assessed.rulings}


def test_the_papers_print_the_sentence_of_the_set_and_the_stricter_figure_beside_it():
    """Whatever the text of the answer says, the duty that was read is printed as it was read."""
    made = all_markdown(with_answer("free_fall_max", "4 ft", copy="A print of 2026"))
    plain = {name: text.replace("\u00a0", " ") for name, text in made.items()}
    own = code_of().ask("free_fall_max")
    law_row = next(
        row for row in plain["legal-file"].splitlines() if own.citation in row and own.says.partition("{")[0][:40] in row
    )
    assert "Stricter: not more than 4 ft (Section 4; as read by A. Petrie, counsel)." in law_row
    assert not any("The text says 4 ft" in text for text in plain.values())
    ruling = next(row for row in plain["legal-file"].splitlines() if "the law as read by a named person: 4 ft (Section 4)" in row)
    assert "| 4 ft (Section 4) |" in ruling


@pytest.mark.parametrize(("key", "written"), SAME)
def test_the_same_answer_changes_nothing(key, written):
    """Who reads what the set read adds nothing and takes nothing away: figure, sentence and reading are the set's."""
    checked = with_answer(key, written, copy="A print of 2026")
    assert [f for f in checked.assessed.findings if f.name == "law-answer-unusable"] == []
    assert checked.code.ask(key) == code_of().ask(key)
    assert checked.assessed.binding.ask(key) == code_of().ask(key)


REVERSED = [  # question, value, a text that takes the duty away; the figure of the law is kept
    ("anchorage_per_user", "5000 lbf", "An anchorage need not support 5000 lbf."),
    ("anchorage_per_user", "5000 lbf", "No anchorage is required to support 5000 lbf."),
    ("arrest_force_max", "1800 lbf", "Any figure will do, 1800 lbf for one."),
    ("free_fall_max", "6 ft", "Nobody has to keep the free fall to 6 ft."),
    ("rescue_duty", None, "The employer owes a person who hangs nothing."),
    ("training_before_exposure", None, "Training is optional."),
    ("report_dangerous_occurrence", None, "An arrested fall need not be reported."),
    ("criteria_section", None, "No rule applies."),
]


@pytest.mark.parametrize(("key", "value", "text"), REVERSED)
def test_a_text_that_takes_a_duty_away_is_refused(key, value, text):
    """On what the papers rest on no answer of a profile says that nothing is owed, whoever gives it."""
    checked = with_answer(key, value, text=text, copy="A print of 2026")
    assert [f.path for f in checked.assessed.findings if f.name == "law-answer-unusable"] == ["codes.answers[0].text"]
    assert checked.code.ask(key) == code_of().ask(key)
    assert not any(text.rstrip(".") in made for made in all_markdown(checked).values())


OF_DUTIES = [law for code in known() for law in [load(code, "general-industry", TODAY)] if law.kind == "law"]


def test_no_duty_that_was_read_is_taken_for_its_contrary():
    """The words that the screen refuses stand in no binding sentence of any set on what the papers rest on."""
    for law in OF_DUTIES:
        for key in questions():
            answer = law.ask(key)
            if question(key).stops and answer.binding:
                assert [p.pattern for p in negations() if p.search(answer.says)] == [], (law.code, key, answer.says)


def test_only_counsel_the_qualified_person_or_a_reviewer_answers_what_the_papers_rest_on():
    """Another holder of a role may look up the rest, not these."""
    site = demo("harrow-ridge").site
    trusted = {h.name for r in site.roles if {"counsel", "qualified-person"} & set(r.part) for h in r.holders} | {
        r.name for r in site.reviewers
    }
    other = next(h.name for r in site.roles for h in r.holders if h.name not in trusted)
    checked = with_answer("report_dangerous_occurrence", None, by=other, copy="A print of 2026")
    (fault,) = [f for f in checked.assessed.findings if f.name == "law-answer-unusable"]
    assert fault.path == "codes.answers[0].by"
    assert "only counsel, a qualified person or a reviewer of the profile" in finding_text(fault, "message", "en", "us")
    assert with_answer("report_scene", None, by=other).code.ask("report_scene").given_by == other


OUTER = [  # place, question, the outermost figure, one beyond it
    ("US-NE", "trigger_height_vehicles", "10 ft", "10.1 ft"),
    ("US-NE", "rescue_time_max", "60 min", "61 min"),
    ("CA-ON", "anchorage_factor", "2", "1.9"),
    ("NZ", "anchorage_per_user", "10 kN", "9.9 kN"),
]


@pytest.mark.parametrize(("place", "key", "last", "beyond"), OUTER)
def test_where_no_law_was_read_a_figure_has_an_outer_bound(place, key, last, beyond):
    """A figure that would loosen the site's own rules without end is refused; exactly at the bound it is taken."""
    for value, taken in ((last, True), (beyond, False)):
        given = COUNSEL | {"question": key, "value": value, "text": f"The text says {value}.", "copy": "A print of 2026"}
        checked = with_changes(demo("harrow-ridge"), {"codes.answers": [given], "site.jurisdiction": place})
        faults = [f.values["detail"].key for f in checked.assessed.findings if f.name == "law-answer-unusable"]
        assert (faults == []) is taken, (value, faults)
        assert faults in ([], ["answer-outer"])


ADVISED = [  # question in Great Britain or Quebec that an authority advises on; value, force; whether it is taken
    ("GB", "inspection_periodic_interval", "12 months", "mandatory", "looser"),
    ("GB", "inspection_periodic_interval", "3 months", "guidance", None),
    ("GB", "inspection_periodic_interval", "6 months", "mandatory", None),
    ("CA-QC", "rescue_time_max", "30 min", "mandatory", "looser"),
    ("CA-QC", "rescue_duty", None, "guidance", "other"),
    ("CA-QC", "rescue_duty", None, "mandatory", None),
]


@pytest.mark.parametrize(("place", "key", "value", "force", "fault"), ADVISED)
def test_against_the_advice_of_an_authority_an_answer_is_never_looser(place, key, value, force, fault):
    """It may be stricter or binding; what no authority says is no measure."""
    text = "The employer must bring a person down at once." if value is None else f"The text says {value}."
    said = (
        COUNSEL
        | {"question": key, "force": force, "text": text, "copy": "A print of 2026"}
        | ({} if value is None else {"value": value})
    )
    checked = with_changes(demo("harrow-ridge"), {"codes.answers": [said], "site.jurisdiction": place})
    found = [f.values["detail"].key for f in checked.assessed.findings if f.name == "law-answer-unusable"]
    assert found == ([] if fault is None else [f"answer-{fault}"])


WRONG = [  # question, value, the field that is wrong
    ("arrest_force_max", "6 ft", "codes.answers[0].value"),
    ("arrest_force_max", None, "codes.answers[0]"),
    ("self_rescue_alternative", "perhaps", "codes.answers[0].value"),
    ("inspection_before_use", "each-month", "codes.answers[0].value"),
    ("report_fatality_within", "promptly", "codes.answers[0].value"),
    ("arrest_force_maximum", "6 kN", "codes.answers[0].question"),
]


@pytest.mark.parametrize(("key", "value", "path"), WRONG)
def test_an_answer_that_cannot_be_taken_is_found_and_the_set_answers(key, value, path):
    """It is a finding at its place and stops issue; what the set says stands as if nothing had been entered."""
    checked = with_answer(key, value)
    assert [(f.path, f.stops) for f in checked.assessed.findings if f.name == "law-answer-unusable"] == [(path, "issue")]
    if key in questions():
        assert checked.code.ask(key) == code_of().ask(key)


def test_check_tells_an_answer_that_cannot_be_taken(tmp_path):
    """`docgen check` on a changed demo names the finding at its place."""
    shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")
    profile = tmp_path / "site" / "profile.yaml"
    given = "{question: free_fall_max, text: It is limited., value: 8 kN, citation: Section 4, force: mandatory, by: Q. Abel, on: 2026-10-20}"
    text, count = re.subn(r"(?m)^codes:\n", f"codes:\n  answers:\n    - {given}\n", profile.read_text(encoding="utf-8"))
    assert count == 1
    profile.write_text(text, encoding="utf-8")
    _, out, _ = run("check", str(tmp_path / "site"), "--format", "json", "--as-of", AS_OF.isoformat())
    found = [f for f in json.loads(out)["findings"] if f["name"] == "law-answer-unusable"]
    line = next(n for n, row in enumerate(text.splitlines(), 1) if "question: free_fall_max" in row)
    assert [(f["path"], f["line"], f["severity"]) for f in found] == [("codes.answers[0].value", line, "must-fix")]


def test_an_answer_of_the_profile_is_printed_as_read_by_a_person():
    """Beside its citation stands who read it, and the legal file has day and copy."""
    checked = with_answer(
        "report_dangerous_occurrence", None, text="An arrested fall must be reported the same day.", copy="A print of 2026"
    )
    made = {name: text.replace("\u00a0", " ") for name, text in all_markdown(checked).items()}
    assert (
        "An arrested fall must be reported the same day (Section 4; as read by A. Petrie, counsel)."
        in made["fall-protection-plan"]
    )
    assert "An arrested fall must be reported" not in made["rescue-procedure"]
    assert "A. Petrie, counsel" in made["legal-file"]
    assert "A print of 2026" in made["legal-file"]
    assert "2026-10-20" in made["legal-file"]


def test_a_clause_that_prints_an_answer_of_the_profile_rests_on_it():
    """Its inputs name the entry, whether it stands in the place of the set's answer or beside it: so an approval can say what lapsed it."""
    stricter = COUNSEL | {
        "question": "rescue_time_max",
        "value": "5 min",
        "text": "The text says 5 min.",
        "copy": "A print of 2026",
    }
    given = COUNSEL | {"question": "report_dangerous_occurrence", "copy": "A print of 2026"}
    checked = with_changes(demo("harrow-ridge"), {"codes.answers": [given, stricter]})
    bodies = all_bodies(checked.site, checked.code, checked.assessed)
    clauses = [c for versions in bodies.values() for body in versions.values() for c in body.clauses]
    found = [c for c in clauses if "as read by A. Petrie" in c.text]
    assert found
    for clause in found:
        assert any(path.startswith("codes.answers[") for path, _ in clause.inputs), clause.id


def test_the_legal_file_says_whose_a_source_is_and_what_may_be_met_instead():
    """The register marks each federal source of a state with its own plan; an answer that may be met by another says by which."""
    of_state = legal_file(demo("madrone-flat")).markdown
    register = [line for line in of_state[of_state.index("## Citation register") :].split("\n") if line.startswith("| 29 CFR")]
    assert register
    assert all("; federal |" in line for line in register if "; mandatory" in line)
    assert not any("; federal |" in line for line in register if "; guidance" in line)
    assert "The text lets 29 CFR 1910.140(c)(13)(ii) be met instead." in legal_file(demo("harrow-ridge")).markdown


# What a reader refuted: place, sector, question -> what is true of the answer
REFUTED = [
    ("IE", "general-industry", "report_scene", lambda a: a.unread),
    ("NZ", "general-industry", "no_retaliation", lambda a: a.unread and a.silent),
    ("NZ", "general-industry", "training_refresher_interval", lambda a: a.unread and a.silent),
    ("NZ", "general-industry", "plan_required", lambda a: a.unread),
    ("NZ", "general-industry", "criteria_section", lambda a: a.law_unread and a.beside),
    ("NZ", "general-industry", "arrest_force_max", lambda a: a.law_unread and a.beside),
    ("NZ", "general-industry", "free_fall_max", lambda a: a.law_unread and a.grade == "publisher"),
    ("NZ", "general-industry", "harness_attachment", lambda a: a.law_unread and a.grade == "publisher"),
    ("NZ", "general-industry", "anchorage_per_user", lambda a: a.law_unread and a.grade == "publisher"),
    ("NZ", "general-industry", "truck_securing", lambda a: a.law_unread and a.grade == "publisher"),
    ("CA-MB", "general-industry", "after_impact", lambda a: a.law_unread and a.grade == "publisher"),
    ("CA-MB", "general-industry", "inspection_periodic_interval", lambda a: a.law_unread and a.grade == "publisher"),
    ("US-WA", "general-industry", "vehicle_tops_position", lambda a: a.law_unread and "DOSH" not in a.body),
    ("AU", "general-industry", "free_fall_max", lambda a: a.beside and not a.law_unread and a.looked_in),
    ("GB", "general-industry", "inspection_periodic_interval", lambda a: a.advised and not a.law_unread),
    ("CA-QC", "general-industry", "rescue_time_max", lambda a: a.advised and not a.law_unread),
    (
        "CA-ON",
        "general-industry",
        "host_contractor_duty",
        lambda a: "s. 25(2)(h) with s. 1(1)" in a.citation and a.read.of == "summary",
    ),
    ("GB", "general-industry", "report_dangerous_occurrence", lambda a: "collapse, overturning or failure" in a.says_plain),
    ("AU-NSW", "general-industry", "rescue_duty", lambda a: a.limits and not a.binding),
    (
        "US",
        "general-industry",
        "trigger_height",
        lambda a: [(e.effective, e.citation) for e in a.expected] == [(None, "91 FR 17165")],
    ),
    ("NZ", "general-industry", "trigger_height", lambda a: [e.effective for e in a.expected] == [None]),
]


@pytest.mark.parametrize(("place", "sector", "key", "holds"), REFUTED, ids=lambda each: each if isinstance(each, str) else "")
def test_what_was_refuted_is_mended(place, sector, key, holds):
    """Unread law is told so, advice is none, a model binds nobody by itself, and what is announced is not in force."""
    answer = load(place, sector, READ).ask(key)
    assert holds(answer), (answer.state, answer.force, answer.grade, answer.citation)
