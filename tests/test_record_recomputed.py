"""What an engineer with fresh eyes needs to recompute the record: every figure put in is told, each symbol means one thing, and no limit reads as more than it is."""

import math
import re

import pytest
from reference.cases import off_the_ladder
from support import ALL_DEMOS, compared, demo, markdown, papers, with_changes

CLEAN = ("harrow-ridge", "pellan-creek")
FOOT = 0.3048


def record(site):
    """The engineering record of a demo site with plain blanks."""
    return papers(site)["engineering-record"].document.markdown.replace("\u00a0", " ")


def section(text, name):
    """One section of a paper by its id."""
    return re.split(r"^## ", text[text.index(f"{{: #{name} }}") :], maxsplit=1, flags=re.MULTILINE)[0]


# --- the ladder ---------------------------------------------------------------------------------------------------------


def test_ladder_is_reckoned_from_under_the_rail():
    """By hand: rail 1.5 ft right of the center, ladder on the left 4.0 ft from under the rail: 4.0 ft and 2.0 ft of lag give atan(hypot(4.1, 2.1) / 8.15)
    with tolerances, wherever the rail is. Drawing, survey sheet and record say from where it is measured."""
    ladders, angles = [], []
    for offset in ("0.5 ft", "1.5 ft"):
        changed = with_changes(demo("harrow-ridge"), {"bays[B1].rail.offset.value": offset})
        bay = changed.assessed.further[0]
        (step,) = [w for w in bay.working if w.name == "swing.offset" and w.what == "worst"]
        across = next(i.value.si for i in step.inputs if i.symbol == "x_a")
        ladders.append(across / FOOT)
        (angle,) = [w.result.si for w in bay.working if w.name == "swing.line_angle" and w.what == "worst"]
        angles.append(angle)
    assert ladders == pytest.approx([4.1, 4.1])
    assert angles == pytest.approx([math.atan(math.hypot(4.1, 2.1) / (25.85 - 12.3 - 5.4))] * 2)
    assert (
        "| Truck bay: ladder across, from under the rail (on the left of the vehicle) | 4.0 ft (1.22 m) | ± 0.100 ft"
        in record("harrow-ridge")
    )
    sheet = papers("harrow-ridge")["survey-sheet.B1"].document.markdown.replace("\u00a0", " ")
    assert "| Ladder from under rail; along the rail | 4.0 ft; 22.0 ft |" in sheet
    assert "Ladder from center" not in sheet


# --- what is put in -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_every_figure_that_a_case_rests_on_has_a_row(site):
    """Each quantity of the profile that goes into a case, allowed or not, or into the figures for information is read for the table of inputs."""
    checked, bodies = compared(site)
    told = {
        path for c in bodies["engineering-record"]["en"].clauses if c.id == "engineering-record.inputs" for path, _ in c.inputs
    }
    needed = {p for c in (*checked.assessed.cases, *checked.assessed.further) for p in c.inputs}
    rows = {
        path.removesuffix(".by") for path in told if path.endswith(".by")
    }  # a row tells who measured; a condition on a figure reads no such thing
    merged = {p for p in needed & told if ".sides[" in p}  # sides with the same figures share a row
    assert needed <= rows | merged, sorted(needed - rows - merged)


def test_inputs_name_what_nobody_measured_and_where_it_comes_from():
    """Figures of the trade, limits of the site and the reach of a prohibited task have a row each, with cells for the checker."""
    table = section(record("harrow-ridge"), "inputs")
    for row in (
        "Line speed at which a device locks | 4.5 ft/s (1.37 m/s) | taken as it stands | E",
        "K\\_1: part of the margin that tolerances may use up, and least that must be kept | 1.0 ft (0.30 m) | taken as it stands | E",
        "K\\_2: margin that is enough after tolerances | 2.0 ft (0.61 m) | taken as it stands | E",
        "Task strap (prohibited): reach from the center line | 4.25 ft (1.30 m) | ± 0.100 ft",
        "Largest offset that the site allows (site rule) | 5.0 ft (1.52 m) |",
        "Largest line angle from the vertical (Device manual rev 7) | 30 deg |",
        "D-1: peak force of an arrest | 1,800 lbf (8.01 kN) | none stated |",
        "Truck bay: first and last hanger, from the first end of the rail | 1.0 ft (0.30 m); 61.0 ft (18.59 m) |",
        "Tank railcar, hatch 1: what one lands on inside, above datum, moves with the vehicle | 5.5 ft",
    ):  # fmt: skip
        assert f"| {row}" in table, row
    metric = section(record("pellan-creek"), "inputs")
    assert "K\\_1: part of the margin that tolerances may use up, and least that must be kept | 0.30 m" in metric


