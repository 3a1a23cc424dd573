"""Records as files: one declaration each, strict reading, formats and digests that say which they are, refusals that have words.

Outside checks: the JSON Schemas by the jsonschema library; the frozen site of 0.1.0, whose files nobody touches.
"""

import ast
import dataclasses
import json
import re
import shutil
import string
from datetime import date
from pathlib import Path
from typing import get_args, get_type_hints

import pytest
import yaml
from control_site import FIRST, approve, new_site, refused
from jsonschema import Draft202012Validator, FormatChecker
from record_schemas import stale
from support import ROOT, SITES

import docgen
from docgen.cli import command_line, main
from docgen.commands.outcome import INSTEAD
from docgen.compose.digest import DIGEST_FORMAT
from docgen.compose.frame import frame_for, holds
from docgen.compose.standing import approval_of, standing
from docgen.control.changes import BESIDE, compare, current, issued_state
from docgen.control.digests import Differs
from docgen.control.kinds import Due, table
from docgen.control.say import clause_names, lapse_text
from docgen.control.sealed import Broken
from docgen.control.tell import as_text
from docgen.errors import RecordError, Refusal, Word
from docgen.filing import as_bytes, from_bytes, json_schema, kind_of
from docgen.pipeline import check_site, compared_site
from docgen.records import (
    RECORD_FILES,
    Approval,
    Clause,
    Counts,
    Digests,
    Issued,
    IssuedText,
    IssuedTexts,
    Records,
    Text,
    Withdrawal,
    read_records,
)
from docgen.resources import schema_text
from docgen.site import KEY_OF_FIELD, Site, slots_of
from docgen.words import languages, refusal_text, refusal_words

PACKAGE = Path(docgen.__file__).parent
FROZEN = Path(__file__).parent / "frozen" / "harrow-ridge-0.1.0"
HEX = "0123456789abcdef" * 4
CLAUSE = Clause("plan.a", "Stop.\n", (("bays[B1].name", "Bay"), ("limits.upper.value", "310 lb")), ("law:x",), "stop", HEX)
TEXT = Text("plan", "en", HEX, HEX, (CLAUSE,))
MADE = (
    Approval(
        site="s", id="A-0001", document="plan", role="counsel", by="A. Petrie", on=FIRST, scope=("document",), licence="L-1",
        jurisdiction="US-NE", expires=date(2027, 1, 1), entered_by=None, evidence=f"evidence/{HEX[:16]}.pdf", evidence_sha256=HEX,
        note="ä \"quoted\"", program="0.1.0", what="A record.", profile_sha256=HEX, digest_format=2, texts=(TEXT,),
        delegate_of="B. Lee", before={"issued/rev-001/record.json": HEX}, signed_with=f"SHA256:{'a' * 43}",
    ),
    Issued(
        site="s", site_name="S", number=None, revision=2, on=FIRST, issued_by=None, reason="First issue", supersedes=1, program="0.1.0",
        jurisdiction="US-NE", digest_format=2, digests=Digests(HEX, {"site_profile": HEX}, HEX, HEX), findings=Counts(0, 1, 2),
        approvals=("A-0001",), texts=(IssuedText("plan", "en", "Plan", HEX, ("documents/plan.md",), None),), files={"check.json": HEX},
    ),
    IssuedTexts((TEXT,)),
    Withdrawal(
        site="s", id="W-0001", what="revision", name="rev-002", by="A. Petrie", on=FIRST, reason="Wrong day", places=("GATE-1",), program="0.1.0",
        before={"approvals/A-0001.json": HEX},
    ),
)  # fmt: skip
BY_NAME = [(name, next(m for m in MADE if type(m) is cls)) for name, (cls, _, _) in RECORD_FILES.items()]


# one declaration


def test_every_record_is_tried():
    """Each kind of record file has an example here."""
    assert {type(m) for m in MADE} == {cls for cls, _, _ in RECORD_FILES.values()}


def test_schemas_are_not_stale():
    """The schema files are what the declaration gives; `tests/record_schemas.py --write` writes them."""
    assert stale() == []


