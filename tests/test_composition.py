"""Compositions share nothing: not between sites, not between documents, not between a body and its frame."""

import ast
import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from xml.etree.ElementTree import tostring

import pytest
from jinja2 import nodes
from support import AS_OF, ROOT, demo

from docgen.compose import all_bodies, compose_all
from docgen.compose.assembly import compose_body, compose_document
from docgen.compose.composition import Composition
from docgen.compose.contexts import BodyContext
from docgen.compose.environment import Collector, TracingSandbox
from docgen.compose.library import Library
from docgen.compose.parsed import respell
from docgen.compose.pieces import Frame
from docgen.errors import TemplateError
from docgen.papers import outline
from docgen.site import walk
from docgen.words import spelled

EIGHT = (
    "harrow-ridge", "pellan-creek", "cormorant-quay", "sable-point", "thornmere", "wattle-bend", "ballinroe", "madrone-flat",
)  # fmt: skip
DOCUMENTS = ("contractor-notice", "fall-protection-plan", "rescue-procedure", "engineering-record")
PLAN = "fall-protection-plan"


def composed(checked, name):
    """One document of one site, body and frame, and everything that comes out of it."""
    body = compose_body(name, "en", checked.site, checked.code, checked.assessed)
    frame = Frame("draft", "DRAFT", (checked.site.site.name,), "no revision", (), {PLAN: body.digest})
    document = compose_document(body, frame, checked.site, checked.code, checked.assessed, AS_OF)
    return body.markdown, body.clauses, body.digest, document.markdown, tostring(document.tree)


# --- sites ------------------------------------------------------------------------------------------------------------------


def test_eight_sites_in_eight_threads():
    """200 compositions of eight sites at once are byte for byte what each site gives alone."""
    sites = [demo(name) for name in EIGHT]
    alone = [{name: composed(checked, name) for name in DOCUMENTS} for checked in sites]
    rounds = [DOCUMENTS[n % len(DOCUMENTS)] for n in range(25)]
    interval = sys.getswitchinterval()
    sys.setswitchinterval(5e-4)
    try:
        with ThreadPoolExecutor(len(sites)) as pool:
            made = list(pool.map(lambda checked: [composed(checked, name) for name in rounds], sites))
    finally:
        sys.setswitchinterval(interval)
    assert sum(map(len, made)) == 200
    for site, expected, found in zip(EIGHT, alone, made, strict=True):
        for name, result in zip(rounds, found, strict=True):
            assert result == expected[name], f"{name} of {site}"


TELLING = (
    "id",
    "name",
    "legal_name",
    "address",
    "holder",
    "phone",
    "number",
    "serial",
    "agency",
    "route",
    "location_words",
    "title",
)


def marks_of(checked):
    """What tells one client from another: names, addresses, telephone and serial numbers, ids."""
    found = set()
    for path, value in walk(checked.site):
        if isinstance(value, str) and path.rsplit(".", 1)[-1] in TELLING and len(value) > 1:
            found.add(" ".join(value.split()))
    return found


def words_of_ours():
    """All text that is the same for every client."""
    paths = [*(ROOT / "templates").rglob("*.md"), *(ROOT / "templates").rglob("*.yaml"), *(ROOT / "docgen").rglob("*.yaml")]
    return "\n".join(path.read_text(encoding="utf-8") for path in paths).lower()


def stands_in(mark, text):
    low = mark.lower()
    return low in text and re.search(rf"(?<![\w-]){re.escape(low)}(?![\w-])", text) is not None


