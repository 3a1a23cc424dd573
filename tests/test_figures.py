"""The figures: true to scale, legible, the same in every file type, readable without eyes.

Outside checks: the SVG is measured with ElementTree alone and compared with the assessment; lettering with the outlines
of the shipped font by fontTools; EMF records by the layout of [MS-EMF] 2.3 (from memory) and by LibreOffice; PDF tags
with pikepdf (ISO 32000, ISO 14289-1); DOCX with openxml-audit (ISO/IEC 29500); HTML with html5lib.
"""

import hashlib
import io
import itertools
import math
import re
import shutil
import struct
import subprocess
import sys
import zipfile
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from office import office
from outside import docx_faults
from support import ALL_DEMOS, DEMOS, composed, demo, demo_anew, papers, tries, with_changes
from test_tree import WORDS
from test_write import document, part, pdf
from write.same_words import docx_blocks, html_blocks, pdf_gaps, plain, tree_blocks

from docgen import units
from docgen.compose.board import Board, spread
from docgen.compose.drawing import DASHES, FILLS, POINT, Drawing, Text, dashes, plain_paths, rectangle
from docgen.compose.drawing import Path as Line
from docgen.compose.figures import FIGURES, Say, elevation, parking, timeline
from docgen.compose.helpers import filters
from docgen.compose.number import number
from docgen.compose.trace import Trace
from docgen.compose.tree import parse
from docgen.errors import TemplateError
from docgen.resources import data_folder
from docgen.words import words
from docgen.write import WRITERS, widths
from docgen.write.emf import emf
from docgen.write.svg import svg

SITES = DEMOS
FOOT = 0.3048
SVG = "{http://www.w3.org/2000/svg}"
WIDEST = 165.0  # mm: the text of an A4 page with the margins of the look is 166 mm wide


def say(checked):
    return Say(words("en"), checked.assessed.system)


@cache
def drawings(name):
    """Every figure that a demo can have: (record, drawing)."""
    checked = demo(name)
    told = say(checked)
    cases = checked.assessed.cases
    found = [(case, elevation(case, checked.site, told)) for case in cases if case.governs]
    found += [(case, parking(case, checked.site, told)) for case in cases if case.permission == "allowed"]
    found += [(row, timeline(row, checked.site, told)) for row in checked.assessed.rescues]
    return tuple((record, drawing) for record, drawing in found if drawing is not None)


def elevations(name):
    return [(c, d) for c, d in drawings(name) if d.name.startswith("elevation.")]


def points(root, name):
    """Points of the first path that shows `name`, in millimetres."""
    found = next(e for e in root.iter() if e.get("data-part") == name and e.get("points"))
    return [tuple(map(float, pair.split(","))) for pair in found.get("points").split()]


def measured(drawing):
    """Lengths in a drawing [m], read from its SVG: paper millimetres times the scale in its scale bar's words."""
    root = ElementTree.fromstring(svg(drawing))
    view = [float(v) for v in root.get("viewBox").split()]
    assert root.get("width") == f"{view[2]:g}mm"
    assert root.get("height") == f"{view[3]:g}mm"
    printed = next(m for t in root.iter(f"{SVG}text") if (m := re.search(r"scale 1:(\d+)$", t.text)))
    scale = int(printed[1])
    assert scale == drawing.scale

    def span(name, axis):
        values = [p[axis] for p in points(root, name)]
        return (max(values) - min(values)) * scale / 1000

    def gap(one, other, axis):
        return abs(points(root, one)[0][axis] - points(root, other)[0][axis]) * scale / 1000

    return root, span, gap


def near(value, wanted, tolerance=0.01 * FOOT):
    return abs(value - wanted) <= tolerance


def scale_is_right(case, drawing):
    """All that is dimensioned in an elevation lies within 0.01 ft of what the case says, both ways."""
    root, span, gap = measured(drawing)
    tolerance = max(0.01 * FOOT, 0.001 * drawing.scale / 1000)  # a coordinate is written to a thousandth of a mm
    assert near(span("line", 0), case.offset.si, tolerance)
    assert near(span("line", 1), case.height.si, tolerance)
    assert case.offset.si == 0 or near(span("offset", 0), case.offset.si, tolerance)  # nothing is drawn for no offset
    assert near(span("height", 1), case.height.si, tolerance)
    if case.available is not None:
        assert near(gap("surface", "lower-level", 1), case.available.si, tolerance)
        assert near(span("have", 1), case.available.si, tolerance)
    if case.required is not None:
        assert near(span("need", 1), case.required.si, tolerance)
        parts = {"swing": case.swing_drop, "arrest": case.arrest_distance, "stretch": case.stretch, "posture": case.posture_addition,
                 "deflection": case.deflection, "margin": case.margin_term}  # fmt: skip
        shown = {e.get("data-part") for e in root.iter()}
        for name, quantity in parts.items():
            if quantity is not None and quantity.si > 0:
                assert near(span(name, 1), quantity.si, tolerance)
            else:
                assert name not in shown or name == "swing"
    lines_are_as_long(case, drawing, root)
    # the fall to the left is drawn to the left, every other one to the right
    line = points(root, "line")
    assert (line[1][0] - line[0][0]) * (-1 if case.side == "left" else 1) >= 0
    # the D-ring as high above the surface as the case says
    assert near((points(root, "surface")[0][1] - line[1][1]) * drawing.scale / 1000, case.ring.si, tolerance)