@pytest.mark.parametrize(("name", "record"), BY_NAME, ids=[n for n, _ in BY_NAME])
def test_written_and_read(name, record):
    """What is written is valid under the schema, and reading it gives the same record."""
    data = as_bytes(record)
    Draft202012Validator.check_schema(json.loads(schema_text(name)))
    validator = Draft202012Validator(json.loads(schema_text(name)), format_checker=FormatChecker())
    assert [e.message for e in validator.iter_errors(json.loads(data))] == []
    assert from_bytes(type(record), data, "x.json") == record


def places(data, at=()):
    """Every place in a JSON value."""
    yield at
    for key, inner in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        yield from places(inner, (*at, key))


def put(data, at, change):
    """A copy with one place changed; `change` gets the holder and the last step."""
    data = json.loads(json.dumps(data))
    inner = data
    for step in at[:-1]:
        inner = inner[step]
    change(inner, at[-1])
    return data


def outcome_of(cls, data):
    """The record, or the error."""
    try:
        return from_bytes(cls, data, "x.json")
    except RecordError as error:
        return error


@pytest.mark.parametrize(("name", "record"), BY_NAME, ids=[n for n, _ in BY_NAME])
def test_reader_and_schema_refuse_the_same(name, record):
    """One place after the other is removed, exchanged for another type, or joined by an unknown key: reader and schema agree on each."""
    right = json.loads(as_bytes(record))
    validator = Draft202012Validator(json.loads(schema_text(name)), format_checker=FormatChecker())
    tried = wrong = 0
    for at in [p for p in places(right) if p]:
        for value in (None, 7, "", "x", [], {}, True, "drop", "more"):

            def change(holder, step, value=value):
                if value == "drop":
                    del holder[step]
                elif value == "more" and isinstance(holder, dict):
                    holder["unknown key"] = "x"
                else:
                    holder[step] = value

            data = put(right, at, change)
            outcome = outcome_of(type(record), json.dumps(data).encode())
            assert (not isinstance(outcome, RecordError)) == validator.is_valid(data), (at, value, outcome)
            if isinstance(outcome, RecordError):
                assert "x.json" in refusal_text(outcome, "en")
                wrong += 1
            tried += 1
    assert wrong > tried / 2


@pytest.mark.parametrize(("data", "name"), [
    (b"{", "record-damaged"), (b"\xff", "record-damaged"), (b"[]", "record-no-object"), (b"{}", "record-key-missing"),
    (b'{"schema_version": 1}', "record-of-another-format"), (b'{"schema_version": true}', "record-value-kind"),
    (b'{"schema_version": 2, "texts": [], "texts": []}', "record-damaged"), (b"[" * 100_000, "record-damaged"),
])  # fmt: skip
def test_damage(data, name):
    """A file that is no record is one error by name, whatever stands in it."""
    with pytest.raises(RecordError) as seen:
        from_bytes(IssuedTexts, data, "clauses.json")
    assert seen.value.name == name


def test_a_stale_schema_is_seen():
    """A field more in the declaration gives another schema."""
    more = dataclasses.make_dataclass("More", [("note", str)], bases=(IssuedTexts,))
    assert json_schema(more, "t", "w") != json_schema(IssuedTexts, "t", "w")


# formats


@pytest.mark.parametrize("what", ["approvals", "issued"])
def test_records_of_0_1_0_say_which_format_they_are(what, tmp_path, capsys):
    """The frozen site of 0.1.0: its approvals and its revisions are each one message with both formats and what to do."""
    site = tmp_path / "site"
    shutil.copytree(FROZEN, site)
    shutil.copy(SITES / "harrow-ridge" / "profile.yaml", site)  # the one of that day is another format too, and is told first
    shutil.rmtree(site / ({"approvals", "issued"} - {what}).pop())
    file = site / {"approvals": "approvals/A-0001.json", "issued": "issued/rev-001/record.json"}[what]
    with pytest.raises(RecordError) as seen:
        read_records(site, "harrow-ridge")
    assert (seen.value.name, seen.value.values) == ("record-of-another-format", {"file": str(file), "found": 1, "due": 2})
    for command in (["check", str(site), "--as-of", "2026-11-20"], ["issue", str(site), "--on", "2026-11-20"]):
        assert main(command) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert f"{file}: made by another version of this program: format 1; this program reads format 2." in said.err


# digests of another form


