"""Docstring, signature, formula text and code of every public calculation agree."""

import ast
import dataclasses
import importlib
import inspect
import json
import math
import pickle
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
import yaml

from docgen.calc.catalogue import MODULES, catalogue, valid_for
from docgen.calc.formula import KINDS, Formula, Term
from docgen.calc.terms import TERMS
from docgen.errors import DataError, TemplateError
from docgen.resources import data_folder, schema_text
from docgen.words import languages, meaning

FUNCTIONS = catalogue()
HOME = Path(importlib.import_module("docgen.calc").__file__).parent
TEMPLATES = data_folder("templates")
NAMED = [pytest.param(name, function, id=name) for name, function in FUNCTIONS.items()]
BASES = ("read", "memory", "derived", "no published source")

# Values that fit every numeric formula: a whole scene in SI, one value a parameter.
SCENE = {
    "across": 1.2, "along": 0.5, "anchor_above_d_ring": 0.4, "angle": 0.6, "area": 5e-5, "arrest_distance": 1.07,
    "arrest_force": 8000.0, "available": 3.5, "best": 60.0, "body_force": 8000.0, "braking": 0.4, "capacity": 140.6, "contact": 0.4,
    "count": 20, "cv": 0.224, "d_ring_height": 1.5, "d_ring_posture": 0.9, "d_ring_standing": 1.5, "deceleration": 1.0,
    "deflection": 0.02, "distance": 2.5, "drop": 0.3, "edge_height": 0.1, "elongation": 0.2, "enough": 0.6, "extra": 1.07, "factor": 1.5,
    "feet_height": 2.0, "first_stiffness": 204.0, "force": 4000.0, "free_fall": 0.6, "gap": 0.6, "g": 9.8, "height": 2.3,
    "height_above_d_ring_standing": 2.3, "initial_speed": 1.4, "knee": 0.5, "lanyard_length": 1.8,
    "largest_across": 1.3, "largest_offset": 1.4, "least": 0.3, "left_over": -0.1, "length": 6.0, "likely": 90.0, "line_angle": 0.4, "line_exit": 7.3,
    "line_length": 6.1, "line_length_at_lock": 2.6, "load": 8000.0, "lock_distance": 0.1, "lock_speed": 1.37,
    "lower_level": 0.2, "margin": 0.6, "mass": 100.0, "mean": 88.8, "modulus": 2e11, "moment": 12e3, "months": 3,
    "offset": 1.2, "parking": 0.3, "peak": 8000.0, "per_user": 22_241.0, "posture": 0.6, "protected_height": 2.1,
    "rail_offset": -0.3, "rail_users": 3, "ratio": 0.875, "reach": 0.7, "reach_one": 1.2, "reach_two": 0.9, "required": 3.1, "required_below_surface": 2.4,
    "rigid_mass": 100.0, "rise": 0.05, "sag_angle": 0.26, "second_moment": 8e-6, "second_stiffness": 111.0, "section_modulus": 1e-4,
    "share": 0.03, "shift": 13.5, "span": 6.0, "speed": 3.0, "stiffness": 5000.0, "stretch": 0.6, "surface": 3.5,
    "swing": 0.3, "tension": 9000.0, "time": 0.8, "trolleys": 2, "users": 2, "users_per_trolley": 1, "worst": 180.0,
    "allowances": [5.0, 9.0], "limits": [190.0, 140.6, 140.6], "minimums": [0.0, 59.0],
    "distances": [0.4, 0.86], "estimates": [60.0, 90.0, 180.0], "measured": [480.0, 540.0],
    "first_hanger": 1.0, "front": 8.0, "highest_place": 49.5, "last_hanger": 50.0, "lowest_place": 14.0, "on_vehicle": 6.0, "parking_along": 1.0,
    "slack": 0.2, "slide": 0.45, "slope": 0.35, "stated_deflection": 0.03, "stated_load": 4000.0, "vehicle_length": 42.0,
    "all_persons": 1379.0, "per_person": 13_345.0, "per_tied": 22_241.0, "persons": 2, "tied": 1,
    "detection": 720.0, "duration": 300.0, "drilled": 540.0, "estimate": 480.0,
}  # fmt: skip