def lines_are_as_long(case, drawing, root):
    """Each line, along all its bends, is as long on paper as the case says, within 0.2 mm: before the fall, after it, and down to where
    the sum counts the D-ring."""

    def on_paper(places):
        return sum(math.dist(a, b) for a, b in itertools.pairwise(places))

    shown = {e.get("data-part") for e in root.iter()}
    per = 1000 / drawing.scale
    before = math.hypot(case.offset.si, case.height.si)
    assert abs(on_paper(points(root, "line")) - before * per) <= 0.2
    if "hanging-line" not in shown:
        assert case.arrest_distance is None or case.hang is None or before + case.arrest_distance.si < 2 * case.offset.si + 2
        return
    after, exit_ = points(root, "hanging-line"), points(root, "line")[0]
    assert abs(on_paper(after) - (before + case.arrest_distance.si) * per) <= 0.2
    deflection = 0.0 if case.deflection is None else case.deflection.si
    assert abs(math.dist(after[0], exit_) - deflection * per) <= 0.01
    counted = [sum(v) / len(v) for v in zip(*points(root, "counted-ring"), strict=True)]
    assert abs(counted[0] - exit_[0]) <= 0.05
    assert abs(counted[1] - exit_[1] - (case.line_exit.si - case.hang.si) * per) <= 0.2
    # nothing passes through the surface: a bent line lies on its outer end or on what stands there, a straight one passes over it
    surface = points(root, "surface")
    out = -1 if case.side == "left" else 1
    edge = max(surface, key=lambda p: out * p[0])
    if len(after) > 2:
        assert abs(after[1][0] - edge[0]) <= 0.01
        assert after[1][1] <= edge[1] + 0.01
    elif out * (edge[0] - exit_[0]) > 0:
        share = (edge[0] - after[0][0]) / (after[1][0] - after[0][0])
        assert after[0][1] + share * (after[1][1] - after[0][1]) <= edge[1] + 0.01


@cache
def _face(bold):
    from fontTools.ttLib import TTFont

    face = TTFont(data_folder("templates") / "look" / "fonts" / f"LiberationSans-{'Bold' if bold else 'Regular'}.ttf")
    return face.getBestCmap(), face["hmtx"], face["glyf"], face["head"].unitsPerEm


def lettering_box(text):
    """Left, top, right, bottom of a line of lettering by the outlines of the shipped font [mm]."""
    table, advance, outlines, unit = _face(text.bold)
    names = [table[ord(c)] for c in text.text]
    em = text.size * POINT / unit
    long = sum(advance[n][0] for n in names) * em
    shapes = [outlines[n] for n in names if outlines[n].numberOfContours]
    high = max((s.yMax for s in shapes), default=0) * em
    low = min((s.yMin for s in shapes), default=0) * em
    back = {"start": 0.0, "middle": long / 2, "end": long}[text.anchor]
    if text.turned:
        return text.x - high, text.y + back - long, text.x - low, text.y + back
    return text.x - back, text.y - high, text.x - back + long, text.y - low


def legible(drawing):
    """No lettering leaves the sheet, none lies on other lettering, none is under 6.5 pt; nothing is drawn off the sheet."""
    texts = [item for item in drawing.items if isinstance(item, Text)]
    boxes = [(t.text, lettering_box(t)) for t in texts]
    assert min(t.size for t in texts) >= 6.5
    assert drawing.width <= WIDEST
    for text, (left, top, right, bottom) in boxes:
        assert 0 <= left < right <= drawing.width, text
        assert 0 <= top < bottom <= drawing.height, text
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, f"'{one}' and '{other}' overlap in {drawing.name}"
    for item in drawing.items:
        if not isinstance(item, Text):
            for piece in plain_paths(item):
                assert all(0 <= x <= drawing.width and 0 <= y <= drawing.height for x, y in piece.points)


# scale and lettering, demos


@pytest.mark.parametrize("name", SITES)
def test_elevations_are_to_scale(name):
    """Every governing case of every demo has an elevation whose SVG measures as the case says."""
    checked = demo(name)
    governing = [c for c in checked.assessed.cases if c.governs]
    assert [c.id for c, _ in elevations(name)] == [c.id for c in governing] != []
    for case, drawing in elevations(name):
        scale_is_right(case, drawing)


def test_the_note_says_whether_the_line_bears_on_the_edge():
    """Over the edge where the line is drawn bent; taken to bear on it after tolerances where the case says so and the line as the figures
    stand passes over it; else nothing of an edge, so that drawing and text never say two things."""
    told = set()
    for case, drawing in (pair for name in SITES for pair in elevations(name)):
        root, _, _ = measured(drawing)
        if all(e.get("data-part") != "hanging-line" for e in root.iter()):
            continue
        bent = len(points(root, "hanging-line")) > 2
        words = ("over the edge on which it bears" in drawing.alt, "so that the line is taken to bear on it" in drawing.alt)
        assert words == (bent, case.bears and not bent)
        told.add(words)
    assert {(False, False), (False, True)} <= told