@pytest.mark.parametrize("site", CLEAN)
def test_a_value_put_in_is_an_input_or_a_result_before_it(site):
    """A height of the line exit above the D-ring, which many lines take, is worked out in a line of its own before it is put in."""
    checked = demo(site)
    seen = 0
    for case in checked.assessed.cases:
        if not case.governs:
            continue
        known = {}
        for step in (*case.working, *case.corner):
            for one in step.inputs:
                if one.symbol == "h":
                    assert any(one.value.si == pytest.approx(h, abs=1e-9) for h in known.get(step.what, ())), (
                        case.id,
                        step.what,
                        step.formula,
                    )
                    seen += 1
            if step.symbol == "h":
                known.setdefault(step.what, []).append(step.result.si)
    assert seen > 40


@pytest.mark.parametrize("site", CLEAN)
def test_the_worst_corner_of_a_governing_case_can_be_repeated(site):
    """Its lines give each term: R = AD + HS + P + SW + SD + SF and SW = hypot(h, x) - h; what the corner has less R is the margin after tolerances, and kept is SF more
    than that (E28: the kneeling cases that govern)."""
    seen = set()
    for case in demo(site).assessed.cases:
        if not case.governs or case.margin_worst is None:
            continue
        lines = {w.symbol: w for w in case.corner if w.what == "clearance"}
        put = {symbol: {i.symbol: i.value.si for i in line.inputs} for symbol, line in lines.items()}
        terms, across = put["R_ws"], put["SW"]
        assert terms["SW"] == pytest.approx(math.hypot(across["h"], across["x"]) - across["h"])
        need = sum(terms[name] for name in ("AD", "HS", "P", "SW", "SD", "SF"))
        have = put["A_ws"]["z_ws"] - put["A_ws"]["z_low"]
        assert case.margin_worst.si == pytest.approx(have - need)
        assert case.kept.si == pytest.approx(terms["SF"] + have - need)
        seen.add(case.posture)
    assert "kneeling" in seen


# --- symbols ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_a_symbol_means_one_thing_and_none_lacks_its_meaning(site):
    """The legend has each symbol once, those that a formula gives as well as those that it takes; two symbols are not told alike."""
    text = record(site)
    legend = re.findall(r"\| `([^`]+)` \| ([^|]+?) (?=\|)", section(text, "symbols"))
    symbols = [symbol for symbol, _ in legend]
    assert len(symbols) == len(set(symbols)), sorted(s for s in symbols if symbols.count(s) > 1)
    meanings = [
        means for _, means in {(re.sub(r"_\d+$", "_i", symbol), means) for symbol, means in legend}
    ]  # AD_1, AD_2 are AD_i
    assert len(meanings) == len(set(meanings)), sorted(m for m in meanings if meanings.count(m) > 1)
    given = {formula.partition(" = ")[0] for formula in re.findall(r"^\| F\d+ \| [^|]+ \| `(.+)` \|$", text, re.MULTILINE)}
    assert given <= set(symbols), given - set(symbols)


def test_the_symbols_that_had_two_meanings():
    """Load on the rail, length of the vehicle, rail offset by side, angle limit and anchorage strength each have a symbol of their own."""
    text = record("harrow-ridge")
    for formula in (
        "SD = F_rail l^3 / (48 E I)", "s = s_f + L_v - s_v", "p_max = x_a_max - b - r_side", "x_max = h tan(theta_max)", "R_anc = k MAF n",
        "x_max = sqrt(s_allow^2 + 2 h s_allow)",
    ):  # fmt: skip
        assert f"`{formula}`" in text, formula


# --- offset, parking ----------------------------------------------------------------------------------------------------


def offset_table(text):
    """Rows of the table of largest offsets."""
    table = text[text.index("{: #c.offsets") :].split("\n\n")[1]
    return {cells[0]: cells[1:] for row in table.strip().split("\n")[2:] for cells in [[c.strip() for c in row.split("|")[1:-1]]]}


def test_largest_offsets_name_each_side_and_what_governs_after_tolerances():
    """By hand: kneeling over the hatch, s = 9.5 - 7.6 = 1.9 ft and h = 11 ft give sqrt(1.9^2 + 2 11 1.9) = 6.738 ft, not the 8.3 ft of the sides; standing on
    the trailer 8.15 tan 30 = 4.705 ft is less than the 5.0 ft of the site, so that the angle governs then."""
    rows = offset_table(record("harrow-ridge"))
    assert rows["sample.kneeling.hatch"][1] == "6.7 ft"
    assert rows["sample.kneeling.left, right"][1] == "8.3 ft"
    assert rows["load.standing.left, right"][4:7] == ["site rule", "4.7 ft", "line angle"]
    assert rows["load.kneeling.left, right"][4:7] == ["site rule", "5.0 ft", "site rule"]
    assert {c.largest_worst_by for c in demo("pellan-creek").assessed.cases if c.permission == "allowed"} == {
        "angle",
        "clearance",
        "site-rule",
    }