@pytest.fixture(scope="module")
def approved(tmp_path_factory):
    """A site with one approval of the notice, its texts, and records as if the notice had been issued with it."""
    site = new_site(tmp_path_factory.mktemp("approved"))
    approve(site, FIRST, document="contractor-notice", role="counsel", by="A. Petrie")
    checked, bodies = compared_site(check_site(site, FIRST))
    body = bodies["contractor-notice"]["en"]
    issued = dataclasses.replace(
        MADE[1], revision=1, supersedes=None, texts=(IssuedText(body.document, "en", "Notice", body.digest, ("documents/n.md",)),)
    )
    return checked, bodies, dataclasses.replace(checked.records, issued=(issued,))


def older(record):
    return dataclasses.replace(record, digest_format=DIGEST_FORMAT - 1)


def test_an_approval_digested_in_another_way_says_so(approved):
    """It lapses once, as a change of the way of digesting, and names no clause as changed."""
    _, bodies, records = approved
    texts = bodies["contractor-notice"]
    (approval,) = records.approvals
    assert approval.digest_format == DIGEST_FORMAT
    assert standing(approval, texts).stands
    (lapse,) = standing(older(approval), texts).lapses
    assert (lapse.what, lapse.clause, lapse.inputs) == ("method", "", ())
    assert "the way digests are made changed" in lapse_text(lapse, "en")
    assert "the way digests are made changed" in clause_names([lapse], "en")
    found = approval_of("contractor-notice", "counsel", "en", texts, dataclasses.replace(records, approvals=(older(approval),)))
    assert found is not None
    assert not found.stands


def test_a_revision_digested_in_another_way_says_so(approved):
    """The paper is not in force as written, and says that this cannot be told, not that the text differs."""
    checked, bodies, records = approved
    texts = {name: versions["en"] for name, versions in bodies.items()}
    (issued,) = records.issued
    assert holds(issued, texts["contractor-notice"])
    assert not holds(older(issued), texts["contractor-notice"])
    past = dataclasses.replace(records, issued=(older(issued),), approvals=tuple(older(a) for a in records.approvals))
    frame = frame_for("contractor-notice", "en", checked.site, checked.assessed, texts, past)
    assert frame.state == "for-approval"
    assert any("digests are made in another way since" in r for r in frame.reasons)
    assert not any("differs from it and has not been issued" in r for r in frame.reasons)
    assert any("A-0001" in r and "the way digests are made changed" in r for r in frame.reasons)


def test_states_digested_in_two_ways_are_compared_by_words(approved):
    """Inputs of another form are not held against each other; the report says so first."""
    checked, bodies, records = approved
    new = current(checked.source, checked.site, checked.happened, bodies, records, (), ())
    moved = {
        d: {lang: Text(t.document, t.language, t.digest, t.headings, tuple(
            dataclasses.replace(c, inputs=tuple((p, f"{v}!") for p, v in c.inputs)) for c in t.clauses)) for lang, t in versions.items()}
        for d, versions in bodies.items()
    }  # fmt: skip
    old = dataclasses.replace(new, texts=moved)
    assert {c.how for c in compare(old, new, FIRST).clauses} == {"input"}
    changes = compare(older(old), new, FIRST)
    assert changes.clauses == ()
    assert not changes.comparable
    assert "The way digests are made has changed" in as_text(changes, "en").splitlines()[1]


# profiles of another form


def test_a_profile_of_another_form_is_told(tmp_path):
    """A revision whose profile this program does not read: one refusal that names file, revision and program, nothing guessed."""
    folder = tmp_path / "issued" / "rev-001"
    folder.mkdir(parents=True)
    shutil.copy(FROZEN / "profile.yaml", folder)
    (folder / "check.json").write_text('{"findings": [], "bays": []}', encoding="utf-8")
    (folder / "clauses.json").write_bytes(as_bytes(IssuedTexts((TEXT,))))
    records = Records(tmp_path, issued=(dataclasses.replace(MADE[1], revision=1),))
    with refused(
        RecordError, r"rev-001/profile\.yaml: this program does not read the profile of revision 1 any more .*version 0\.1\.0"
    ):
        issued_state(records, 1)
    (folder / "profile.yaml").write_text("a: [", encoding="utf-8")
    with refused(RecordError, "the record is damaged"):
        issued_state(records, 1)
    text = (SITES / "harrow-ridge" / "profile.yaml").read_text(encoding="utf-8")
    (folder / "profile.yaml").write_text(text.replace("people:\n", "folk:\n", 1), encoding="utf-8")
    with refused(RecordError, "does not read the profile of revision 1 any more .*unknown key 'folk'"):
        issued_state(records, 1)
    (folder / "profile.yaml").write_text(text, encoding="utf-8")
    assert issued_state(records, 1).site.people.users
    (folder / "check.json").write_text('{"findings": [{"name": "x"}]}', encoding="utf-8")
    with refused(RecordError, r"check\.json: the record is damaged"):
        issued_state(records, 1)