@pytest.mark.parametrize("pair", [("harrow-ridge", "pellan-creek"), ("cormorant-quay", "thornmere")], ids="+".join)
def test_nothing_of_another_client(pair):
    """Two clients composed in turn and again at once: neither's documents name what only the other has."""
    sites = {name: demo(name) for name in pair}

    def papers(name):
        checked = sites[name]
        return [
            d.markdown for d, _ in compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("md", "html"))
        ]

    made = {name: papers(name) for name in (*pair, pair[0])}
    with ThreadPoolExecutor(2) as pool:
        for name, more in zip(pair, pool.map(papers, pair), strict=True):
            assert more == made[name]
    ours = words_of_ours()
    for name, other in (pair, pair[::-1]):
        theirs = sites[other].source.text.lower()
        mine = sites[name].source.text.lower()
        only = {mark for mark in marks_of(sites[other]) if not stands_in(mark, mine) and not stands_in(mark, ours)}
        text = re.sub(r"\\(.)", r"\1", "\n".join(made[name])).replace("\u00a0", " ").replace("\u2011", "-").lower()
        own = re.sub(r"\\(.)", r"\1", "\n".join(made[other])).replace("\u00a0", " ").replace("\u2011", "-").lower()
        assert sum(1 for mark in only if stands_in(mark, own)) > 25, "the marks must be of a kind that documents print"
        assert [mark for mark in sorted(only) if stands_in(mark, text)] == []
        assert theirs != mine


# --- body and frame ---------------------------------------------------------------------------------------------------------


def section(folder: Path, text: str, stem: str = "scope") -> tuple[Path, ...]:
    """A folder of a user's with one section of the plan in it."""
    (folder / "fall-protection-plan" / "en").mkdir(parents=True, exist_ok=True)
    (folder / "fall-protection-plan" / "en" / f"{stem}.md").write_text(text, encoding="utf-8")
    return (folder,)


LATER = {
    "frame.stamp": "'frame' is undefined; a body is composed without it",
    "body.digest": "'body' is undefined; a body is composed without it",
    "assessed.as_of": "'assessed' is undefined; a body is composed without it",
    "as_of": "'as_of' is undefined; a body is composed without it",
    "findings": "'findings' is undefined; a body is composed without it",
    "numbers.as_of": "has no attribute 'as_of'",
    "numbers.findings": "has no attribute 'findings'",
    "numbers.accepted": "has no attribute 'accepted'",
    "law.on": "has no attribute 'on'",
    "code.on": "'code' is undefined",
}


@pytest.mark.parametrize("name", LATER)
def test_a_body_sees_no_frame(tmp_path, name):
    """A section of a body that reads what belongs to the frame is refused, also after documents of others were composed."""
    own = section(tmp_path, f"## Scope {{: #scope }}\n\n{{% clause 'place' %}}\nHere {{{{ {name} }}}}.\n{{% endclause %}}\n")
    other, checked = demo("sable-point"), demo("harrow-ridge")
    for _ in range(2):
        compose_all(other.site, other.code, other.assessed, other.happened, ("md",), wanted=(PLAN,))
        with pytest.raises(TemplateError, match=re.escape("fall-protection-plan/en/scope.md: ") + ".*" + re.escape(LATER[name])):
            all_bodies(checked.site, checked.code, checked.assessed, own, (PLAN,))


FRESH = """
import sys
sys.path.insert(0, {tests!r})
from pathlib import Path
from support import demo
from docgen.compose import all_bodies
checked = demo("harrow-ridge")
all_bodies(checked.site, checked.code, checked.assessed, (Path({folder!r}),), ("fall-protection-plan",))
"""


def test_a_body_sees_no_frame_in_a_fresh_process(tmp_path):
    """The same where nothing was composed before."""
    section(tmp_path, "{% clause 'place' %}\nHere {{ frame.stamp }}.\n{% endclause %}\n")
    code = FRESH.format(tests=str(ROOT / "tests"), folder=str(tmp_path))
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False
    )
    assert "TemplateError: fall-protection-plan/en/scope.md: 'frame' is undefined" in done.stderr