@pytest.mark.parametrize("site", CLEAN)
def test_what_governs_after_tolerances_is_a_limit_that_gives_that_figure(site):
    """The figure after tolerances is the one that the limit named gives in its corner, worked out again from the steps."""
    for case in demo(site).assessed.cases:
        if case.permission != "allowed" or case.largest_worst is None:
            continue
        found = {w.name: w.result.si for w in case.corner if w.what == "largest"}
        by = {
            "clearance": found["swing.largest_offset_for_drop"],
            "angle": found["swing.largest_offset_for_angle"],
            "site-rule": case.largest_by_rule.si if case.largest_by_rule else math.inf,
        }
        assert by[case.largest_worst_by] == pytest.approx(case.largest_worst.si)
        assert case.largest_worst.si <= min(by.values()) + 1e-9


@pytest.mark.parametrize("site", CLEAN)
def test_a_parking_allowance_by_the_offset_is_not_told_as_paint(site):
    """Swing, edge and ladder rest on the parking of the inputs (p), so that the larger figure by the offset alone is never to be painted."""
    text = record(site)
    assert "may be painted on the ground" not in text.replace("figure that may be painted is", "")
    assert "They are a limit by the offset only and are not painted on the ground" in text
    assert "may stand up to" not in text
    for figure in papers(site)["engineering-record"].document.figures.values():
        assert "allowance" not in figure.alt


# --- words that were wrong ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", CLEAN)
def test_the_worst_line_is_the_one_farthest_from_the_vertical(site):
    """A steep line is near the vertical; the one that pulls sideways is the farthest from it."""
    text = record(site)
    assert "steepest line" not in text
    assert text.count("the line farthest from the vertical, of an allowed case or on the ladder, stands at") == len(
        demo(site).site.bays
    )


@pytest.mark.parametrize("site", CLEAN)
def test_the_figure_over_an_edge_stands_with_its_page(site):
    """Where the maker says that it is the same over an edge, the record says which figure and on which page."""
    text = record(site)
    for part in demo(site).site.equipment:
        if part.kind == "srd":
            said = "the same" if part.edge_use.same else ""
            assert re.search(rf"Over an edge {part.id} has {said} [^:]+: {part.edge_use.page} of its manual\.", text), part.id
    other = with_changes(
        demo("harrow-ridge"), {"equipment[D-1].edge_use": {"arrest_distance": "48 in", "setback": "0 ft", "page": "page 23"}}
    )
    assert "Over an edge D-1 has 48 in (1.22 m): page 23 of its manual." in markdown(other)["engineering-record"].replace(
        "\u00a0", " "
    )


def test_a_hatch_that_is_closed_off_is_told():
    """No case and no word was the same for one who reads; now the record says what closes it, and of an open one where its ring is taken."""
    us, metric = record("harrow-ridge"), record("pellan-creek")
    assert (
        "No fall into hatches 1 and 2 of the tank trailer is worked out, because of what closes the opening: the manhole cover stays bolted"
        in us
    )
    assert (
        "No fall into hatches 1 to 4 of the dry-bulk hopper trailer is worked out, because of what closes the opening: bar grate locked in the hatch."
        in metric
    )
    assert "The ring of an open hatch is taken level with the surface" in us
    assert "The ring of an open hatch" not in metric


def test_the_swing_off_the_ladder_is_repeated_by_hand():
    """Truck bay: the line exit 8.15 ft over the D-ring, 4.1 ft across and 2.1 ft along: 1.212 ft, 8.84 ft/s, rounded up in the record, with its working."""
    rows = [line for line in record("harrow-ridge").splitlines() if line.startswith("| top of the ladder, ")]
    drop = math.sqrt(8.15**2 + 4.1**2 + 2.1**2) - 8.15
    speed = math.sqrt(2 * 32.174 * drop)
    assert (drop, speed) == (pytest.approx(1.2118, abs=5e-5), pytest.approx(8.83, abs=5e-3))
    assert (
        rows[0]
        == "| top of the ladder, tank trailer | ladder, or side of the vehicle | flat | 1.3 ft | 8.9 ft/s | – | – | – | – |"
    )
    (met,) = demo("harrow-ridge").assessed.further[0].struck
    assert (met.drop.si / FOOT, met.speed.si / FOOT) == (pytest.approx(drop), pytest.approx(speed, rel=1e-4))
    shown = {w.name: w for w in demo("harrow-ridge").assessed.further[0].working if w.what == "tanker"}
    assert {i.symbol: i.value.si / FOOT for i in shown["swing.swing_drop"].inputs} == pytest.approx(
        {"h": 8.15, "x": math.hypot(4.1, 2.1)}
    )
    assert shown["swing.swing_speed"].result.si == met.speed.si