# the table of consequences against the profile


def leaves(cls=Site, path=""):
    """Every path of a leaf that a profile can have, list items as [x]."""
    for slot in slots_of(cls):
        at = f"{path}.{KEY_OF_FIELD.get(slot.key, slot.key)}".lstrip(".") + ("[x]" if slot.many and slot.what == "record" else "")
        if slot.what == "record":
            yield from leaves(slot.arg, at)
        else:
            yield at


def branches(pattern: str) -> list[str]:
    """A pattern taken apart at its alternatives: `a\\.(b|c)` is `a\\.b` and `a\\.c`."""
    depth, start = 0, -1
    skip = False
    for index, sign in enumerate(pattern):
        if skip or sign == "\\":
            skip = not skip and sign == "\\"
            continue
        if sign == "(":
            depth += 1
            start = index if depth == 1 else start
        elif sign == ")":
            depth -= 1
            if depth == 0:
                inner = split_at_bars(pattern[start + 1 : index])
                return [b for piece in inner for b in branches(pattern[:start] + piece + pattern[index + 1 :])]
    return [pattern]


def split_at_bars(text: str) -> list[str]:
    pieces, depth = [""], 0
    for sign in text:
        depth += (sign == "(") - (sign == ")")
        if sign == "|" and depth == 0:
            pieces.append("")
        else:
            pieces[-1] += sign
    return pieces


def test_patterns_are_taken_apart():
    """Alternatives inside alternatives give one pattern each; brackets that group nothing stay."""
    assert branches(r"a\.(b|c\.(d|e))\.f") == [r"a\.b\.f", r"a\.c\.d\.f", r"a\.c\.e\.f"]
    assert branches(r"x\[[^]]+\]\..*") == [r"x\[[^]]+\]\..*"]


@pytest.mark.parametrize("kind", table(), ids=lambda k: k.name)
def test_the_table_speaks_of_fields_that_there_are(kind):
    """Every alternative of every pattern meets a field that a profile can have, and values and kinds of part are those of its schema."""
    known = list(leaves())
    schemas = [json.loads(schema_text(name)) for name in ("site_profile", "site_log")]
    enums = {str(v).lower() for node in every(schemas) if isinstance(node, dict) for v in node.get("enum", ())} | {
        "true",
        "false",
    }
    for rule in kind.seen:
        for pattern in (rule.path, rule.not_):
            for branch in branches(pattern) if pattern else ():
                beside = branch.partition("\\.")[0] in {b.partition(".")[0] for b in BESIDE}
                assert beside or any(re.fullmatch(branch, path) for path in known), branch
        assert {*rule.value, *rule.part} <= enums, rule


def every(data):
    yield data
    for inner in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from every(inner)


def test_the_table_is_said_in_every_language():
    """Each sentence of the table stands in every language that has words, and each deadline has one time."""
    for kind in table():
        said = [kind.title, *(d.part for d in kind.documents), *(x.how for x in kind.tell), *(d.what for d in kind.by)]
        assert all(set(s) == set(languages()) for s in said), kind.name
        times = [[getattr(d, f.name) for f in dataclasses.fields(Due) if f.name != "what"] for d in kind.by]
        assert all(sum(v is not None for v in row) == 1 for row in times), kind.name


# refusals and their words


def sources():
    return [
        (p, ast.parse(p.read_text(encoding="utf-8")))
        for p in sorted(PACKAGE.rglob("*.py"))
        if "data" not in p.relative_to(PACKAGE).parts
    ]