def test_a_frame_has_no_clauses(tmp_path):
    """A clause in the frame would be approved by nobody."""
    own = section(tmp_path, "{% clause 'x' %}\nHere.\n{% endclause %}\n", "review")
    checked = demo("sable-point")
    with pytest.raises(TemplateError, match="the clause 'x' stands in a frame"):
        compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("md",), own, wanted=(PLAN,))


OUTSIDE = [
    "Nobody dies.",
    "People climb here at {{ site.site.name }}.",
    "| A | B |\n| --- | --- |\n| 1 | 2 |",
    "- {{ site.vehicles[0].deck|near }}",
]


@pytest.mark.parametrize("text", OUTSIDE)
def test_text_outside_a_clause_is_an_error(tmp_path, text):
    """What no digest covers is not printed by a body: a sentence, a field, a table or a list between heading and clause."""
    own = section(tmp_path, f"## Scope {{: #scope }}\n\n{text}\n\n{{% clause 'rule' %}}\nThe rule.\n{{% endclause %}}\n")
    checked = demo("harrow-ridge")
    with pytest.raises(
        TemplateError, match=r"fall-protection-plan/en/scope\.md: '.*' stands outside a clause of the body; put it into one"
    ):
        compose_body(PLAN, "en", checked.site, checked.code, checked.assessed, own)


def test_a_title_that_is_missing_is_named():
    """A language for which an index gives no title ends in a message with the file."""
    with pytest.raises(TemplateError, match=r"fall-protection-plan/index\.yaml gives no title in 'es'; it gives one in: en"):
        outline("fall-protection-plan").title_in("es")


def test_a_section_of_headings_alone_is_left_out(tmp_path):
    """Where no clause of a section says anything its heading goes too; a clause beside a heading keeps it."""
    checked = demo("sable-point")

    def plan(text):
        own = section(tmp_path, text)
        return compose_body(PLAN, "en", checked.site, checked.code, checked.assessed, own).markdown

    assert "## Nothing" not in plan(
        "## Nothing {: #nothing }\n\n{% clause 'x' %}\n{% if false %}\nNo.\n{% endif %}\n{% endclause %}\n"
    )
    assert "## Something" in plan("## Something {: #something }\n\n{% clause 'x' %}\nYes.\n{% endclause %}\n")


# --- what a clause rests on -------------------------------------------------------------------------------------------------


def functions():
    """Names of the functions that read the site."""
    checked = demo("sable-point")
    context = BodyContext.of(PLAN, "en", checked.site, checked.code, checked.assessed)
    plain = {"blank", "flag", "term", *context.names()}
    return sorted(name for name, value in Composition(context).names.items() if callable(value) and name not in plain)


@pytest.mark.parametrize("name", functions())
def test_a_call_outside_a_clause_is_an_error(tmp_path, name):
    """A function that reads the site is refused outside a clause, with template and function named."""
    own = section(tmp_path, f"{{% set x = {name}() %}}\n")
    checked = demo("sable-point")
    told = rf"^fall-protection-plan/en/scope\.md: {name}\(\) reads the site and is called outside a clause; call it inside one$"
    with pytest.raises(TemplateError, match=told):
        compose_body(PLAN, "en", checked.site, checked.code, checked.assessed, own)


