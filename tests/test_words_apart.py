"""No sentence that a reader gets stands in Python: words lie in templates/words and in the data, by key.

A string of three words in a row counts as a sentence. Texts of exceptions are left out: they tell the person at the keyboard what
to mend, and the errors of one program speak one language. So do the modules below, each for the reason beside it.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import get_args

import pytest

import docgen
from docgen.codes.binding import Reason
from docgen.codes.given import Reason as AnswerReason
from docgen.compose.contradictions import AGAINST
from docgen.findings.model import BasisSaid
from docgen.findings.swing import Fault
from docgen.resources import data_folder
from docgen.trade.practice import practices
from docgen.words import findings_words, languages, usual_text, words

ROOT = Path(docgen.__file__).parent
SENTENCE = re.compile(r"[A-Za-z][A-Za-z']*(?:,? [A-Za-z][A-Za-z']*){2,}")

PROBLEMS = "a problem of a file, told like an exception where many are told at once"
SPEAKS = {
    "cli.py": "the commands word their own errors and help",
    "commands": "the commands word their own errors and help",
    "unknown.py": PROBLEMS,
    "logbook.py": PROBLEMS,
    "data.py": PROBLEMS,
    "shapes.py": PROBLEMS,
    "read.py": PROBLEMS,
    "signs.py": PROBLEMS,
    "slips.py": PROBLEMS,
    "check.py": PROBLEMS,
    "units.py": PROBLEMS,
    "private.py": PROBLEMS,
    "inherit.py": PROBLEMS,
    "portfolio": "what became of one site among many, told like an exception where the others go on",
    "records.py": PROBLEMS,
    "site": "descriptions and examples of profile fields, from which the schema is made: docstrings of data",
    "calc": "formulas and their sources, written once beside the arithmetic; what they mean lies in the words",
}
# Pieces of strings of three words that are no text for a reader: file, the piece, why it is none.
NO_SENTENCE = {
    ("compose/tree.py", "indented code (four"): "names a fault of a template in an error",
    ("findings/rescue_gear.py", "standard:UK HSE RR708"): "a citation",
    ("write/__init__.py", "Writes one document"): "a docstring given to a class",
    ("write/docx_body.py", "Table of Contents"): "a name that the file format fixes",
    ("write/pdf.py", "could not be displayed"): "a message of the typesetter, looked for",
    ("write/svg.py", "Liberation Sans"): "names of fonts",
    ("look/__init__.py", "a letterhead has at most"): "part of the message of a problem",
    ("look/__init__.py", "put two of them into one"): "part of the message of a problem",
    ("look/__init__.py", "on white has a contrast of"): "part of the message of a problem",
    ("look/__init__.py", 'take a darker one: "'): "part of the message of a problem",
    ("look/__init__.py", "folder of the "): "part of the message of a problem: of whose folder it speaks",
    ("look/png.py", "save it again as a plain PNG"): "part of the message of a problem",
    ("look/word.py", "an active control"): "part of the message of a problem",
    ("look/word.py", "an embedded object"): "part of the message of a problem",
    ("look/word.py", "an embedded file"): "part of the message of a problem",
    ("look/word.py", "a linked template"): "part of the message of a problem",
    ("look/word.py", "a changed menu"): "part of the message of a problem",
    ("look/word.py", "a linked frame"): "part of the message of a problem",
    ("look/word.py", "a data source"): "part of the message of a problem",
    ("look/word.py", "take it out in the word processor and sa"): "part of the message of a problem",
    ("write/html.py", ".letterhead { flex-basis: 100%; display:"): "a style sheet",
}
MODULES = sorted(p for p in ROOT.rglob("*.py") if not {str(p.relative_to(ROOT)), p.relative_to(ROOT).parts[0]} & SPEAKS.keys())


def told_as_error(node: ast.AST) -> bool:
    """A raise, or the making of an error or a problem that is raised or listed elsewhere."""
    if isinstance(node, ast.Raise):
        return True
    name = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
    return name.endswith(("Error", "Problem"))


def parts_of_errors(tree: ast.AST) -> set[int]:
    """Assignments to names that a raise of the same function puts into its text."""
    found: set[int] = set()
    for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
        raised = {n.id for r in ast.walk(function) if isinstance(r, ast.Raise) for n in ast.walk(r) if isinstance(n, ast.Name)}
        for node in ast.walk(function):
            if isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id in raised for t in node.targets):
                found.add(id(node))
    return found


def sentences(tree: ast.AST) -> list[tuple[int, str]]:
    """Line and text of each string of three words or more that is neither docstring nor error."""
    found: list[tuple[int, str]] = []
    errors = parts_of_errors(tree)

    def look(node: ast.AST) -> None:
        if told_as_error(node) or id(node) in errors:
            return
        body = getattr(node, "body", None)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and body and isinstance(body[0], ast.Expr):
            docstring = body[0].value
            skipped = body[0] if isinstance(docstring, ast.Constant) and isinstance(docstring.value, str) else None
        else:
            skipped = None
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and SENTENCE.search(node.value):
            found.append((node.lineno, node.value))
        for child in ast.iter_child_nodes(node):
            if child is not skipped:
                look(child)

    look(tree)
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_sentence_in_python(path):
    """What the papers and reports say lies in the words of each language; formulas and meanings too."""
    name = str(path.relative_to(ROOT))
    fine = [piece for file, piece in NO_SENTENCE if file == name]
    found = sentences(ast.parse(path.read_text(encoding="utf-8")))
    assert [(line, text) for line, text in found if not any(piece in text for piece in fine)] == []


def test_sentences_are_seen():
    """The search finds a sentence in a value, in a part of a formatted one and in a default, and leaves errors and docstrings out."""
    source = '''
"""The words of this module."""
def f(x="nobody was named"):
    """What it does at length."""
    told = "a part of an error"
    raise ValueError(f"this is an error: {told}")
    y = f"{x} is not there {x}"
    return Problem("so is this one"), {"a": "the other way"}, "two words", "a_key.of.a-thing"
'''
    assert [text for _, text in sentences(ast.parse(source))] == ["nobody was named", " is not there ", "the other way"]


def test_the_exceptions_are_needed():
    """Every module that speaks holds a sentence, and every string that is none stands where it is said to."""
    for name in SPEAKS:
        paths = [ROOT / name] if name.endswith(".py") else sorted((ROOT / name).rglob("*.py"))
        assert any(sentences(ast.parse(path.read_text(encoding="utf-8"))) for path in paths), name
    for name, piece in NO_SENTENCE:
        assert any(piece in text for _, text in sentences(ast.parse((ROOT / name).read_text(encoding="utf-8")))), (name, piece)


# a value of a finding in words: worded("surface-below"), worded(f"duty-{kind}", ...), Phrase("not-computed")
WORDED = re.compile(r"""\b(?:worded|Phrase)\(\s*(?:f"([\w-]+)\{|"([\w-]+)")""")


def worded_keys() -> tuple[set[str], set[str]]:
    """Keys written out in the code, and beginnings of keys that end in a value."""
    places = (*(ROOT / "findings").glob("*.py"), ROOT / "compose" / "contradictions.py")
    found = [m for path in places for m in WORDED.finditer(path.read_text(encoding="utf-8"))]
    return {m[2] for m in found if m[2]}, {m[1] for m in found if m[1]}


def test_every_value_in_words_exists_and_is_used():
    """Each key of a value that findings say in words stands in the words of each language, and none stands there for nothing."""
    keys, beginnings = worded_keys()
    assert beginnings == {"answer-", "duty-", "rule-", "struck-"}
    keys |= {f"answer-{reason}" for reason in get_args(AnswerReason)}
    keys |= {f"duty-{kind}" for kind in AGAINST} | {f"rule-{reason}" for reason in get_args(Reason)}
    keys |= {f"struck-{fault}" for fault in get_args(Fault)}
    for language in languages():
        assert set(words(language)["values"]) == keys, language


# a count before the noun that it counts, and not before a verb of its own
COUNTED = re.compile(
    r"(?<!of )\{(?:n|count|fields|clauses|stands|closing|new|steps|visits|climbs|filled)\} (?:[a-z-]+ )?(?!(?:is|was|has|holds|as)\b)[a-z-]+s\b"
)
#: Never one: intervals and deadlines of our own data, and counts of that data itself.
MANY = frozenset({"hours", "days", "findings_end", "codes_end", "review_end"})


def counted(node: dict, at: str = "") -> list[str]:
    """Places of words that count something in the plural and have no twin, called `..._one`, or, of reason_findings, without the s."""
    found = []
    for key, value in node.items():
        if isinstance(value, dict):
            found += counted(value, f"{at}{key}.")
        elif isinstance(value, str) and key not in MANY and COUNTED.search(value) and not {f"{key}_one", key[:-1]} & set(node):
            found.append(f"{at}{key}")
    return found


def test_one_of_a_kind_is_not_told_in_the_plural():
    """A sentence with a count stands apart from the noun, or has a twin for one: nobody reads of 1 fields."""
    assert counted({"a": "{n} fields", "b": {"c": "{n} more lines differ", "d": "{n} is fields", "d_one": "1"}}) == ["a", "b.c"]
    for language in languages():
        assert counted(words(language)) == [], language
        assert counted({name: dict(block) for name, block in findings_words(language).items()}) == [], language


def test_every_basis_in_words_exists():
    """What a finding may rest on without a citation is said in each language."""
    for language in languages():
        assert set(words(language)["basis"]) == set(get_args(BasisSaid)) - {""}


def test_every_figure_of_the_trade_is_told():
    """Each figure of practice.yaml is explained in each language, in both systems where its text holds a figure; none is left over."""
    for language in languages():
        told = {figure.name: {usual_text(figure.name, system, language) for system in ("us", "si")} for figure in practices()}
        assert all(all(texts) for texts in told.values())
    path = data_folder("templates") / "words" / "practice"
    for file in path.glob("*.yaml"):
        named = {line.partition(":")[0] for line in file.read_text(encoding="utf-8").splitlines() if re.match(r"\w", line)}
        assert named == {figure.name for figure in practices()}, file.name