def docstrings(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                yield first.value


def strings(tree):
    """Every text in the code but docstrings."""
    told = {id(d) for d in docstrings(tree)}
    return [n for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in told]


def test_only_the_command_line_speaks_of_flags_and_commands():
    """No text outside the commands has a flag or a command of docgen in it."""
    commands = next(a for a in command_line()._actions if a.choices and "check" in a.choices).choices
    spoken = re.compile(rf"(?<![-\w])(?<!var\()--[a-z]|\bdocgen (?:{'|'.join(commands)})\b")
    assert [bool(spoken.search(x)) for x in ("give --by", "see docgen check", "install docgen again")] == [True, True, False]
    found = [
        f"{p.relative_to(PACKAGE)}:{n.lineno} {n.value}" for p, tree in sources() if p.name != "cli.py" and p.parent.name != "commands" for n in strings(tree)
        if spoken.search(n.value) and n.value not in {what for _, _, what in RECORD_FILES.values()}
    ]  # fmt: skip
    assert found == []


def raised():
    """(place, name, keywords) of every refusal in the code."""
    for path, tree in sources():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            called = (
                node.func.id
                if isinstance(node.func, ast.Name)
                else node.func.attr
                if isinstance(node.func, ast.Attribute)
                else ""
            )
            if called in ("Refusal", "RecordError", "_Wrong") and node.args and isinstance(node.args[0], ast.Constant):
                keys = {k.arg for k in node.keywords} | ({"file", "key"} if called == "_Wrong" else set())
                yield f"{path.relative_to(PACKAGE)}:{node.lineno}", node.args[0].value, keys


@pytest.mark.parametrize("language", languages())
def test_every_refusal_has_its_sentence(language):
    """Each name that the code raises has a sentence in every language, its values fill it, and no sentence is left over."""
    path = ROOT / "templates" / "words" / "refusals" / f"{language}.yaml"
    sentences = yaml.safe_load(path.read_text(encoding="utf-8"))["sentences"]
    used = set()
    for place, name, keys in raised():
        assert name in sentences, place
        wanted = {field for _, field, _, _ in string.Formatter().parse(sentences[name]) if field}
        assert wanted <= keys, place
        used.add(name)
    used |= {
        "nothing-to-issue",
        "nothing-to-issue-of-these",
        "scan-which-place",
        "scan-without-place",
        *SHEETS,
    }  # one of two each, by a variable
    assert set(sentences) == used
    assert set(INSTEAD) <= used


#: What a workbook may hold and is not taken for, each given by a variable.
HELD = {"a-control", "a-data-source", "a-macro", "an-object"}
#: Refusals of tables that were filled in, each given by a variable.
SHEETS = {
    "sheet-other-piece", "sheet-row-without-id", "sheet-row-twice", "sheet-tells-weight", "sheet-row-of-no-kind", "sheet-id-of-another-site",
    "sheet-row-of-another-site", "sheet-not-of-row", "sheet-other-kind", "sheet-no-role", "sheet-holder-without-name",
}  # fmt: skip


def test_every_word_of_a_refusal_is_there():
    """Each key that stands for a word: written out in the code, or one of a closed list."""
    kinds = {kind_of(v) for v in (True, "", 1, 0.5, [], {}, None)} | {"day"}
    hows = {how for cls in (Differs, Broken) for how in get_args(get_type_hints(cls)["how"])}
    written = {
        n.args[0].value for _, tree in sources() for n in ast.walk(tree)
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id == "Word" and isinstance(n.args[0], ast.Constant)
    }  # fmt: skip
    for language in languages():
        assert (
            set(refusal_words(language))
            == kinds | hows | written | {"older-file", "newer-file", "jurisdiction", "expires"} | HELD
        )


def test_refusals_are_values():
    """Equal by kind, name and values; without words they still say what they know."""
    assert Refusal("a", n=1) == Refusal("a", n=1) != Refusal("a", n=2)
    assert Refusal("a", n=1) != RecordError("a", n=1)
    assert str(Refusal("role-unknown", role="x", known=("a", "b"))) == "role-unknown (role: x; known: ('a', 'b'))"
    said = refusal_text(Refusal("licence-incomplete", missing=Word("expires")), "en")
    assert said == "a licence needs its place and its last day as well; missing is its last day"


def test_control_takes_the_language():
    """No module of control, nor the room above it, has a language written into it; the command line has it once."""
    for path, tree in sources():
        inside = path.parent.name in ("control", "commands") or path.name in ("revisions.py", "cli.py")
        fixed = [n for n in strings(tree) if n.value in languages()] if inside else []
        assert len(fixed) == (path == PACKAGE / "commands" / "outcome.py"), path