def test_all_in_one_plane():
    """Things of the bay, the edges and the line lie in one plane: what is measured across stands farther out by the share of the lag."""
    checked = demo("harrow-ridge")
    bay, tanker = checked.site.bay("B1"), checked.site.vehicle("tanker")
    share = {c.id: c.offset.si / c.across.si for c in checked.assessed.cases}
    assert share["load.kneeling.left"] > 1.1
    for side, thing, sign in (("left", "arm", 1), ("right", "column-e", -1)):
        case = next(c for c in checked.assessed.cases if c.id == f"load.kneeling.{side}")
        drawing = elevation(case, checked.site, say(checked))
        root, _, _ = measured(drawing)
        exit_ = points(root, "line")[0][0]

        def out(x, exit_=exit_, drawing=drawing):
            return abs(x - exit_) * drawing.scale / 1000

        post = next(o for o in bay.obstructions if o.id == thing)
        near_face = min(out(x) for x, _ in points(root, "obstruction"))
        # the rail lies to the right of the mark: away from what stands on the left, toward what stands on the right
        assert near(near_face, (post.from_.si + sign * bay.rail.offset.si) * share[case.id], 0.02)
        edge = next(s for s in tanker.sides if s.side == side).edge.si
        middle = case.across.si - case.reach.si
        assert near(max(out(x) for x, _ in points(root, "surface")), (middle + edge) * share[case.id], 0.02)


def test_what_stands_out_from_the_vehicle_lies_in_that_plane():
    """A part of the vehicle is measured from its own center line, and stands farther out by the same share as its edge."""
    bracket = {
        "id": "bracket",
        "what": "Bracket",
        "side": "left",
        "from": "3.0 ft",
        "to": "3.4 ft",
        "bottom": "8 ft",
        "top": "14 ft",
    }
    site, assessed = remade("harrow-ridge", {"vehicles[tanker].protrusions": [bracket], "bays[B1].obstructions": []})
    case = next(c for c in assessed.cases if c.id == "load.kneeling.left")
    share = case.offset.si / case.across.si
    assert share > 1.1
    drawing = elevation(case, site, Say(words("en"), assessed.system))
    root, _, _ = measured(drawing)
    exit_ = points(root, "line")[0][0]
    near_face = min(abs(x - exit_) * drawing.scale / 1000 for x, _ in points(root, "obstruction"))
    middle = case.across.si - case.reach.si
    assert near(near_face, (middle + 3.0 * 0.3048) * share, 0.02)


def test_a_line_over_an_edge_is_drawn_over_it():
    """A kneeling person on a longer arrest distance: the line is bent at the outer end of the surface, and the note says that it bears."""
    changes = {"equipment[D-1].arrest_distance": "70 in", "equipment[D-1].edge_use": {"same": True, "page": "14"}}
    site, assessed = remade("harrow-ridge", changes)
    case = next(c for c in assessed.cases if c.id == "load.kneeling.left")
    assert case.bears
    drawing = elevation(case, site, Say(words("en"), assessed.system))
    root, _, _ = measured(drawing)
    assert len(points(root, "hanging-line")) == 3
    scale_is_right(case, drawing)
    assert "over the edge on which it bears" in " ".join(t.text for t in drawing.items if isinstance(t, Text))


@pytest.mark.parametrize("name", SITES)
def test_figures_are_legible(name):
    """Lettering of every figure stays on the sheet and apart, by the outlines of the font that is shipped."""
    for _, drawing in drawings(name):
        legible(drawing)


@pytest.mark.parametrize("name", SITES)
def test_numbers_are_those_of_the_tables(name):
    """Need, have and offset stand on the drawing exactly as in the record's table of cases."""
    checked = demo(name)
    plan = documents(name)["engineering-record"].markdown.replace("\u00a0", " ")
    for case, drawing in elevations(name):
        stem, _, side = case.id.rpartition(".")
        rows = (
            line
            for line in plan.splitlines()
            if line.startswith(f"| {stem}.") and f" | {checked.site.tasks[0].permission} | " in line
        )
        row = next(line for line in rows if side in re.split(r"[., ]+", line.split(" | ")[0]))
        offset, needs, has = (row.split(" | ")[i] for i in (2, 4, 5))
        lettering = {t.text for t in drawing.items if isinstance(t, Text)}
        told = {f"x = {offset}", f"needs {needs}", f"has {has}"}
        assert {t for t in told if not t.endswith(" \u2013")} <= lettering
        if case.required is None or case.available is None:
            continue
        assert needs in drawing.alt.replace("\u00a0", " ")
        assert has in drawing.alt.replace("\u00a0", " ")


def test_parking_plan_is_to_scale():
    """Reach, allowances, rail and limits measure as the case says; the chain from limit to limit closes."""
    for name in SITES:
        for case, drawing in drawings(name):
            if not drawing.name.startswith("parking."):
                continue
            root, span, gap = measured(drawing)
            rails = [float(e.get("points").split(",")[0]) for e in root.iter() if e.get("data-part") == "rail"]
            mark = points(root, "mark")[0][0]
            assert near(abs(sum(rails) / 2 - mark) * drawing.scale / 1000, case.rail_offset.si)  # two lines, one on either side
            assert near(span("reach", 0) or gap("reach", "mark", 0), case.reach.si)
            for side in ("left", "right"):
                allowance = getattr(case, f"allowance_{side}").si
                assert near(span(f"allowance-{side}", 0), abs(allowance))
            limits = [float(e.get("points").split(",")[0]) for e in root.iter() if e.get("data-part") == "limit"]
            assert case.along_worst.si > case.along.si  # no lag is stated without a tolerance
            if case.largest_worst.si > case.along_worst.si:
                across = math.sqrt(case.largest_worst.si**2 - case.along_worst.si**2)
                assert near(abs(limits[1] - limits[0]) * drawing.scale / 1000, 2 * across)
                assert near(span("along", 1), case.along_worst.si)
                printed = [t.text for t in drawing.items if isinstance(t, Text) and t.part == "across"]
                assert printed
                assert all(figure_of(text) <= across + 1e-9 for text in printed)
                what_tolerances_take(case, drawing, root)
            else:
                assert limits == []


