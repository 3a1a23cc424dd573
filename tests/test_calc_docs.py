"""Docstring, signature, formula text and code of every public calculation agree."""

import dataclasses
import importlib
import inspect
import math
import pickle
import re
import subprocess
import sys
from pathlib import Path

import pytest

from docgen.calc.catalogue import MODULES, catalogue
from docgen.calc.formula import KINDS, Formula, Term

FUNCTIONS = catalogue()
NAMED = [pytest.param(name, function, id=name) for name, function in FUNCTIONS.items()]
SECTIONS = ["Parameters", "Returns", "Notes", "Examples", "References"]
BASES = ("read", "memory", "derived", "no published source")

# Values that fit every numeric formula: a whole scene in SI, one value a parameter.
SCENE = {
    "across": 1.2, "along": 0.5, "anchor_above_d_ring": 0.4, "angle": 0.6, "area": 5e-5, "arrest_distance": 1.07,
    "arrest_force": 8000.0, "available": 3.5, "best": 60.0, "body_force": 8000.0, "braking": 0.4, "capacity": 140.6,
    "count": 20, "cv": 0.224, "d_ring_height": 1.5, "d_ring_posture": 0.9, "d_ring_standing": 1.5, "deceleration": 1.0,
    "deflection": 0.02, "distance": 2.5, "drop": 0.3, "elongation": 0.2, "extra": 1.07, "factor": 1.5,
    "feet_height": 2.0, "first_stiffness": 204.0, "force": 4000.0, "free_fall": 0.6, "g": 9.8, "height": 2.3,
    "height_above_d_ring_standing": 2.3, "initial_speed": 1.4, "knee": 0.5, "lanyard_length": 1.8,
    "largest_across": 1.3, "largest_offset": 1.4, "length": 6.0, "likely": 90.0, "line_angle": 0.4, "line_exit": 7.3,
    "line_length": 6.1, "line_length_at_lock": 2.6, "load": 8000.0, "lock_distance": 0.1, "lock_speed": 1.37,
    "lower_level": 0.2, "margin": 0.6, "mass": 100.0, "mean": 88.8, "modulus": 2e11, "moment": 12e3, "months": 3,
    "offset": 1.2, "parking": 0.3, "peak": 8000.0, "per_user": 22_241.0, "posture": 0.6, "protected_height": 2.1,
    "rail_offset": -0.3, "rail_users": 3, "ratio": 0.875, "reach": 0.7, "required": 3.1, "required_below_surface": 2.4,
    "rigid_mass": 100.0, "sag_angle": 0.26, "second_moment": 8e-6, "second_stiffness": 111.0, "section_modulus": 1e-4,
    "share": 0.03, "shift": 13.5, "span": 6.0, "speed": 3.0, "stiffness": 5000.0, "stretch": 0.6, "surface": 3.5,
    "swing": 0.3, "tension": 9000.0, "time": 0.8, "trolleys": 2, "users": 2, "users_per_trolley": 1, "worst": 180.0,
    "allowances": [5.0, 9.0], "limits": [190.0, 140.6, 140.6], "minimums": [0.0, 59.0],
    "distances": [0.4, 0.86], "estimates": [60.0, 90.0, 180.0], "measured": [480.0, 540.0],
    "detection": 720.0, "duration": 300.0, "drilled": 540.0, "estimate": 480.0,
}  # fmt: skip

# Formulas in words, or over something that is not an input; each is tested by value elsewhere.
IN_WORDS = {
    "anchorage.solve_lifeline", "arrest.free_fall_below_anchor", "capacity.within_limit", "dates.add_months",
    "dates.days_overdue", "dates.days_until", "dates.due_date", "population.share_over", "population.share_under",
    "rescue.critical_steps", "rescue.detection_time", "rescue.finish_of", "rescue.gain_if_cut", "rescue.schedule",
    "swing.arc_heights", "swing.arc_reaches",
}  # fmt: skip


def sections(function):
    """Summary, formula and the named sections of a docstring, each as text."""
    text = inspect.getdoc(function)
    parts = re.split(r"^(\w+)\n-+\n", text, flags=re.MULTILINE)
    return parts[0].strip().split("\n\n"), dict(zip(parts[1::2], parts[2::2], strict=True))


def entries(text):
    """(name or type, description) of each entry of a Parameters or Returns section."""
    found = re.findall(r"^(\S.*)\n((?:    .*\n?)+)", text, flags=re.MULTILINE)
    return [(head, " ".join(body.split())) for head, body in found]


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
    assert len(FUNCTIONS) > 70


@pytest.mark.parametrize(("name", "function"), NAMED)
def test_docstring_follows_the_signature(name, function):
    """Summary with source, formula, then five sections in order; each parameter has its unit, each source its basis."""
    opening, found = sections(function)
    assert list(found) == SECTIONS
    assert len(opening) == 2, "one line, then the formula"
    assert "\n" not in opening[0]
    assert re.search(r"\([^()]+(\([^()]+\)[^()]*)*\)\.$", opening[0]), "the line ends with the source in brackets"
    parameters = inspect.signature(function).parameters
    described = entries(found["Parameters"])
    heads = [head.split(" : ") for head, _ in described]
    stars = {p: ("*" if v.kind is v.VAR_POSITIONAL else "") + p for p, v in parameters.items()}
    assert [head[0] for head in heads] == list(stars.values())
    for (parameter, value), head, (_, text) in zip(parameters.items(), heads, described, strict=True):
        annotation = inspect.formatannotation(value.annotation)
        assert head[1] == re.sub(r"(collections\.abc|docgen\.calc\.\w+)\.", "", annotation), parameter
        unit = KINDS[function.formula.where[parameter].kind]
        assert re.search(rf"\[{re.escape(unit)}\]", text), f"{parameter} without [{unit}]"
    ((kind, text),) = entries(found["Returns"])
    returned = inspect.formatannotation(inspect.signature(function).return_annotation)
    assert kind == re.sub(r"docgen\.calc\.\w+\.", "", returned)
    assert f"[{KINDS[function.formula.gives]}]" in text
    assert ">>>" in found["Examples"]
    references = re.findall(r"^- .*(?:\n  .*)*", found["References"], flags=re.MULTILINE)
    assert references
    assert all(any(basis in " ".join(one.split()) for basis in BASES) for one in references)


@pytest.mark.parametrize(("name", "function"), NAMED)
def test_formula_follows_the_signature(name, function):
    """The formula names every parameter once, in order, with a known kind and its own symbol, and cites a basis."""
    rule = function.formula
    assert isinstance(rule, Formula)
    assert rule.name == name
    assert list(rule.where) == list(inspect.signature(function).parameters)
    assert all(isinstance(term, Term) and term.kind in KINDS and term.meaning for term in rule.where.values())
    assert len({term.symbol for term in rule.where.values()}) == len(rule.where)
    assert rule.gives in KINDS
    assert rule.symbol
    assert rule.meaning
    assert any(basis in rule.cite for basis in BASES), rule.cite
    assert rule.text.isascii()
    if name not in IN_WORDS:
        assert rule.text.startswith(f"{rule.symbol} = ")
    assert pickle.loads(pickle.dumps(rule)) == rule
    assert hash(rule) == hash(pickle.loads(pickle.dumps(rule)))


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