# Python type of a parameter -> kinds that it may have.
FLOAT = ("float", "collections.abc.Sequence[float]")
FITS = dict.fromkeys(KINDS, FLOAT) | {
    "count": ("int",), "date": ("datetime.date",), "days": ("int",), "flag": ("bool",), "identifier": ("str",), "months": ("int",),
    "time": (*FLOAT, "collections.abc.Sequence[docgen.calc.rescue.Step]", "docgen.calc.rescue.Schedule"),
}  # fmt: skip

# Formulas in words, or over something that is not an input; each is tested by value elsewhere.
IN_WORDS = {
    "dates.add_months",
    "dates.due_date", "population.share_over",
    "rescue.critical_steps", "rescue.detection_time", "rescue.finish_of", "rescue.gain_if_cut", "rescue.schedule",
}  # fmt: skip


def parts(function):
    """First line, paragraphs between the units and the example, and the paragraphs of example and sources."""
    first, *rest = inspect.getdoc(function).split("\n\n")
    example = next(n for n, p in enumerate(rest) if p.startswith("Example:"))
    source = next(n for n, p in enumerate(rest) if p.startswith(("Source:", "Sources:\n")))
    return first, rest[:example], rest[example:source], rest[source:]


def test_every_public_function_is_a_calculation():
    """Each module's `__all__` is sorted and holds calculations and frozen records only; all of them carry a formula."""
    for module in MODULES:
        home = importlib.import_module(f"docgen.calc.{module}")
        assert list(home.__all__) == sorted(home.__all__), module
        own = {name for name, value in vars(home).items() if getattr(value, "__module__", None) == home.__name__}
        assert {name for name in own if not name.startswith("_")} == set(home.__all__), module
        for name in home.__all__:
            value = getattr(home, name)
            assert f"{module}.{name}" in FUNCTIONS or dataclasses.fields(value), name


@pytest.mark.parametrize(("name", "function"), NAMED)
def test_docstring_says_the_rest(name, function):
    """One line, then what it is valid for, an example that runs, and sources, each with its basis."""
    first, _, example, sources = parts(function)
    assert first.endswith(".")
    assert "\n" not in first
    assert valid_for(function)
    assert any(">>>" in paragraph for paragraph in example)
    assert len(sources) == 1, "the sources stand last"
    listed = sources[0].removeprefix("Sources:\n").removeprefix("Source: ")
    for one in re.split(r"^- ", listed, flags=re.MULTILINE):
        assert not one or any(basis in " ".join(one.split()) for basis in BASES), one


@pytest.mark.parametrize(("name", "function"), NAMED)
def test_docstring_shows_formula_and_units(name, function):
    """`help` shows the formula with the unit of its result, and each parameter with its symbol and unit."""
    rule = function.formula
    _, formula, *_ = inspect.getdoc(function).split("\n\n")
    assert formula == f"{rule.text}   [{KINDS[rule.gives]}]"
    for parameter, term in rule.terms:
        assert f"{parameter} : {term.symbol} [{KINDS[term.kind]}]\n" in inspect.getdoc(function)


def test_nothing_is_written_twice():
    """The source of a docstring repeats neither the formula nor a list of parameters."""
    for module in MODULES:
        tree = ast.parse((HOME / f"{module}.py").read_text(encoding="utf-8"))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and f"{module}.{node.name}" in FUNCTIONS:
                said = ast.get_docstring(node)
                assert FUNCTIONS[f"{module}.{node.name}"].formula.text not in said.split("\n"), node.name
                assert "----" not in said, node.name


@pytest.mark.parametrize(("name", "function"), NAMED)
def test_formula_follows_the_signature(name, function):
    """The formula names every parameter once, in order, with a known kind and its own symbol, and cites a basis."""
    rule = function.formula
    assert isinstance(rule, Formula)
    assert rule.name == name
    assert list(rule.where) == list(inspect.signature(function).parameters)
    assert all(isinstance(term, Term) and TERMS[term.key] == (term.symbol, term.kind) for term in rule.where.values())
    assert len({term.symbol for term in rule.where.values()}) == len(rule.where)
    assert all(inspect.formatannotation(v.annotation) in FITS[rule.where[n].kind] for n, v in signature(function)), name
    assert rule.gives in KINDS
    assert any(basis in rule.cite for basis in BASES), rule.cite
    assert rule.text.isascii()
    assert rule.text.startswith(f"{rule.symbol} = ")
    assert rule.symbol
    assert pickle.loads(pickle.dumps(rule)) == rule
    assert hash(rule) == hash(pickle.loads(pickle.dumps(rule)))