def what_tolerances_take(case, drawing, root):
    """Hatched at each limit up to where the reach of a vehicle at its allowance ends, and not hidden under the vehicle."""
    order = [e.get("data-part") for e in root.iter()]
    mark = points(root, "mark")[0][0]
    allowed = [side for side in ("left", "right") if getattr(case, f"allowance_{side}").si > 0]
    strips = [e for e in root.iter() if e.get("data-part") == "tolerances"]
    assert order.count("tolerances") >= len(allowed)
    assert not strips or order.index("tolerances") > order.index("edge")
    for strip in strips:
        xs = [float(p.split(",")[0]) - mark for p in strip.get("points").split()]
        side = "left" if max(xs) < 0 else "right"
        inner = min(map(abs, xs)) * drawing.scale / 1000
        assert near(inner, case.reach.si + getattr(case, f"allowance_{side}").si)


def figure_of(text):
    """The last length in a text [m]."""
    number, unit = re.findall(r"(-?[\d.]+)[ \u00a0](ft|m)\b", text)[-1]
    return float(number) * (FOOT if unit == "ft" else 1)


@pytest.mark.parametrize("name", ALL_DEMOS)
def test_heights_on_a_drawing_lie_on_the_strict_side(name):
    """A lowest height is never rounded up, whatever its digits, nor is the height of the line over the D-ring; nor is a name cut off."""
    for case, drawing in elevations(name):
        shown = {
            t.text.partition(" ")[0]: figure_of(t.text)
            for t in drawing.items
            if isinstance(t, Text) and re.match(r"(D-ring|feet|h =|line exit|rail underside) [\d.]", t.text)
        }
        assert not [
            t.text for t in drawing.items if isinstance(t, Text) and t.text.endswith("\u2026") and t.text[:-1] in case.vehicle
        ]
        for word, height in (("D-ring", case.hang), ("feet", case.feet), ("h", case.height), ("line", case.line_exit)):
            assert word not in shown or shown[word] <= height.si + 1e-9, (case.id, word)
        assert case.hang is None or {"D-ring", "feet"} <= shown.keys()


def test_timeline_is_to_scale():
    """Bars and limits stand at their minute on the axis; a bar is heavy exactly where its step is critical."""
    for row, drawing in drawings("harrow-ridge"):
        if not drawing.name.startswith("timeline."):
            continue
        root = ElementTree.fromstring(svg(drawing))
        start = points(root, "axis")[0][0]
        ticks = {float(t.text): float(t.get("x")) for t in root.iter(f"{SVG}text") if t.get("data-part") == "minute"}
        assert abs(ticks[0] - start) < 0.01
        minute = (ticks[max(ticks)] - start) / max(ticks)

        def at(seconds, start=start, minute=minute):
            return start + seconds / 60 * minute

        for name in ("contact", "ground", "contact_limit", "ground_limit"):
            assert abs(points(root, name)[0][0] - at(getattr(row, name).si)) < 0.02
        bars = [e for e in root.iter(f"{SVG}polygon") if e.get("data-part") == "step"]
        wanted = [(at(t.start.si), at(t.finish.si), t.critical) for t in row.timings for _ in t.who]
        assert len(bars) == len(wanted)
        for bar, (left, right, critical) in zip(bars, wanted, strict=True):
            xs = [float(p.split(",")[0]) for p in bar.get("points").split()]
            assert abs(min(xs) - left) < 0.02
            assert abs(max(xs) - right) < 0.02
            assert (float(bar.get("stroke-width")) > 0.5) == critical


# scale and lettering, any case


def feet(low, high):
    return st.floats(low, high).map(lambda v: f"{v:.2f} ft")


NAMES = st.sampled_from(["Column", "Stair tower of the platform at the north end of the bay", "W" * 50, "Pipe & <valve>"])