OUTSIDE = {
    "{% set n = site.site.name %}§{{ n }}": "'n' is a value set outside a clause and used inside one",
    "{% set q = site.limits.upper.value %}§{{ q|need }}": "'q' is a value set outside a clause",
    "{% set n = site.bays|length %}§{{ n }}": r"scope\.md:1: 'n' is worked out outside a clause and used inside one",
    "{% set up = site.tasks|selectattr('alternatives')|list %}§{{ up|length }}": "'up' is worked out outside a clause",
    "{% set n = 'x' if site.bays else 'y' %}§{{ n }}": "'n' is worked out outside a clause",
    "{% set n %}{{ site.site.name }}{% endset %}§{{ n }}": "'n' is worked out outside a clause",
    "{% set a, b = site.site.name, site.site.id %}§{{ a }}": "is worked out outside a clause",
    "{% with n = site.site.name %}§{{ n }}§{% endwith %}": "'n' is worked out outside a clause",
    "{% for n in site.tasks|map(attribute='name') %}§{{ n }}§{% endfor %}": "'n' is a value set outside a clause",
    "{% for bay in site.bays %}§{{ loop.index }}: {{ bay.name }}§{% endfor %}": "the loop that stands around it",
    "{% if site.bays %}{% set n = site.site.name %}{% endif %}§{{ n }}": "'n' is a value set outside a clause",
    "{% set n = site.site.name %}§{% for n in site.bays %}{{ n.name }}{% endfor %}{{ n }}": "'n' is a value set outside a clause",
    "{% set n = site.site.name %}§{% if site.vehicles %}{% set n = site.site.id %}{% endif %}{{ n }}": "'n' is a value set outside",
    "{% set n = site.site.name %}{% macro told() %}{{ n }}{% endmacro %}§{{ told() }}": "'n' is a value set outside a clause",
    "{% from 'parts/en/own.md' import n with context %}§{{ n }}": r"scope\.md:3: 'n' is imported and used in a clause as a value",
    "{% import 'parts/en/own.md' as own with context %}§{{ own.n }}": "'own' is imported and used in a clause as a value",
    "{% from 'parts/en/own.md' import n with context %}{% set m = n %}§{{ m }}": "'m' is a value set outside a clause",
    "{% set n = site.site.name %}{% include 'parts/en/clause.md' %}§Nothing of it.": "'n' is a value set outside a clause",
    "{% set n = site.bays|length %}§{% include 'parts/en/own.md' %}": "'n' is worked out outside a clause",
    "{% macro told(n) %}§{{ n }}§{% endmacro %}{{ told(site.site.name) }}": "a clause may not stand in a macro or a call",
    "{% macro told() %}{% set n = site.site.name %}§{{ n }}§{% endmacro %}{{ told() }}": "a clause may not stand in a macro or a call",
    "{% macro told() %}{{ caller(site.site.name) }}{% endmacro %}{% call(n) told() %}§{{ n }}§{% endcall %}": "in a macro or a call",
}
PARTS = {
    "own": "{% set n = site.site.name %}{% macro told(bay) %}{{ bay.name }}{% endmacro %}",
    "clause": "{% clause 'y' %}\nSays {{ n }}.\n{% endclause %}\n",
}
INSIDE = (
    "{% set c = site.contractors %}§{{ c.check_in or 'none' }}",
    "{% set gate = site.role('gate') %}§{{ gate.title if gate else 'none' }}",
    "{% set n = site.site.name %}§Nothing of it.",
    "{% for bay in site.bays if bay.name %}§{{ bay.name }}{% for t in site.tasks %}{{ loop.index }}{% endfor %}§{% endfor %}",
    "§{% set n = site.bays|length %}{{ n }}",
    "§{% for n in site.tasks|map(attribute='name') %}{{ n }} {% endfor %}",
    "{% from 'parts/en/own.md' import told with context %}§{{ told(site.bays[0]) }}",
    "{% import 'parts/en/own.md' as own with context %}§{{ own.told(site.bays[0]) }}",
)


def clause_between(text):
    """`before § inside § after` as a section with one clause."""
    before, inside, after = [*text.split("§"), ""][:3]
    key = "'x', bay" if "bay in site.bays" in before else "'x', n" if "{% for" in before else "'x'"
    return f"{before}\n{{% clause {key} %}}\nSays {inside}\n{{% endclause %}}\n{after}\n"


def with_parts(folder, text):
    """The section as `section` writes it, beside the files that it may import or include."""
    (folder / "parts" / "en").mkdir(parents=True)
    for name, part in PARTS.items():
        (folder / "parts" / "en" / f"{name}.md").write_text(part, encoding="utf-8")
    return section(folder, clause_between(text))