@pytest.mark.parametrize("site", CLEAN)
def test_the_swing_off_the_ladder_is_found_a_second_time(site):
    """Each bay and vehicle, as the profile stands and with figures of the ladder changed: the reference turns the line about its exit, over all ends."""
    metric = site == "pellan-creek"
    changes = ({}, {"bays[B2].ladder.owner": "site"}, {"bays[B1].ladder.owner": "vehicle"}, {"bays[B2].ladder.trolley_lag": None})
    for change in changes:
        changed, seen = with_changes(demo(site), change), 0
        for further in changed.assessed.further:
            for met in further.struck:
                bay, vehicle = changed.site.bay(further.bay), changed.site.vehicle(met.vehicle)
                task = next(t for t in changed.site.tasks if (t.bay, t.vehicle, t.permission) == (bay.id, vehicle.id, "allowed"))
                told = off_the_ladder(changed.site, bay, vehicle, task, vehicle.sides[0], metric)
                assert met.drop.si == pytest.approx(told, rel=1e-9)
                seen += 1
        assert seen >= 2


def test_the_longest_line_meets_the_line_of_the_device():
    """By hand: 26.15 ft less the 4.6 ft of the shortest ring at the ladder's 4.607 ft: hypot(21.55, 4.607) = 22.037 ft, up to 22.1 ft; the device has 30 ft."""
    text = record("harrow-ridge")
    clause = text[text.index("The longest line that a case can ask for") :].partition("{: #c.weakest.S1 .clause }")[0]
    assert "22.1 ft (6.74 m)" in clause
    assert "The line of D-1 is 30 ft (9.14 m)." in clause
    assert math.hypot(21.55, math.hypot(4.1, 2.1)) == pytest.approx(22.037, abs=5e-4)


def test_a_case_is_short_by_what_its_worst_corner_lacks():
    """Nominal 2.0 ft, 2.3 ft with every tolerance the wrong way: the result names the larger; each case names bay and vehicle."""
    text = record("harrow-ridge")
    row = next(line for line in text.splitlines() if line.startswith("| strap.standing.left"))
    assert row.endswith("| -2.0 ft | -2.3 ft | short by 2.3 ft | Truck bay, flatbed trailer |")


@pytest.mark.parametrize("site", CLEAN)
def test_speed_and_drop_at_the_edge_can_be_repeated_by_the_formula_told(site):
    """SW_c = sqrt(h^2 + x_a^2 + x_l^2 - x_c^2) - h and v_c = sqrt(2 g SW_c), from what the table tells, give drop and speed at the edge."""
    assert "`SW_c = sqrt(h^2 + x_a^2 + x_l^2 - x_c^2) - h` and `v_c = sqrt(2 g SW_c)`" in record(site)
    seen = 0
    for case in demo(site).assessed.cases:
        known = {w.what: {i.symbol: i.value.si for i in w.inputs} for w in case.corner if w.name in ("swing.line_angle",)}
        lag = next((i.value.si for w in case.corner if w.what == "offset" for i in w.inputs if i.symbol == "x_l"), None)
        for met in case.struck:
            if met.edge_drop is None or lag is None:
                continue
            h, x_a, x_c = known["angle"]["h"], met.free.si + met.blocked.si, met.blocked.si
            drop = math.sqrt(h**2 + x_a**2 + lag**2 - x_c**2) - h
            assert (met.edge_drop.si, met.edge_speed.si) == (pytest.approx(drop), pytest.approx(math.sqrt(2 * 9.80665 * drop)))
            seen += 1
    assert seen


def test_parts_show_the_figures_that_other_sections_use():
    """Frame and rail show the design load with its factor, the device its peak force and the strength of its line; two cells are left for the checker."""
    table = section(record("harrow-ridge"), "load-path")
    for id_ in ("ST-1", "R-1"):
        row = next(line for line in table.splitlines() if line.startswith(f"| {id_} |"))
        assert "design load of the system 3,600 lbf (16.01 kN), factor 2" in row
    row = next(line for line in table.splitlines() if line.startswith("| D-1 |"))
    assert "peak force 1,800 lbf (8.01 kN)" in row
    assert "line strength 3,600 lbf (16.01 kN)" in row
    assert table.count("| Checked against | Checker's value |") == 2