@st.composite
def profiles(draw):
    """Changes to the smallest demo: other heights, offsets, sides, things in the bay, names, units."""
    deck = draw(st.floats(3, 20))
    thing = st.fixed_dictionaries({"what": NAMES, "side": st.sampled_from(["left", "right"]), "from": feet(3, 8), "to": feet(8.1, 15),
                                   "bottom": feet(0, 4), "top": feet(4.1, 40)})  # fmt: skip
    things = draw(st.lists(thing, max_size=3))
    sides = draw(st.lists(st.sampled_from(["left", "right", "rear", "hatch"]), min_size=1, max_size=2, unique=True))
    level = st.one_of(st.just("0 ft"), st.just("-3 ft"), st.floats(0.1, deck - 0.5).map(lambda v: f"{v:.2f} ft"))
    return {
        "site.units": draw(st.sampled_from(["us", "si"])),
        "bays[W1].rail.underside": draw(feet(deck + 7, deck + 40)),
        "bays[W1].rail.line_exit_below_rail": draw(feet(0, 3)),
        "bays[W1].rail.offset": draw(feet(0, 4)),
        "bays[W1].rail.offset_toward": draw(st.sampled_from(["left", "right"])),
        "bays[W1].rail.trolley_lag": draw(feet(0, 6)),
        "bays[W1].rail.deflection": draw(st.one_of(st.none(), feet(0, 1))),
        "bays[W1].parking.lateral": draw(feet(0, 3)),
        "bays[W1].obstructions": [{"id": f"o{i}", **t} for i, t in enumerate(things)],
        "vehicles[hopper].deck": f"{deck:.2f} ft",
        "vehicles[hopper].kind": draw(st.sampled_from(["tank-trailer", "railcar", "flatbed", "machine", "other"])),
        "vehicles[hopper].name": draw(NAMES),
        "vehicles[hopper].sides": [
            {"side": s, "edge": draw(feet(0.3, 6)), "lower": {"what": draw(NAMES), "height": draw(level)}} for s in sides
        ],
        "tasks[rinse].reach_from_centreline": draw(feet(0, 8)),
        "tasks[rinse].postures": [draw(st.sampled_from(["standing", "kneeling", "lying"]))],
        "equipment[SRD].arrest_distance": draw(st.floats(10, 70).map(lambda v: f"{v:.1f} in")),
    }


def remade(name, changes):
    """A demo with changes: its site and assessment."""
    checked = with_changes(demo(name), changes)
    return checked.site, checked.assessed