@pytest.mark.parametrize("text", OUTSIDE)
def test_what_a_clause_says_is_read_inside_it(tmp_path, text):
    """A value that is made outside a clause and used inside one is refused: it would be in no trace."""
    checked = demo("harrow-ridge")
    with pytest.raises(TemplateError, match=OUTSIDE[text]):
        compose_body(PLAN, "en", checked.site, checked.code, checked.assessed, with_parts(tmp_path, text))


@pytest.mark.parametrize("text", INSIDE)
def test_walking_to_a_record_outside_is_allowed(tmp_path, text):
    """Records may be named and looped over outside a clause; conditions there decide which clauses there are."""
    checked = demo("harrow-ridge")
    own = with_parts(tmp_path, text)
    body = compose_body(PLAN, "en", checked.site, checked.code, checked.assessed, own)
    assert any(clause.id.startswith(f"{PLAN}.x") for clause in body.clauses)


def test_a_function_is_traced_by_what_it_reads():
    """Each field that a function read while a clause was written is an input of the clause, as if the template had read it."""
    checked = demo("harrow-ridge")
    bodies = all_bodies(checked.site, checked.code, checked.assessed)
    inputs = {c.id: dict(c.inputs) for by in bodies.values() for c in by["en"].clauses}
    assert any(path.endswith(".hang_high") for path in inputs["rescue-procedure.heights"])
    assert any(path.endswith(".may_climb") for path in inputs["contractor-notice.conditions"])
    assert any(path.endswith((".underside.by", ".underside.on")) for path in inputs["engineering-record.inputs"])
    assert inputs["rescue-procedure.trained"]["site.jurisdiction"] == "US-NE"


# --- spelling ---------------------------------------------------------------------------------------------------------------


def sandbox(own_filters=None):
    return TracingSandbox(Collector("plan", str), Library("gb"), own_filters or {})


def tree_of(source):
    tree = sandbox().parse(source)
    respell(tree, lambda text: spelled(text, "en", "gb"))
    return tree


def test_names_and_comparisons_are_not_respelled():
    """The case of the reviewers: between two texts that are compared stands a name, and a text compared is no text printed."""
    tree = tree_of("{% if a == 'gray center' and bay.center == 'y' %}Center line{% endif %}")
    assert [n.attr for n in tree.find_all(nodes.Getattr)] == ["center"]
    assert {n.value for n in tree.find_all(nodes.Const)} == {"gray center", "y"}
    assert [n.data for n in tree.find_all(nodes.TemplateData)] == ["Centre line"]


@pytest.mark.parametrize(("source", "texts"), [
    ("{{ blank('license number of the center') }}", ["licence number of the centre"]),
    ("{{ 'gray color' if bay['the color'] else 'license' }}", ["grey colour", "the color", "license"]),
    ("{{ a ~ ': from the center line' }}", [": from the centre line"]),
    ("{% set x = 'the gray center' %}", ["the grey centre"]),
    ("{{ items|selectattr('kind', 'equalto', 'gray color')|list }}", ["kind", "equalto", "gray color"]),
    ("{{ {'the color': 'a gray color'}[k] }}", ["the color", "a grey colour"]),
    ("{{ x is contains('gray color') }}", ["gray color"]),
    ("{% clause 'the center' %}The center.{% endclause %}", ["the center"]),
    ("{% from 'parts/en/the center.md' import role %}", ["parts/en/the center.md"]),
])  # fmt: skip
def test_what_is_respelled_in_expressions(source, texts):
    """Texts of several words that may be printed are respelled; keys, comparisons, choices and files are not."""
    found = [n.value for n in tree_of(source).find_all(nodes.Const) if isinstance(n.value, str)]
    assert sorted(found) == sorted(texts)