def signature(function):
    return [(name, value) for name, value in inspect.signature(function).parameters.items()]


@pytest.mark.parametrize("language", languages())
def test_words_and_calculations_name_the_same(language):
    """Every calculation and every term has a meaning in words, in every language, and the words know no other."""
    path = TEMPLATES / "words" / f"calculations.{language}.yaml"
    said = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert set(said) == {"formulas", "terms"}
    assert list(said["formulas"]) == list(FUNCTIONS)
    assert list(said["terms"]) == sorted(TERMS)
    assert all(isinstance(text, str) and text.strip() for texts in said.values() for text in texts.values())
    jsonschema.validate(said, json.loads(schema_text("calculations")))


def test_every_term_is_used():
    """The list of symbols names no term that no formula uses."""
    assert {term.key for f in FUNCTIONS.values() for _, term in f.formula.terms} == set(TERMS)
    assert list(TERMS) == sorted(TERMS)
    assert {kind for _, kind in TERMS.values()} <= set(KINDS)


def test_a_missing_meaning_is_an_error():
    """A key that the words lack, or a language without words, is named; nothing falls back silently."""
    with pytest.raises(DataError, match=r"calculations\.en\.yaml:\d+:\d+: formulas: the key 'swing\.sideways' is missing"):
        meaning("formulas", "swing.sideways", "en")
    with pytest.raises(TemplateError, match=r"calculations\.xx\.yaml does not exist"):
        meaning("terms", "offset", "xx")


def evaluate(text, values):
    """Right side of a formula text: a blank between names or brackets multiplies, `^` is a power."""
    code = re.sub(r"(?<=[\w)])\s+(?=[\w(])", "*", text.partition(" = ")[2]).replace("^", "**")
    return eval(code, {"__builtins__": {}}, {
        **{n: getattr(math, n) for n in ("sqrt", "cos", "sin", "tan", "acos", "atan2")}, "ln": math.log,
        "abs": abs, "max": max, "min": min, "sum": sum, **values,
    })  # fmt: skip


@pytest.mark.parametrize(("name", "function"), [p for p in NAMED if p.values[0] not in IN_WORDS])
def test_formula_text_gives_the_result(name, function):
    """A reader who puts the numbers into the printed formula gets the program's result."""
    rule = function.formula
    values = {parameter: SCENE[parameter] for parameter in rule.where}
    texts = {term.symbol: values[parameter] for parameter, term in rule.where.items()}
    listed = values.pop("allowances", None)
    result = function(*values.values(), *listed) if listed else function(**values)
    assert evaluate(rule.text, texts) == pytest.approx(result[0] if isinstance(result, tuple) else result, rel=1e-12)


def test_words_are_the_exception():
    """No formula is excused from that check that does not exist."""
    assert set(FUNCTIONS) > IN_WORDS


def test_only_the_standard_library():
    """Importing all calculations loads no third-party package and nothing of docgen but its errors."""
    code = (
        "import sys; from docgen.calc.catalogue import catalogue; catalogue(); "
        "tops = {m.partition('.')[0] for m in sys.modules}; "
        "print(*sorted(t for t in tops - set(sys.stdlib_module_names) if not t.startswith('_'))); "
        "print(*sorted(m for m in sys.modules if m.startswith('docgen') and not m.startswith('docgen.calc')))"
    )
    ran = subprocess.run(
        [sys.executable, "-S", "-c", code],
        capture_output=True, encoding="utf-8", check=True, cwd=Path(__file__).parents[1],
    )  # fmt: skip
    assert ran.stdout.split("\n")[:2] == ["docgen", "docgen docgen.days docgen.errors docgen.frozen docgen.limits"]