@settings(max_examples=tries(30), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(profiles())
def test_any_case_is_to_scale_and_legible(changes):
    """Whatever the figures of a site, its drawings measure as the cases say and can be read."""
    model, assessed = remade("sable-point", changes)
    told = Say(words("en"), assessed.system)
    for case in assessed.cases:
        drawing = elevation(case, model, told)
        if drawing is not None:
            scale_is_right(case, drawing)
            legible(drawing)
        plan = parking(case, model, told)
        if plan is not None:
            legible(plan)


@pytest.mark.parametrize(
    "gone", ["bays[W1].rail.underside", "bays[W1].rail.line_exit_below_rail", "vehicles[hopper].deck", "bays[W1].rail.offset"]
)
def test_nothing_is_drawn_from_nothing(gone):
    """Where heights or offset are not known there is no drawing, and the plan composes without it."""
    model, assessed = remade("sable-point", {gone: None})
    told = Say(words("en"), assessed.system)
    for case in assessed.cases:
        assert elevation(case, model, told) is None
        assert parking(case, model, told) is None


@pytest.mark.parametrize("gone", ["equipment[SRD].arrest_distance", "vehicles[hopper].sides"])
def test_what_is_known_is_drawn(gone):
    """Without an arrest distance or a lower level the rest is drawn: no need, or nothing it could be held against."""
    model, assessed = remade("sable-point", {gone: None})
    drawn = [elevation(case, model, Say(words("en"), assessed.system)) for case in assessed.cases]
    assert drawn
    for case, drawing in zip(assessed.cases, drawn, strict=True):
        scale_is_right(case, drawing)
        legible(drawing)
        lettering = " ".join(t.text for t in drawing.items if isinstance(t, Text))
        assert ("needs" in lettering) == (case.required is not None)
        assert ("has " in lettering) == (case.available is not None)


# black and white


def test_only_black_white_and_one_gray():
    """SVG holds no colour, and dashes, weights and hatching tell things apart."""
    for name in SITES:
        for _, drawing in drawings(name):
            text = svg(drawing)
            shades = set(re.findall(r'"(#[0-9a-f]{6})"', text))
            assert shades <= {"#000000", "#ffffff", "#d9d9d9"}
            assert "rgb" not in text


# the model


def test_dashes_add_up():
    """Dashes and gaps in turn give the line's length; a dash goes round a corner (by hand: 7 mm of 2 on, 1 off is 2+2+1)."""
    line = ((0.0, 0.0), (3.5, 0.0), (3.5, 3.5))
    pieces = list(dashes(line, (2.0, 1.0)))
    lengths = [sum(math.dist(a, b) for a, b in itertools.pairwise(p)) for p in pieces]
    assert lengths == pytest.approx([2, 2, 1])
    assert sum(pieces[1], ()) == pytest.approx((3.0, 0.0, 3.5, 0.0, 3.5, 1.5))
    assert list(dashes(line, ())) == [line]


def test_hatching_stays_inside():
    """Hatch lines lie inside a square at 45 degrees, evenly apart; arrowheads are black and point outward."""
    pieces = list(plain_paths(rectangle(0, 0, 10, 10, fill="hatch")))
    lines = [p.points for p in pieces if not p.closed]
    assert len(lines) >= 10
    for (x1, y1), (x2, y2) in lines:
        assert math.isclose(x2 - x1, y1 - y2, abs_tol=1e-9)
        assert all(-1e-9 <= v <= 10 + 1e-9 for v in (x1, y1, x2, y2))
    head = list(plain_paths(Line(((0.0, 0.0), (10.0, 0.0)), arrows="end")))[1]
    assert (head.points[0], head.fill) == ((10.0, 0.0), "black")
    assert all(x < 10 for x, _ in head.points[1:])


def test_spread_keeps_order_and_distance():
    """Labels that would meet move apart around their common middle, others stay."""
    done = spread([5.0, 5.0, 5.0, 20.0], [2.0] * 4)
    assert done == [3.0, 5.0, 7.0, 20.0]
    values = spread([0, 1, 1.5, 3, 3.2], [1.2] * 5)
    assert all(b - a >= 1.2 - 1e-9 for a, b in itertools.pairwise(values))


def test_free_lettering_finds_its_place():
    """The second of two labels for one spot goes elsewhere; a label on the board is never covered."""
    board = Board()
    first = board.place([(0, 0)], ["one"])
    second = board.place([(0, 0)], ["two"])
    assert second[1] >= first[3] or second[3] <= first[1]


# documents


@cache
def documents(name):
    return {key: paper.document for key, paper in papers(name).items()}


def figures_of(doc):
    return [(e, doc.figures[e.get("name")]) for e in doc.tree.iter("figure")]


def test_the_documents_have_their_figures():
    """An elevation and a parking plan for each bay in the record, and a timeline for each method timed."""
    checked = demo("harrow-ridge")
    names = [e.get("name") for e, _ in figures_of(documents("harrow-ridge")["engineering-record"])]
    drawn = [c for c in checked.assessed.cases if c.governs and c.side != "hatch"]
    first = {c.bay: f"elevation.{c.id}" for c in reversed(drawn)}
    assert [name for name in names if name.startswith("elevation.")] == [first[b.id] for b in checked.site.bays]
    assert {f"parking.{b.id}" for b in checked.site.bays} <= set(names)
    timelines = filters(words("en"), Trace())["timelines"](checked.assessed.rescues)
    assert [name.split(".")[3] for name in names if name.startswith("timeline.")] == [r.method for r in timelines]
    for doc in documents("harrow-ridge").values():
        assert set(doc.figures) == {e.get("name") for e, _ in figures_of(doc)}
        labels = [e[0].get("data-number") for e, _ in figures_of(doc)]
        assert labels == [f"Figure {i + 1}" for i in range(len(labels))]
        for element, drawing in figures_of(doc):
            assert element.get("id") == f"f.{drawing.name}"


def test_a_clause_rests_on_what_its_figure_shows():
    """A thing moved in the bay moves the inputs of the clause that draws it, and the digest of the record."""
    from docgen.compose.assembly import compose_body

    checked = demo("harrow-ridge")
    digests = []
    for changes in ({}, {"bays[B1].obstructions[arm].top": "21 ft"}):
        model, assessed = remade("harrow-ridge", changes)
        body = compose_body("engineering-record", "en", model, checked.code, assessed)
        clause = next(c for c in body.clauses if c.id == "engineering-record.elevation.load.standing.left")
        digests.append((body.digest, dict(clause.inputs)["bays[B1].obstructions[arm].top"]))
    assert digests[0][0] != digests[1][0]
    assert digests[0][1] != digests[1][1]


def test_an_unknown_figure_is_named():
    """A template that asks for a figure that there is not gets one sentence with those there are."""
    from docgen.compose.environment import Collector
    from docgen.compose.helpers import Helpers

    checked = demo("harrow-ridge")
    helpers = Helpers(checked.site, checked.assessed, words("en"), Collector("plan", str), "en")
    with pytest.raises(TemplateError, match=r"no figure 'sketch'; there are: bay, elevation, parking, timeline"):
        helpers.figure("sketch", checked.assessed.cases[0])
    assert set(FIGURES) == {"bay", "elevation", "parking", "timeline"}


# the notation

SQUARE = Drawing(
    "square", 40.0, 20.0, (rectangle(1, 1, 39, 19, width=0.3), Text(20, 10, "inside 12", anchor="middle")), "A box & its text"
)
SAMPLE = "# T\n\nSee [](#f) below.\n\n![A *plain* box](figure:square)\n{: #f }\n\nAfter it.\n"


def drawn(markdown=SAMPLE, **changes):
    return document(markdown, figures={"square": SQUARE}, stamp="", contents=False, **changes)


def test_notation_becomes_a_figure():
    """The block is one element with name, id, number and caption; the reference reads its number; Markdown stays."""
    doc = drawn()
    figure = doc.tree.find("figure")
    assert figure.attrib == {"name": "square", "id": "f"}
    assert figure[0].get("data-number") == "Figure 1"
    assert "".join(figure[0].itertext()) == "A plain box"
    assert doc.tree.find(".//a").text == "Figure 1"
    assert b"![A *plain* box](figure:square)\n{: #f }\n" in WRITERS["md"](doc).data


WRONG = {
    "words before\n![b](figure:square)": "alone in its paragraph",
    "![b](figure:square) words after": "alone in its paragraph",
    "- ![b](figure:square)": "alone in its paragraph",
    "> ![b](figure:square)": "not allowed inside 'blockquote'",
    "| a |\n|--|\n| ![b](figure:square) |": "alone in its paragraph",
    "![](figure:square)": "needs a caption",
    "![b](figure:1)": "alone in its paragraph",
    "[b](figure:square)": "alone in its paragraph",
    "![b](figure:square)\n{: .lead }": "class '.lead' is not allowed",
}


@pytest.mark.parametrize("body", WRONG)
def test_wrong_notation_is_refused(body):
    """A figure that does not stand alone, has no caption or a class: a TemplateError that says so."""
    with pytest.raises(TemplateError) as caught:
        parse(f"# T\n\n{body}")
    assert WRONG[body] in str(caught.value)


def test_a_missing_drawing_is_named():
    """A document whose text names a drawing that was not handed over is not written."""
    with pytest.raises(TemplateError, match="there is no drawing 'circle'"):
        drawn("# T\n\n![b](figure:circle)")


def test_text_that_looks_like_a_figure_is_text():
    """Brackets escaped, as profile text always is, stay text."""
    root = number(parse(r"# T" + "\n\n" + r"!\[b\](figure:square)"), WORDS)
    assert [e.tag for e in root] == ["h1", "p"]


def test_the_same_words_with_figures():
    """The caption is text in every type; the lettering inside a drawing is not, and nothing else is between."""
    doc = drawn()
    blocks = tree_blocks(doc.tree)
    assert plain("A plain box") in blocks
    assert not any("inside" in block for block in blocks)
    assert html_blocks(WRITERS["html"](doc).data) == blocks
    assert docx_blocks(WRITERS["docx"](doc).data) == blocks
    gaps = [gap for _, gap in pdf_gaps(pdf(doc).data, blocks, widths.page(doc)) if gap]
    assert [gap.replace(plain("inside 12"), "") for gap in gaps] == ["Figure1"]


@pytest.mark.parametrize("paper", ["fall-protection-plan", "engineering-record"])
@pytest.mark.parametrize("name", SITES)
def test_the_same_words_in_a_paper(name, paper):
    """Plan and record of a demo, figures and all: HTML and DOCX have the blocks of the tree."""
    doc = documents(name)[paper]
    blocks = tree_blocks(doc.tree)
    assert html_blocks(WRITERS["html"](doc).data) == blocks
    assert docx_blocks(WRITERS["docx"](doc).data) == blocks


# alternative text


def _figure_tags(node, found):
    """Structure elements /Figure of a PDF with their alternative text, and the kinds of elements."""
    import pikepdf

    if isinstance(node, pikepdf.Array):
        for kid in node:
            _figure_tags(kid, found)
    elif isinstance(node, pikepdf.Dictionary):
        if "/S" in node and str(node.S) == "/Figure":
            found.append(str(node.get("/Alt", "")))
        if "/K" in node:
            _figure_tags(node.K, found)
    return found


@pytest.mark.parametrize("document_name", ["engineering-record"])
def test_alternative_text_is_in_every_type(document_name):
    """HTML: role, name and description; DOCX: descr; PDF: /Alt of a /Figure, and the file says PDF/UA-1."""
    doc = documents("harrow-ridge")[document_name]
    alts = [drawing.alt for _, drawing in figures_of(doc)]
    assert alts
    assert all(alt.count(".") >= 2 and re.search(r"\d", alt) for alt in alts)
    html5lib = pytest.importorskip("html5lib")
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    page = parser.parse(io.BytesIO(WRITERS["html"](doc).data), transport_encoding="utf-8")
    assert parser.errors == []
    pictures = [e for e in page.iter(f"{SVG}svg") if e.get("data-name")]
    ids = {e.get("id"): e for e in page.iter() if isinstance(e.tag, str) and e.get("id")}
    assert [ids[e.get("aria-describedby")].text for e in pictures] == alts
    assert all(e.get("role") == "img" and ids[e.get("aria-labelledby")].text for e in pictures)
    body = part(WRITERS["docx"](doc).data, "word/document.xml")
    frames = list(body.iter("{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr"))
    assert [e.get("descr") for e in frames] == alts
    assert len({e.get("id") for e in frames}) == len(frames)
    pikepdf = pytest.importorskip("pikepdf")
    with pikepdf.open(io.BytesIO(pdf(doc).data)) as file:
        found = [alt for alt in _figure_tags(file.Root.StructTreeRoot.K, []) if alt]
        with file.open_metadata() as meta:
            assert meta["pdfuaid:part"] == "1"
    assert found == alts


def test_alternative_text_needs_no_drawing():
    """The text alone gives need, have, height, offset, side and what is below."""
    case, drawing = elevations("harrow-ridge")[0]
    alt = drawing.alt.replace("\u00a0", " ")
    for quantity, toward in ((case.required, "up"), (case.available, "down"), (case.offset, "up"), (case.height, "nearest")):
        assert units.show(quantity.si, quantity.kind, "us", toward=toward, both=False) in alt
    assert case.side in alt
    assert case.lower_what in alt


# files


def test_docx_passes_the_open_xml_rules(tmp_path):
    """openxml-audit finds nothing in the plan with its pictures; each picture has its relationship, part and type."""
    doc = documents("harrow-ridge")["engineering-record"]
    data = WRITERS["docx"](doc).data
    assert docx_faults(data, tmp_path) == []
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        media = [n for n in archive.namelist() if n.startswith("word/media/")]
        assert [archive.read(n) for n in media] == [emf(d) for _, d in figures_of(doc)]
        assert b'Extension="emf" ContentType="image/x-emf"' in archive.read("[Content_Types].xml")
    pytest.importorskip("docx")
    import docx

    assert len(docx.Document(io.BytesIO(data)).inline_shapes) == len(media)


def test_emf_records_are_whole():
    """Header, sizes and counts agree with the stream; the frame is the sheet in hundredths of a millimetre."""
    for _, drawing in (*drawings("harrow-ridge"), *drawings("sable-point")):
        data = emf(drawing)
        kind, size, *bounds = struct.unpack_from("<II8i", data)
        signature, _, total, records, handles = struct.unpack_from("<IIIIH", data, 40)
        assert (kind, size, signature, total) == (1, 108, 0x464D4520, len(data))
        assert bounds[4:] == [0, 0, round(drawing.width * 100), round(drawing.height * 100)]
        at, kinds = 0, []
        while at < len(data):
            kind, size = struct.unpack_from("<II", data, at)
            assert size % 4 == 0
            assert size >= 8
            kinds.append(kind)
            at += size
        assert (at, len(kinds), kinds[-1]) == (len(data), records, 14)
        assert kinds.count(84) == sum(isinstance(i, Text) for i in drawing.items)
        made = {struct.unpack_from("<I", data, o + 8)[0] for o, k in _records(data) if k in (39, 82, 95)}
        assert max(made) < handles


def _records(data):
    at = 0
    while at < len(data):
        kind, size = struct.unpack_from("<II", data, at)
        yield at, kind
        at += size


def test_office_shows_the_drawing(tmp_path):
    """LibreOffice, turning the DOCX into a PDF, shows the lettering of the drawing as text and not an empty frame."""
    if not shutil.which("pdftotext"):
        pytest.skip("pdftotext is not installed")
    case, drawing = elevations("harrow-ridge")[0]
    doc = document("# T\n\n![Cap](figure:d)\n", figures={"d": drawing}, stamp="", contents=False)
    (tmp_path / "out.pdf").write_bytes(office(WRITERS["docx"](doc).data, "pdf", tmp_path))
    shown = subprocess.run(
        ["pdftotext", "-raw", str(tmp_path / "out.pdf"), "-"], check=True, capture_output=True, text=True
    ).stdout
    squeezed = plain(shown)
    for item in drawing.items:
        if isinstance(item, Text) and not item.turned:
            assert plain(item.text) in squeezed, item.text
    assert case.lower_what in shown


def test_office_draws_where_the_svg_draws(tmp_path):
    """The EMF, turned into a picture by LibreOffice, is dark and light where the drawing is: a black and a white field."""
    program = shutil.which("soffice")
    if not program or not shutil.which("pdftoppm"):
        pytest.skip("LibreOffice or pdftoppm is not installed")
    left, right = rectangle(10, 10, 50, 50, width=0.0, fill="black"), rectangle(60, 10, 100, 50, width=0.5, fill="white")
    drawing = Drawing("fields", 110.0, 60.0, (left, right), "Two fields")
    doc = document("# T\n\n![Cap](figure:d)\n", figures={"d": drawing}, stamp="", contents=False)
    (tmp_path / "out.pdf").write_bytes(office(WRITERS["docx"](doc).data, "pdf", tmp_path))
    subprocess.run(["pdftoppm", "-gray", "-r", "25.4", "-f", "1", "-l", "1", str(tmp_path / "out.pdf"), str(tmp_path / "page")],
                   check=True, capture_output=True)  # fmt: skip
    picture = next(iter(tmp_path.glob("page*.pgm"))).read_bytes()
    width, _ = map(int, picture.split(b"\n", 3)[1].split())
    pixels = picture[-width * 279 :] if len(picture) > width * 279 else picture.split(b"\n", 3)[3]
    dark = sum(p < 60 for p in pixels)
    assert abs(dark - 40 * 40) < 40 * 40 * 0.12  # one pixel is a millimetre; title and caption add a little


@pytest.mark.parametrize("type_", ["html", "docx", "pdf"])
def test_two_runs_give_the_same_bytes(type_, tmp_path):
    """A document with figures is the same bytes again, and in another process with another hash seed."""
    render = pdf if type_ == "pdf" else WRITERS[type_]
    doc = documents("harrow-ridge")["engineering-record"]
    first = hashlib.sha256(render(doc).data).hexdigest()
    anew = composed(demo_anew("harrow-ridge"))["engineering-record"].document
    again = hashlib.sha256(render(anew).data).hexdigest()
    code = (
        "import hashlib, sys; sys.path[:0] = sys.argv[2:]\n"
        "from test_figures import WRITERS, documents\n"
        "doc = documents('harrow-ridge')['engineering-record']\n"
        "print(hashlib.sha256(WRITERS[sys.argv[1]](doc).data).hexdigest())"
    )
    here = Path(__file__).parent
    other = subprocess.run([sys.executable, "-c", code, type_, str(here), str(here.parent)], check=True, text=True,
                           capture_output=True, cwd=tmp_path, env={"PYTHONHASHSEED": "7", "PATH": ""})  # fmt: skip
    assert first == again == other.stdout.strip()


def test_fillings_and_dashes_are_known():
    """What a drawing may name is what the writers know."""
    used = {(i.fill, i.dash) for n in SITES for _, d in drawings(n) for i in d.items if not isinstance(i, Text)}
    assert {f for f, _ in used} <= set(FILLS)
    assert {d for _, d in used} <= set(DASHES)
    assert {"hatch", "grey", "black", "white"} <= {f for f, _ in used}
    assert {"dashed", "dotted", "chain"} <= {d for _, d in used}