def test_text_of_the_profile_is_not_respelled(tmp_path):
    """A British site's own words stand as written, ours beside them in the spelling of the country, and so is a template that stands in the place of ours."""
    from test_documents import with_changes

    changed = with_changes(
        demo("thornmere"), {"emergency.location_words": "Ask at the color center", "site.name": "Gray Harbor Center"}
    )
    bodies = all_bodies(changed.site, changed.code, changed.assessed)
    text = "\n".join(by["en"].markdown for by in bodies.values())
    assert "Ask at the color center" in text
    assert "Gray Harbor Center" in text
    assert "vehicle centre line" in text
    own = section(tmp_path, "{% clause 'x' %}\nThe gray center line.\n{% endclause %}\n")
    body = compose_body(PLAN, "en", changed.site, changed.code, changed.assessed, own)
    assert "The grey centre line." in body.markdown


# --- what is kept -----------------------------------------------------------------------------------------------------------


def test_compiled_templates_hold_no_words_of_a_composition(tmp_path):
    """The same compiled template prints the words of whoever runs it: nothing is worked out when it is compiled."""
    (tmp_path / "x.md").write_text("{{ 'no'|term }}{{ ['a', 'b']|first }}", encoding="utf-8")
    made = []
    for word in ("one", "two"):
        environment = TracingSandbox(Collector("plan", str), Library("us", (tmp_path,)), {"term": lambda _, word=word: word})
        made.append(environment.get_template("x.md").render())
    assert made == ["onea", "twoa"]


#: What a cache may be asked by: names, days, places of data files, and classes; never by a record of a site.
ASKED_BY = {"str", "bool", "date", "Path", "tuple[Path, ...]", "type", "type[Any]", "_Subject"}
CONTAINER = re.compile(r"\[\]|\{\}|(?:dict|list|set|defaultdict|deque|Counter|OrderedDict|WeakKeyDictionary)\(.*\)")
FILLED = {"findings/rule.py: _REGISTERED"}  # by the decorator, when the findings are loaded


def kept(tree: ast.Module, where: str) -> tuple[list[str], list[str]]:
    """Caches that are asked by anything else, and what a module holds to be filled later."""
    caches, open_ = [], []
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and any(
            re.search(r"\b(?:lru_)?cache\b", ast.unparse(d)) for d in node.decorator_list
        ):
            asked = {ast.unparse(a.annotation) for a in [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]}
            caches += [f"{where}: {node.name}"] if asked - ASKED_BY else []
        elif isinstance(node, ast.Global):
            open_ += [f"{where}: {name}" for name in node.names]
    for node in tree.body:
        if (
            isinstance(node, ast.Assign | ast.AnnAssign)
            and node.value is not None
            and CONTAINER.fullmatch(ast.unparse(node.value))
        ):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            open_ += [f"{where}: {ast.unparse(target)}" for target in targets]
    return caches, open_


def test_nothing_is_kept_by_site():
    """What a module of the program keeps is our own data, by names; nothing is there to be filled while a site is looked at."""
    package = ROOT / "docgen"
    found = [kept(ast.parse(p.read_text(encoding="utf-8")), str(p.relative_to(package))) for p in sorted(package.rglob("*.py"))]
    assert [name for caches, _ in found for name in caches] == []
    assert {name for _, open_ in found for name in open_} == FILLED


def test_what_a_module_keeps_is_seen():
    """A cache by site, a list, a dictionary and a global of a module are seen; what a function makes is not."""
    code = "@cache\ndef a(s: Site): ...\n@functools.lru_cache(9)\ndef b(s: View): ...\n@cache\ndef c(s: str): ...\n"
    code += "_LAST = []\n_BY: dict[str, int] = {}\n_SEEN = set()\nFINE = (1,)\ndef d():\n    global _NOW\n    x = []\n"
    assert kept(ast.parse(code), "m") == (["m: a", "m: b"], ["m: _NOW", "m: _LAST", "m: _BY", "m: _SEEN"])
