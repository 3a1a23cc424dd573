"""What holds between the papers of one site: one fact reads the same on each paper that prints it, what is said makes sense, a change moves
exactly the papers that print what changed, and a closure takes permissions away and never the rescue.

A fact is given a value that stands nowhere else, every paper is composed, and the papers that bear the value are those of the table: a paper
that takes the fact from somewhere else, or has it in its own words, lacks it, and one that nobody expects is told too.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from datetime import timedelta
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
import yaml
from plain import read, sentences_of
from support import ALL_DEMOS, AS_OF, CLIMBING, SITES, compared_site, composed, demo, log_of, logged, run, with_changes

from docgen.checked import Assessed
from docgen.papers import found
from docgen.papers import papers as library
from docgen.trade.legible import reading_distance
from docgen.write.fit import overflow
from docgen.write.pdf import render

SITE_PAPERS = tuple(p.name for p in library() if p.written and p.circle == "site")
DIGESTED = tuple(p.name for p in library() if p.bound)
FULL = ("harrow-ridge", "pellan-creek")
PLAN, NOTICE, GATE, PROCEDURE, RECORD = (
    "fall-protection-plan",
    "contractor-notice",
    "gate-card",
    "rescue-procedure",
    "engineering-record",
)
SIGNS, CARDS, CLIMB = (tuple(f"{name}.{bay}" for bay in ("B1", "B2")) for name in ("bay-sign", "rescue-card", "climb-card"))
RESCUE = (PROCEDURE, *CARDS)
OUTLINE = "training-outline"
ALARM = (PLAN, NOTICE, GATE, *SIGNS)
DECIDED = {"by": "terminal-manager", "on": "2026-10-20", "reason": "The rail is being replaced"}


def plainly(text: str) -> str:
    """Markdown as a reader sees it, in one line: plain blanks and hyphens, no marks of symbols, anchors or stress."""
    text = re.sub(r"!\[[^\]]*\]\(symbol:[^)]*\)|\{:[^}]*\}|\*\*", "", text.replace("\u00a0", " ").replace("\u2011", "-"))
    return " ".join(text.split())


def made(checked: Assessed, wanted: tuple[str, ...] = SITE_PAPERS) -> dict[str, str]:
    """The Markdown of the papers of a site by name, the site page aside."""
    return {n: p.document.markdown for n, p in composed(checked, ("md",), wanted=wanted).items() if found(n.partition(".")[0])}


def said(checked: Assessed, wanted: tuple[str, ...] = SITE_PAPERS) -> dict[str, str]:
    """The papers of a site as a reader sees them."""
    return {name: plainly(text) for name, text in made(checked, wanted).items() if name != "index"}


@cache
def as_it_is(site: str) -> Mapping[str, str]:
    """The papers of a demo."""
    return said(demo(site))


def harrow(changes: Mapping[str, object]) -> dict[str, str]:
    """The papers of the first demo with something changed."""
    return said(with_changes(demo("harrow-ridge"), dict(changes)))


# --- contradiction: one fact, one value -----------------------------------------------------------------------------------------

KITS = [{"kit": k, "place": p, "sealed": s} for k, p, s in (
    ("K-1", "Amber locker", True), ("K-2", "Amber locker", True), ("P-1", "Truck bay, ivory stand", False))]  # fmt: skip
CONTACTS = [{"role": r, "number": n, "hours": "24 hours"} for r, n in (
    ("Control room", "555-7003"), ("Ambulance and fire", "944"), ("Rescue lead", "555-7004"))]  # fmt: skip

#: What the fact is, the field, its value, what a reader sees of it, and the papers that print it.
FACTS: tuple[tuple[str, str, object, str, tuple[str, ...]], ...] = (
    ("emergency number", "emergency.public.number", "944", "944", (*ALARM, *RESCUE)),
    ("the same among the contacts", "emergency.contacts", CONTACTS, "555-7003", (PROCEDURE,)),
    ("the same of the outside help", "rescue.external.phone", "944", "944", (*ALARM, *RESCUE)),
    ("second number of the alarm line", "emergency.second.number", "555-7001", "555-7001", ALARM),
    ("number to call back", "emergency.callback", "555-7002", "555-7002", (PROCEDURE,)),
    ("whom to report to", "roles[shift-supervisor].phone", "555-7010", "555-7010", (NOTICE,)),
    ("whom a driver asks", "roles[gate].phone", "555-7011", "555-7011", (GATE, *RESCUE)),
    ("alarm words", "emergency.radio.word", "PERSON ON THE LINE", "PERSON ON THE LINE", (PLAN, NOTICE, "gate-card", *RESCUE, *CLIMB)),
    ("radio", "emergency.radio.channel", "Channel 77", "Channel 77", (PLAN, *RESCUE, *CLIMB)),
    ("radio dead", "emergency.radio.backup", "Zebra handset", "zebra handset", RESCUE),
    ("address for the caller", "emergency.location_words", "Harrow Ridge Terminal, 9 Quarry Lane, west arch", "9 Quarry Lane, west arch", (PLAN, PROCEDURE)),
    ("address of the site", "site.address", "11 Marl Street, Alder Flat, Nebraska", "11 Marl Street", (PLAN,)),
    ("gate", "site.access_point", "West arch on Quarry Lane", "west arch on Quarry Lane", (PROCEDURE,)),
    ("bay phone of B1", "bays[B1].phone.place", "Zinc wall of the driver room", "zinc wall", (PLAN,)),
    ("bay phone of B2", "bays[B2].phone.place", "Quartz post at the crossing", "quartz post", (PLAN,)),
    ("red stop of B1", "bays[B1].red_stop.place", "Ochre post at the ladder", "ochre post", (PLAN, PROCEDURE, CARDS[0])),
    ("red stop of B2", "bays[B2].red_stop.place", "Umber post at the ladder", "umber post", (PLAN, PROCEDURE, CARDS[1])),
    ("marked area of B1", "bays[B1].marked_area.name", "hatched oval", "hatched oval", (PLAN, NOTICE, GATE, SIGNS[0], CLIMB[0])),
    ("marked area of B2", "bays[B2].marked_area.name", "striped tape", "striped tape", (PLAN, NOTICE, GATE, SIGNS[1], CLIMB[1])),
    ("clear words", "bays[B1].release.clear_words", "Truck bay, nobody up", "Truck bay, nobody up", (PLAN,)),
    ("release words", "bays[B1].release.words", "Truck bay let go", "Truck bay let go", (PLAN,)),
    ("lower limit", "limits.lower.value", "131 lb", "131 lb", (PLAN, *SIGNS, *CLIMB)),
    ("upper limit", "limits.upper.value", "307 lb", "307 lb", (PLAN, *SIGNS, *CLIMB)),
    ("wind", "limits.weather.wind", "23 mph", "23 mph", (PLAN, NOTICE, *CLIMB)),
    ("gusts", "limits.weather.gust", "37 mph", "37 mph", (PLAN, NOTICE)),
    ("wait after lightning", "limits.weather.lightning_wait", "34 min", "34 min", (PLAN,)),
    ("set-down place", "rescue.set_down", "Plum mat", "plum mat", RESCUE),
    ("kit place", "rescue.kit_places", KITS, "amber locker", RESCUE),
    ("rescue anchor of B1", "bays[B1].rescue_anchors[RA-1].place", "Beryl plate", "beryl plate", (PROCEDURE, CARDS[0])),
    ("place of the wind meter", "bays[B1].wind_meter.place", "Teal mast", "teal mast", (PLAN,)),
    ("place of tagged parts", "bays[B1].tag_place", "Coral box", "coral box", (PLAN,)),
    ("AED", "rescue.aed.place", "Indigo shelf", "indigo shelf", (PROCEDURE,)),
    ("where rescuers wait", "rescue.wait_at", "Upwind at the maroon hut", "maroon hut", (PROCEDURE,)),
    ("what a driver does", "contractors.classes[driver].conditions", ["stay in the khaki room"], "khaki room", (PLAN, NOTICE, GATE)),
    ("what the first step of enforcement is", "contractors.enforcement", [{"step": 1, "trigger": "Breach of a rule", "action": "hand the person a pink slip", "decided_by": "shift-supervisor", "record": "shift log"}], "pink slip", (PLAN, NOTICE)),
    ("appeal", "contractors.appeal", "Appeal to the rescue lead", "ppeal to the rescue lead", (PLAN, NOTICE)),
    ("place of the list", "people.list.place", "Lime board", "lime board", (PLAN,)),
    ("who may be asked to read", "contractors.interpreter", {"by": "gate", "languages": ["fr"]}, "Demandez qu", (GATE,)),
)  # fmt: skip
ALL_MARKED = {path: value for _, path, value, _, _ in FACTS} | {
    "emergency.second.who": "Shift supervisor",
    "roles[rescue-lead].phone": "555-7004",
}
#: What stood in the fields before: none of it may be left, but where another field says it in the site's own words.
BEFORE = {
    "911": (), "555-0150": (), "555-0142": (), "555-0143": (), "555-0144": (), "SUSPENDED WORKER": (), "Channel 4": (PROCEDURE,),
    "2200 Spur Road": (), "130 lb": (), "310 lb": (), "35 mph": (), "30 min": (), "ladder foot": (PLAN, PROCEDURE), "north plate": (), "painted box": (PLAN,),
}  # fmt: skip


@cache
def marked() -> Mapping[str, str]:
    """The papers of the first demo where each fact of the table bears its own value."""
    checked = with_changes(demo("harrow-ridge"), ALL_MARKED)
    assert not any(state.shut for state in checked.assessed.planned), "the marked site must print its rules"
    return said(checked, tuple(n for n in SITE_PAPERS if n != "closure-sheet"))


@pytest.mark.parametrize(("what", "path", "_value", "seen", "on"), FACTS, ids=[f[0] for f in FACTS])
def test_a_fact_is_printed_by_these_papers_with_one_value(what, path, _value, seen, on):
    """Exactly the papers of the table print the value, and no other value of it."""
    assert {n for n, text in marked().items() if seen.lower() in text.lower()} == set(on), (what, path)


@pytest.mark.parametrize("old", BEFORE)
def test_nothing_of_the_value_before_is_left(old):
    """No paper has a fact of the site by heart: with another value in the profile the old one is gone."""
    assert {n for n, text in marked().items() if old.lower() in text.lower()} == set(BEFORE[old])


def test_all_numbers_of_the_papers_are_the_ones_given():
    """No telephone number stands on a site paper that is not one of the table, and the emergency number is called first."""
    given = {"944", *(seen for *_, seen, _ in FACTS if seen.startswith("555-")), "555-7004"}
    for name, text in marked().items():
        assert set(re.findall(r"555-\d{4}", text)) <= given, name
        assert set(re.findall(r"\b(?:[Cc]all|[Dd]ial) (\d[\d-]+)", text)) <= {"944"}, name


ALARM_LINE = r"Tell the attendant\..*?Call [\d-]+(?:, then [\d-]+)?\."


@pytest.mark.parametrize("site", FULL)
def test_the_alarm_line_is_the_same_word_for_word(site):
    """Plan, notice, bay signs and gate card tell whoever sees a fall the same, once each."""
    papers = as_it_is(site)
    lines = {name: re.findall(ALARM_LINE, papers[name]) for name in ALARM}
    assert all(len(found) == 1 for found in lines.values()), lines
    assert len({line for (line,) in lines.values()}) == 1
    assert [n for n, text in papers.items() if re.search(ALARM_LINE, text)] == [n for n in papers if n in ALARM]


def test_without_attendant_phone_or_second_number_the_line_stays_one():
    """What falls away falls away on every paper."""
    for changes in (
        {"emergency.second.number": None},
        {"bays[B1].phone": None, "bays[B2].phone": None},
        {"bays[B1].watcher": None, "bays[B2].watcher": None},
    ):
        papers = harrow(changes)
        lines = {re.sub(r"\*\*.*?\*\*", "", m[0]) for n in papers if n in ALARM and (m := re.search(r"(?:Tell the [^.]*\. You see [^?]*\? )?Go (?:to the bay phone|out of the bay)\. Call [^.]*?\.(?= |$)", papers[n]))}  # fmt: skip
        assert len(lines) == 1, (changes, lines)


# --- contradiction: what the papers say, read back as data ---------------------------------------------------------------------------


def table_rows(text: str) -> list[list[str]]:
    """The rows of all tables of a Markdown text, their cells without stress."""
    return [[plainly(cell) for cell in line.strip().strip("|").split("|")] for line in text.splitlines() if line.startswith("|")]


def cells_of_card(text: str) -> dict[str, str]:
    """Label -> value of the tables of a card, whose rows hold one or two of them."""
    return {row[i]: row[i + 1] for row in table_rows(text) for i in range(0, len(row) - 1, 2)}


def rows_by(text: str, *heads: str) -> list[dict[str, str]]:
    """The rows of the first table that begins with these heads."""
    tables = (table_rows(block) for block in text.split("\n\n"))
    head, _, *rows = next(rows for rows in tables if rows and tuple(rows[0][: len(heads)]) == heads)
    return [dict(zip(head, row, strict=True)) for row in rows]


@pytest.mark.parametrize("site", FULL)
def test_bay_and_vehicle_are_the_same_pairs(site):
    """Table 1 of the plan, the notice, the bay signs and the heights of the rescue procedure name the same vehicles in the same bays."""
    texts = made(demo(site))
    names = {b.name: b.id for b in demo(site).site.bays}
    plan: dict[str, set[str]] = {}
    for row in rows_by(texts[PLAN], "Bay", "Vehicle, and how to know it"):
        plan.setdefault(row["Bay"], set()).add(row["Vehicle, and how to know it"].partition(":")[0].lower())
    notice = {m[1]: {v.strip() for v in re.split(r" or the ", m[2])} for m in re.finditer(r"(?:^|[.\n] *)([A-Z][\w ]+): climb only on the (.*?)\.", texts[NOTICE])}  # fmt: skip
    signs = {name: set() for name in names}
    for name, key in names.items():
        line = re.search(r"([^\n]*) only\.\n[^\n]*\n\{: #c\.vehicles", texts[f"bay-sign.{key}"])
        signs[name] = {v.strip().lower() for v in re.split(r", | or ", plainly(line[1]))}
    heights: dict[str, set[str]] = {}
    for row in rows_by(texts[PROCEDURE], "Bay", "Vehicle"):
        heights.setdefault(row["Bay"], set()).add(row["Vehicle"].lower())
    assert plan == {b: {v.lower() for v in vs} for b, vs in notice.items()} == signs
    assert heights == plan


def counts(text: str) -> set[str]:
    """How many climbers at once a paper says may be up, in the words of the paper."""
    said = re.findall(r"\b([Oo]ne|[Tt]wo|[Tt]hree|\d+) climbers? (?:may be up|only|at a time)", text)
    return {word.lower() for word in said}


@pytest.mark.parametrize("site", FULL)
def test_climbers_at_once_and_limits_are_the_same(site):
    """Each paper that says how many may be up, or for whom the equipment is, says the same."""
    papers = as_it_is(site)
    for name in (PLAN, NOTICE, *SIGNS):
        assert counts(papers[name]) == {"one"}, name
    limits = {
        name: (re.findall(r"(?:[Aa]t least|[Mm]inimum) (\d+ (?:lb|kg))", text), re.findall(r"(?:[Ll]ess than|[Uu]p to|not more than|[Uu]nder|[Mm]aximum) (\d+ (?:lb|kg))", text))
        for name, text in papers.items()
    }  # fmt: skip
    lower = {v for low, _ in limits.values() for v in low}
    upper = {v for _, high in limits.values() for v in high}
    assert len(lower) == len(upper) == 1
    assert {n for n, (low, high) in limits.items() if low and high} >= {PLAN, *SIGNS}
    assert all(bool(low) == bool(high) for low, high in limits.values())


ALONE = "nly one climber may be up on this site."
EACH_BAY = "Only one climber may be up in each bay."


@pytest.mark.parametrize("site", FULL)
def test_a_shift_with_fewer_climbers_than_the_bays_together_says_so_on_every_paper(site):
    """One climber a shift at two bays of one each: the notice gives no second one away, and plan and shift sheet say the same."""
    papers = as_it_is(site) | said(demo(site), ("shift-sheet",))
    for name in (PLAN, NOTICE, "shift-sheet"):
        assert papers[name].count(ALONE) == 1, name
    assert [name for name, text in papers.items() if "in each bay." in text] == []


@pytest.mark.parametrize(
    ("more", "here"),
    [(("day", "evening", "night"), ""), (("day", "evening"), "Night: o"), (("night",), "Day and Evening: o")],
)
def test_the_number_on_the_whole_site_is_told_by_shift(more, here):
    """It stands for the shifts that have it; where none is narrower than the bays together the notice speaks of each bay alone."""
    shifts = {
        shift["id"]: shift
        for shift in yaml.safe_load((SITES / "harrow-ridge" / "profile.yaml").read_text(encoding="utf-8"))["shifts"]
    }
    second = {"post": "Second attendant", "part": "attendant", "person": "attendant"}
    changes = {f"shifts[{s}].{key}": value for s in more for key, value in (
        ("climbers_at_once", 2), ("min_persons", 8), ("posts", [*shifts[s]["posts"], second]))}  # fmt: skip
    papers = harrow(changes)
    for name in (PLAN, NOTICE):
        assert re.findall(r"((?:[A-Z]\w+(?:, | and )?)+: o|O)nly one climber may be up on this site\.", papers[name]) == (
            [here] if here else []
        ), name
    assert EACH_BAY in papers[NOTICE]


@pytest.mark.parametrize("site", FULL)
def test_what_stopped_a_fall_is_cleared_alike_on_every_paper(site):
    """Harness and connector are never used again, on plan, rescue procedure and tag; no paper lets the competent person clear them after a fall."""
    papers = as_it_is(site)
    assert "After a fall harness and connector are not used again" in papers[PLAN]
    assert "Harness and connector are not used again; the plan says who clears the rest." in papers[PROCEDURE]
    assert "- harness, connector: destroyed" in papers["out-of-service-tag"]
    assert "alone never clears it." in papers["out-of-service-tag"]
    for name in set(papers) - {PLAN, "out-of-service-tag"}:
        assert not re.search(r"competent person[^.]* (?:has |have )?clear", papers[name], re.IGNORECASE), name


@pytest.mark.parametrize("site", FULL)
def test_no_site_paper_takes_a_role_of_an_employer(site):
    """P40: which role an authority may assert of the site or a firm is for the file of counsel; no paper that others read admits one."""
    roles = re.compile(r"\b(?:host|creating|exposing|correcting|controlling)\b(?:,| and| employer)", re.IGNORECASE)
    assert {name: found[0] for name, text in as_it_is(site).items() if (found := roles.search(text))} == {}


def chain_of(text: str) -> dict[str, tuple[str, str]]:
    """Shift -> caller and backup, as procedure and card say them; an empty shift stands for all."""
    out = {}
    for m in re.finditer(r"(?:((?:[A-Z]\w+(?:, | and )?)+): )?(?:The )?([A-Za-z][a-z0-9 ]*?) calls(?: [\d-]+)?(?:, (?:meets ambulance|who leads|leads))*\. No answer\? (?:The )?([A-Za-z][a-z0-9 ]*?)(?: calls)?(?:, (?:who leads|meets ambulance))*\.", text):  # fmt: skip
        for shift in re.split(r", | and ", m[1] or ""):
            out[shift] = (m[2].lower(), m[3].lower())
    return out


def by_shift(cell: str) -> dict[str, str]:
    """Shift -> post out of a cell such as `Day and Evening: gate operator; Night: attendant`."""
    out = {}
    for part in cell.split("; "):
        shifts, _, post = part.rpartition(": ")
        for shift in re.split(r", | and ", shifts):
            out[shift] = post
    return out


#: A chain of the night of its own, whose posts are free then.
NIGHT = {"caller": "Ground attendant", "backup": "Shift supervisor", "guide": "Rescuer 2", "leader": "Ground attendant"}


@pytest.mark.parametrize("changes", [{}, {"shifts[night].chain": NIGHT}], ids=["one chain", "a night of its own"])
def test_the_chain_of_each_shift_is_the_same_on_procedure_and_cards(changes):
    """Caller and backup, guide and leader, by shift: procedure, both cards and the profile agree."""
    checked = with_changes(demo("harrow-ridge"), changes)
    texts = made(checked)
    shown = {name: chain_of(plainly(texts[name])) for name in RESCUE}
    assert len({tuple(sorted(c.items())) for c in shown.values()}) == 1, shown
    for shift in checked.site.shifts:
        said_of = shown[PROCEDURE].get(shift.name, shown[PROCEDURE].get(""))
        assert said_of is not None
        assert tuple(post.removeprefix("ground ") for post in said_of) == tuple(
            p.lower().removeprefix("ground ") for p in (shift.chain.caller, shift.chain.backup)
        )
        for name in CARDS:
            cells = cells_of_card(texts[name])
            for what, post, duty in (
                ("Leads", shift.chain.leader, "leads"),
                ("Meets ambulance", shift.chain.guide, "meets ambulance"),
            ):
                if (
                    what not in cells
                ):  # whoever calls, or answers where nobody does, has this duty too, and the first lines say so
                    assert post in (shift.chain.caller, shift.chain.backup)
                    assert re.search(rf"{post}[^.?]*{duty}", plainly(texts[name]), re.IGNORECASE), (what, name)
                    continue
                on_card = by_shift(cells[what])
                assert on_card.get(shift.name, on_card.get("")).removeprefix("ground ") == post.lower().removeprefix("ground "), (
                    what
                )


def table_of_methods(text: str) -> dict[str, tuple[str, ...]]:
    """Row of the decision -> the methods that it starts, in their order."""
    rows = re.findall(r"^(?:\| |!\[[^\]]*\]\(symbol:[a-z-]+\) )?\*\*([A-E]|Wind)\*\* (.*)$", text, re.MULTILINE)
    told = {r: t.split(" | ")[1] if " | " in t else t for r, t in rows}
    return {r: tuple(re.findall(r"(?:Method|[Ww]ait for|Hold for|then) (\d)", t)) for r, t in told.items()}


@pytest.mark.parametrize("site", FULL)
def test_ring_heights_order_and_kit_are_the_same_on_procedure_and_cards(site):
    """Highest ring and the range of the feet, the order of the methods, where kits are and where the person is set down."""
    texts = made(demo(site))
    for bay in demo(site).site.bays:
        card = cells_of_card(texts[f"rescue-card.{bay.id}"])
        table = texts[PROCEDURE].replace(
            "| Feet, highest | Lowest |", "| Feet, highest | Feet, lowest |"
        )  # two columns are called so
        rows = [r for r in rows_by(table, "Bay", "Vehicle") if r["Bay"] == bay.name]

        def figure(said: str) -> float:
            return float(re.search(r"-?\d+(?:\.\d+)?", said)[0])

        ring = next(key for key in rows[0] if key.endswith("ring, highest"))
        highest, _, feet = card[ring.partition(",")[0]].partition("; feet ")
        assert figure(highest) == max(figure(r[ring]) for r in rows)
        assert highest.endswith(f" above {bay.heights_over}")
        assert "above" not in feet
        least, most = (float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", feet))
        assert (least, most) == (min(figure(r["Feet, lowest"]) for r in rows), max(figure(r["Feet, highest"]) for r in rows))
        down = next(r for r in rows_by(texts[PROCEDURE], "Bay", "Set down") if r["Bay"] == bay.name)
        assert down["Set down"].lower().startswith(card["Set down"])
        for place in card["Kit"].split("; "):
            assert place in plainly(texts[PROCEDURE]).lower()
        assert card.get("Address", "") in plainly(texts[PROCEDURE])  # on the card only where whoever stands there calls
        told = table_of_methods(texts[PROCEDURE])
        windy = re.search(r"\*\*Wind\*\* in the ([^:]+):", texts[PROCEDURE])
        if windy and bay.name not in windy[1]:
            del told["Wind"]
        assert table_of_methods(texts[f"rescue-card.{bay.id}"]) == told


def test_who_gives_the_word_holds_the_keys_and_releases_is_one_person():
    """Another role in the profile is another one on notice, gate card, climb card and plan, and the old one is gone from these sentences."""
    steps = [
        {"do": "set the brake", "kind": "brake", "by": "driver", "undone_by": "driver"},
        {"do": "chock the wheels", "kind": "chocks", "by": "attendant", "undone_by": "attendant"},
        {"do": "lock the keys in the lockbox", "kind": "lockbox", "by": "driver", "undone_by": "rescue-lead"},
    ]
    for by, who, keys in (("shift-supervisor", "supervisor", "shift-supervisor"), ("rescue-lead", "rescue lead", "rescue-lead")):
        changes: dict[str, object] = {"bays[B1].release.by": by, "bays[B2].release.by": by}
        changes["bays[B1].control.steps"] = [*steps[:2], {**steps[2], "undone_by": keys}]
        papers = harrow(changes)
        assert f"until the {who} releases it" in papers[NOTICE]
        assert f"Climber: climb only when the {who} says so." in papers[NOTICE]
        assert f"Drive only when the {who} hands you the keys" in papers[GATE]
        assert (
            papers[PLAN].count(
                f'{"Shift supervisor" if who == "supervisor" else "Rescue lead"}: say "Truck bay released." Give back the keys to the Truck driver.'
            )
            == 1
        )
        assert f"only the {'Shift supervisor' if who == 'supervisor' else 'Rescue lead'}" in papers[PLAN]
        for name in CLIMB:
            assert f"The {who} opened my bay." in papers[name]


def test_the_ring_is_one_on_every_paper():
    """A front ring is called so by procedure and cards alike; none speaks of the back ring but in the site's own steps."""
    checked = with_changes(demo("harrow-ridge"), {"systems[S1].attachment": "sternal", "systems[S2].attachment": "sternal"})
    for name, text in said(checked, RESCUE).items():
        if name.partition(".")[0] in ("rescue-card", PROCEDURE):
            assert "ront ring" in text, name
            own = [s.text.lower() for m in checked.site.rescue.methods for s in m.steps]
            for sentence in (s for s in sentences_of(text) if "back ring" in s):
                assert any(step in sentence.lower() for step in own), (name, sentence)


def permissions(
    papers: Mapping[str, str], classes: Mapping[str, str], bays: Mapping[str, str]
) -> dict[str, set[tuple[str, str]]]:
    """Paper -> the pairs of class and bay that it permits."""
    out: dict[str, set[tuple[str, str]]] = {PLAN: set(), NOTICE: set(), GATE: set(), "signs": set()}
    for name, key in classes.items():
        plan = re.search(rf"\| {re.escape(name)} \| (.*?) \|", papers[PLAN])
        notice = re.search(rf"An? {re.escape(name.lower())} of a listed firm may climb in (?:the )?(.*?) only", papers[NOTICE])
        card = re.findall(rf"{re.escape(name)}, ([^:]*?): each box needs initials", papers[GATE])
        for bay, of in bays.items():
            for paper, told in ((PLAN, plan and plan[1]), (NOTICE, notice and notice[1]), (GATE, " ".join(card))):
                if told and (bay.lower() in told.lower() or "both bays" in told.lower()):
                    out[paper].add((key, of))
            sign = papers.get(f"bay-sign.{of}", "")
            if re.search(rf"{re.escape(name.lower())} with signed card", sign):
                out["signs"].add((key, of))
    return out


@pytest.mark.parametrize(
    ("site", "changes", "wanted"),
    [
        ("harrow-ridge", {}, set()),
        ("harrow-ridge", CLIMBING, {("service", "B1")}),
        ("harrow-ridge", CLIMBING | {"contractors.classes[service].bays": ["B1", "B2"]}, {("service", "B1"), ("service", "B2")}),
        (
            "harrow-ridge",
            CLIMBING | {"contractors.classes[service].bays": ["B1", "B2"], "bays[B1].closed": DECIDED},
            {("service", "B2")},
        ),
        ("harrow-ridge", CLIMBING | {"bays[B1].closed": DECIDED}, set()),
        ("harrow-ridge", CLIMBING | {"contractors.classes[service].harness_checked": False}, set()),
        ("harrow-ridge", CLIMBING | {"contractors.firms": []}, set()),
    ],
    ids=[
        "nobody",
        "one bay",
        "both bays",
        "one of both is closed",
        "its bay is closed",
        "a condition is false",
        "no listed firm",
    ],
)
def test_no_paper_permits_more_than_another(site, changes, wanted):
    """Class by bay: plan, notice, gate card and signs permit the same pairs, and none where a bay is shut or a condition is not given."""
    checked = with_changes(demo(site), changes)
    classes = {c.name: c.id for c in checked.site.contractors.classes}
    told = permissions(said(checked), classes, {b.name: b.id for b in checked.site.bays})
    assert told == dict.fromkeys(told, wanted)


def test_the_climbing_class_of_the_second_demo_may_the_same_on_every_paper():
    """The clean demo with a class that climbs: one set of pairs, and not an empty one."""
    site = demo("pellan-creek").site
    told = permissions(
        as_it_is("pellan-creek"), {c.name: c.id for c in site.contractors.classes}, {b.name: b.id for b in site.bays}
    )
    assert told[PLAN]
    assert told == dict.fromkeys(told, told[PLAN])


@pytest.mark.parametrize(
    "changes",
    [
        CLIMBING | {"bays[B1].closed": DECIDED},
        CLIMBING | {"contractors.firms": []},
        CLIMBING | {"contractors.classes[service].harness_checked": False},
    ],
    ids=["its bay is closed", "no listed firm", "a condition is false"],
)
def test_a_class_that_may_not_climb_after_all_reads_what_binds_it(changes):
    """What the plan asks of a class stands on the notice and on the gate card too, also where the class may climb by its field and not today."""
    papers = harrow(changes)
    assert re.search(r"\| Service technician \| no \| Work from your own lift\. \|", papers[PLAN])
    for name in (NOTICE, GATE):
        assert "Service technician: work from your own lift." in papers[name], name


#: A ban for everyone, not one for whoever is addressed.
BAN = re.compile(r"\b[Nn]obody(?: else)? (?:may(?: climb)?|climbs?)\b|DO NOT CLIMB|\bNobody may climb\b")
#: Papers on which a general ban needs no exception: the page for whoever finds a person where no rescue is planned.
EXCEPTED = re.compile(
    r"except rescuers in a rescue|Rescuers may still go up\.|Only rescuers may go up|Rescue is always allowed|rescuers only"
)
CLOSURES: Mapping[str, Mapping[str, object]] = {
    "open": {}, "a class climbs": CLIMBING, "one closed by decision": {"bays[B1].closed": DECIDED},
    "both closed by decision": {"bays[B1].closed": DECIDED, "bays[B2].closed": DECIDED},
    "closed by a finding": {"equipment[D-1].arrest_distance.value": "9 ft"}, "a gap of one shift": {"shifts[night].chain": NIGHT},
}  # fmt: skip


@pytest.mark.parametrize("state", CLOSURES)
def test_a_ban_on_climbing_excepts_rescuers(state):
    """Each ban for everyone carries the exception, or stands on a paper that says it once; the rescue papers send rescuers up themselves."""
    checked = with_changes(demo("harrow-ridge"), CLOSURES[state])
    seen = 0
    for name, text in said(checked).items():
        if name in RESCUE:
            assert "Method" in text, name
            continue
        bans = [s for s in sentences_of(text) if BAN.search(s) and "climb" in s.lower()]
        seen += len(bans)
        gap_said = "No rescue is ready." in text  # a sheet with that reason says nothing of rescue
        if bans and not gap_said:
            assert EXCEPTED.search(text), (name, bans)
    assert seen >= 3


def test_a_gap_of_a_whole_bay_excepts_nobody():
    """Where no rescue is planned no paper beside the plan says that rescuers may go up, or that rescue goes on."""
    papers = harrow({"rescue.methods": []})
    assert [name for name, text in papers.items() if name != PLAN and EXCEPTED.search(text)] == []


def test_a_gap_of_every_bay_excepts_nobody_on_the_plan():
    """The plan of a site without any rescue says neither that rescuers may climb nor that rescue is always allowed."""
    assert not EXCEPTED.search(harrow({"rescue.methods": []})[PLAN])


def test_a_gap_of_one_shift_is_told_alike():
    """The cards stay and send rescuers, so plan and notice except them too: a gap of one shift is none of the bay."""
    changes = {"shifts[night].chain": NIGHT, "bays[B2].closed": DECIDED}
    papers = harrow(changes)
    assert "Rescuer" in papers[CARDS[0]] or "Method" in papers[CARDS[0]]
    assert "No rescue is planned" not in papers[CARDS[0]]
    assert papers[PLAN].count("Nobody may climb there, except rescuers in a rescue.") == 2
    assert "Nobody may climb there." not in papers[PLAN]


# --- sense: what the papers tell people to do can be done ------------------------------------------------------------------------


def methods_of(text: str) -> dict[str, dict[str, Any]]:
    """Number of a method -> its table by label, and its steps as (the posts that are named, whether at the same time as others, text)."""
    out: dict[str, dict[str, Any]] = {}
    for part in re.split(r"^#### Method ", text, flags=re.MULTILINE)[1:]:
        part = re.split(r"^## ", part, flags=re.MULTILINE)[0]
        steps = re.findall(r"^1\. (Meanwhile, )?([^:]+): (.*)$", part, re.MULTILINE)
        cells = {row[0]: row[1] for row in table_rows(part) if len(row) == 2 and row[0] not in ("", ":--")}
        start = re.search(r"\*\*Rows? ([A-E](?:(?:, | and )[A-E])*)\*\* starts? it", part)
        always = "**Start it** at once in every case" in part
        out[part[0]] = {
            "start": start[1] if start else "B, C, D, E" if always else "",
            "cells": cells,
            "steps": [(posts_in(who), bool(same), does) for same, who, does in steps],
        }
    return out


def posts_in(said_by: str) -> list[str]:
    """`Rescuers 1 and 2` -> Rescuer 1, Rescuer 2; any other post as it is."""
    several = re.fullmatch(r"(\w+)s ((?:\d(?:, | and )?)+)", said_by)
    return [f"{several[1]} {n}" for n in re.findall(r"\d", several[2])] if several else [said_by]


@pytest.mark.parametrize("site", FULL)
def test_a_row_of_the_decision_starts_only_methods_that_serve_it(site):
    """Each method that a row names says itself that it is started in that row; a row that names none waits for help."""
    text = made(demo(site), (PROCEDURE,))[PROCEDURE]
    rows, methods = table_of_methods(text), methods_of(text)
    assert {r for r, named in rows.items() if named} >= {"B", "C", "D", "E"}
    for row in "BCDE":
        serve = [n for n, m in methods.items() if re.search(rf"\b{row}\b", m["start"])]
        first = rows[row][0]
        assert first in serve, (row, first, serve)
        for after in rows[row][1:]:
            assert after in serve, (row, after)


@pytest.mark.parametrize("site", FULL)
def test_whoever_has_a_duty_in_a_rescue_is_there_on_every_climbing_shift(site):
    """Callers, backups, guides, leaders and the posts of each step are posts of each shift on which people climb, each with a person."""
    checked = demo(site)
    text = made(checked, (PROCEDURE,))[PROCEDURE]
    named = {post for m in methods_of(text).values() for posts, _, _ in m["steps"] for post in posts}
    assert any(post.startswith("Rescuer") for post in named)
    climbing = [s for s in checked.site.shifts if s.climbing]
    assert climbing
    for shift in climbing:
        posts = {p.post: p.person for p in shift.posts}
        chain = shift.chain
        for post in (chain.caller, chain.backup, chain.guide, chain.leader):
            assert posts.get(post), (shift.id, post)
        for post in named:
            there = [p for p in posts if p == post or p.lower().endswith(post.lower())]
            assert there, (shift.id, post)
            assert all(posts[p] for p in there)


@pytest.mark.parametrize("site", FULL)
def test_nobody_has_two_steps_in_the_same_minute_and_every_step_has_somebody(site):
    """By the schedule of each shift: every step of a method is on a post with a person, and no person does two at once."""
    checked = demo(site)
    looked = 0
    for row in checked.assessed.rescues:
        if row.kind == "outside" or row.closed:
            continue
        times = {t.id: (t.start.si, t.finish.si) for t in row.timings}
        method = next(m for m in checked.site.rescue.methods if m.id == row.method)
        assert {t.step for t in row.turns} == {s.id for s in method.steps}, (row.method, row.shift)
        by_person: dict[str, set[str]] = {}
        for turn in row.turns:
            assert turn.person, (row.method, row.shift, turn.step)
            by_person.setdefault(turn.person, set()).add(turn.step)
        for person, steps in by_person.items():
            spans = sorted(times[s] for s in steps)
            for (_, end), (start, _) in pairwise(spans):
                assert end <= start + 1e-9, (row.method, row.shift, person, spans)
                looked += 1
    assert looked > 10


@pytest.mark.parametrize("site", FULL)
def test_climber_attendant_and_rescuers_are_different_people(site):
    """On each shift nobody who climbs watches or rescues."""
    for shift in demo(site).site.shifts:
        by_part: dict[str, set[str]] = {}
        for post in shift.posts:
            by_part.setdefault(post.part, set()).add(post.person)
        climbs, watches, rescues = (by_part.get(part, set()) for part in ("climber", "attendant", "rescuer"))
        assert climbs
        assert watches
        assert rescues
        assert len(climbs | watches | rescues) == len(climbs) + len(watches) + len(rescues), shift.id


@pytest.mark.parametrize("site", FULL)
def test_each_high_hook_has_a_reach_and_somebody_who_undoes_it(site):
    """A method with a step that releases the device says how the hook is undone, by whom, and up to what height: not under the highest ring."""
    texts = made(demo(site), (PROCEDURE,))
    methods = methods_of(texts[PROCEDURE])
    highest = max(float(re.search(r"[\d.]+", r[k])[0]) for r in rows_by(texts[PROCEDURE], "Bay", "Vehicle") for k in r if "ring, highest" in k)  # fmt: skip
    with_hook = [m for m in methods.values() if any(re.search(r"release", does) for _, _, does in m["steps"])]
    assert with_hook
    for method in with_hook:
        cells = method["cells"]
        assert re.match(r"(?:Rescuer \d|[A-Z]\w+)", cells["High hook"])
        reach = [float(x) for x in re.findall(r"up to ([\d.]+)", cells["Reach"])]
        assert reach
        assert min(reach) >= highest, (reach, highest)


@pytest.mark.parametrize("site", FULL)
def test_the_appeal_goes_to_somebody_who_decides_no_step(site):
    """Whom the notice names for an appeal decides none of the steps that plan and notice list."""
    papers = as_it_is(site)
    appeal = re.search(r"Appeal to the ([\w ]+?)\.", papers[NOTICE])
    assert appeal
    deciders = set(re.findall(r"The ([\w ]+?) may (?:correct|send|stop|end|close|take|hand)", papers[NOTICE]))
    listed = {m.lower() for m in re.findall(r"\((\w[\w ]+), [\w ]*log\)", papers[PLAN])}
    assert deciders
    assert listed
    assert appeal[1] not in deciders | listed
    assert f"Appeal to the {appeal[1]}." in papers[PLAN]


def test_a_phone_lies_where_one_may_call():
    """Each bay phone that the papers send people to stands where the area allows it."""
    for site in FULL:
        for bay in demo(site).site.bays:
            assert bay.phone.area_allows is True
            assert bay.phone.place.lower() in as_it_is(site)[PLAN].lower()


#: One change a rule of sense, and the finding that stops it: what the tests above hold of the demos, the program holds of every site.
SENSELESS = [
    ({"contractors.appeal": "Appeal to the terminal manager"}, "appeal-to-decider"),
    ({"bays[B1].phone.area_allows": False}, "phone-in-forbidden-area"),
    ({"shifts[day].chain.caller": "Climber 1"}, None),
    ({"rescue.methods[M2].hook.reach": "12 ft"}, None),
    ({"shifts[day].chain.leader": None}, "chain-incomplete"),
]


@pytest.mark.parametrize(("change", "name"), SENSELESS, ids=[next(iter(c)) for c, _ in SENSELESS])
def test_what_makes_no_sense_stops_the_papers(change, name):
    """A must-fix finding that the clean demo has not: the paper is a draft, or its bay is closed."""
    before = {f.name for f in demo("harrow-ridge").assessed.findings if f.severity == "must-fix"}
    now = {f.name for f in with_changes(demo("harrow-ridge"), change).assessed.findings if f.severity == "must-fix"}
    assert now - before, change
    assert name is None or name in now


# --- mutation: a change moves the papers that print it, and no other -------------------------------------------------------------------

CLERK = [
    {"post": "Climber 1", "part": "climber", "person": "U-01"}, {"post": "Climber 2", "part": "climber", "person": "U-02"},
    {"post": "Ground attendant", "part": "attendant", "person": "attendant", "steps": ["M1.alarm", "M1.voice", "M2.alarm", "M2.under", "M3.alarm"]},
    {"post": "Rescuer 1", "part": "rescuer", "person": "RS-1", "steps": ["M1.rescuer", "M1.up", "M1.down", "M2.fetch", "M2.rig", "M2.raise", "M2.lower", "M3.bring", "M3.roll", "M3.support", "M3.ground"]},
    {"post": "Rescuer 2", "part": "rescuer", "person": "RS-2", "steps": ["M1.down", "M2.fetch", "M2.attach", "M2.raise", "M2.lower", "M3.bring", "M3.roll", "M3.support", "M3.free", "M3.ground"]},
    {"post": "Shift supervisor", "part": "supervisor", "person": "shift-supervisor", "steps": ["M1.meter", "M2.meter", "M3.meter"]},
    {"post": "Gate operator", "part": "gate-operator", "person": "gate", "steps": ["M4.call"]}, {"post": "Duty clerk", "part": "other", "person": "safety-manager"},
]  # fmt: skip
WITH_CLERK = {"shifts[day].posts": CLERK, "shifts[day].min_persons": 7}

#: Site, what was changed before, the change, the papers whose text moves, and those beside them of which an approval lapses, since they read the field.
MOVES: Mapping[str, tuple[str, Mapping[str, object], Mapping[str, object], tuple[str, ...], tuple[str, ...]]] = {
    "a class's bay": ("pellan-creek", {}, {"contractors.classes[service].bays": ["B1"]}, (PLAN, NOTICE, GATE, *SIGNS, OUTLINE), ()),
    "a class's condition": ("harrow-ridge", {}, {"contractors.classes[service].conditions": ["work from a tower"]}, (PLAN, NOTICE, GATE), ()),
    "the second number": ("harrow-ridge", {"emergency.second.who": "Shift supervisor"}, {"emergency.second.number": "555-7001"}, (*ALARM, OUTLINE), ()),
    "the number to call back": ("harrow-ridge", {}, {"emergency.callback": "555-7001"}, (PROCEDURE,), ()),
    "the caller of a shift": ("harrow-ridge", WITH_CLERK, {"shifts[day].chain.caller": "Duty clerk"}, (PLAN, *RESCUE), ()),
    "the guide of a shift": ("harrow-ridge", WITH_CLERK, {"shifts[day].chain.guide": "Duty clerk"}, RESCUE, (PLAN,)),
    "the highest ring": ("harrow-ridge", {}, {"limits.stature.tallest.value": "5.35 ft"}, (RECORD, *RESCUE), (PLAN, OUTLINE)),
    "the lowest ring": ("harrow-ridge", {}, {"limits.stature.shortest.value": "4.3 ft"}, (RECORD, PROCEDURE), ()),
    "an arrest distance": ("harrow-ridge", {}, {"equipment[D-1].arrest_distance.value": "36 in"}, (RECORD, PLAN, PROCEDURE, CARDS[0]), (OUTLINE,)),
    "the alarm words": ("harrow-ridge", {}, {"emergency.radio.word": "LINE"}, (PLAN, NOTICE, GATE, *RESCUE, *CLIMB, OUTLINE), ()),
    "the wind": ("harrow-ridge", {}, {"limits.weather.wind": "24 mph"}, (PLAN, NOTICE, *CLIMB), (*SIGNS, OUTLINE)),
    "the place of a phone": ("harrow-ridge", {}, {"bays[B1].phone.place": "Zinc wall"}, (PLAN,), (NOTICE, GATE, SIGNS[0], OUTLINE)),
    "the post with the red mark": ("harrow-ridge", {}, {"bays[B1].ladder.mark_on": "Zinc post"}, (PLAN,), (CLIMB[0],)),
}  # fmt: skip


@cache
def bodies_as_they_are(site: str) -> Mapping[str, tuple[str, str]]:
    """Those of a demo."""
    return bodies(demo(site))


def bodies(checked: Assessed) -> dict[str, tuple[str, str]]:
    """Paper with a digest -> its digest and its text."""
    return {
        name: (p.body.digest, p.body.markdown) for name, p in composed(checked, ("md",), wanted=DIGESTED).items() if p.body.digest
    }


@pytest.mark.parametrize("what", MOVES)
def test_a_change_moves_the_papers_that_print_it(what):
    """The texts that differ are exactly those of the table; no approval of another paper lapses but of those that read the field."""
    site, first, change, moved, read_too = MOVES[what]
    before, after = (with_changes(demo(site), {**first, **more}) for more in ({}, change))
    assert not any(s.shut for c in (before, after) for s in c.assessed.planned)
    old, new = bodies(before) if first else bodies_as_they_are(site), bodies(after)
    assert old.keys() == new.keys()
    assert {n for n in old if old[n][1] != new[n][1]} == set(moved)
    assert {n for n in old if old[n][0] != new[n][0]} == {*moved, *read_too}


ENTRIES = [
    {"kind": "inspection", "part": "D-1", "result": "fail", "serial": "X-1"},
    {
        "kind": "drill",
        "method": "M2",
        "shift": "night",
        "bay": "B1",
        "vehicle": "tanker",
        "contact": "30 min",
        "ground": "60 min",
    },
    {"kind": "training", "person": "U-01", "course": "Another course", "language": "es", "practical": False},
    {"kind": "contact", "contact": "Control room", "number": "555-0199", "answered": False},
    {"kind": "arrest", "bay": "B1", "parts": ["D-1"], "persons": ["U-01"]},
]


@pytest.mark.parametrize("entry", ENTRIES, ids=[e["kind"] for e in ENTRIES])
def test_what_happened_moves_no_paper_with_a_digest(entry):
    """Inspection, drill, training, phone test, arrest: the same digests and texts, though the day closes a bay or says that something is due."""
    log = logged(log_of("harrow-ridge"), [{"add": {"on": "2026-10-30", "by": "X. Writer", **entry}}])
    assert bodies(with_changes(demo("harrow-ridge"), {}, log=log)) == bodies_as_they_are("harrow-ridge")


def test_another_day_and_a_later_holder_move_no_body():
    """`--as-of` half a year later, and a holder who takes over after the day of the papers: the same digests, and past acts keep their names."""
    before = bodies_as_they_are("harrow-ridge")
    assert bodies(with_changes(demo("harrow-ridge"), {}, as_of=AS_OF + timedelta(days=180))) == before
    holders = [{"name": "T. Maran", "from": "2025-01-06", "to": "2026-12-31", "accepted_on": "2025-01-06"}, {"name": "N. Later", "from": "2027-01-01", "accepted_on": "2027-01-01"}]  # fmt: skip
    later = with_changes(demo("harrow-ridge"), {"roles[qualified-person].holders": holders}, as_of=AS_OF + timedelta(days=180))
    assert bodies(later) == before
    assert "T. Maran designed the rail" in before[PLAN][1].replace("\u00a0", " ")


# --- closure: it takes permissions away, and never the rescue --------------------------------------------------------------------------

#: What belongs to B1 alone and must stand on no site paper, rescue aside, while it is shut.
OF_B1 = {
    "bays[B1].marked_area.name": "hatched oval", "bays[B1].marked_area.how": "A violet line on the slab", "bays[B1].ladder.mark_on": "Cobalt post",
    "vehicles[tanker].name": "Zebu trailer", "bays[B1].release.words": "Truck bay let go", "bays[B1].release.clear_words": "Truck bay, nobody up",
    "bays[B1].hook_up.how": "A cerise tagline brings the hook down", "bays[B1].red_stop.place": "Ochre post", "bays[B1].parking.marks": "Sienna guides",
}  # fmt: skip
WORDS_OF_B1 = ("hatched oval", "violet", "cobalt", "zebu", "let go", "nobody up", "cerise", "ochre", "sienna")
SHUT: Mapping[str, Mapping[str, object]] = {
    "by decision": {"bays[B1].closed": DECIDED},
    "by a finding": {"equipment[D-1].arrest_distance.value": "9 ft"},
    "for want of a fact": {"bays[B1].watcher": None},
    "by a gap": {"rescue.methods": []},
}


def the_closed(how: str) -> Assessed:
    """The first demo with its truck bay shut in a way."""
    checked = with_changes(demo("harrow-ridge"), {**OF_B1, **SHUT[how]})
    state = next(s for s in checked.assessed.planned if s.bay == "B1")
    assert state.shut
    return checked


def test_the_words_of_the_bay_are_printed_while_it_is_open():
    """What the next test looks for would be found: all of it stands on the papers of the open bay."""
    text = " ".join(said(with_changes(demo("harrow-ridge"), OF_B1)).values()).lower()
    assert [word for word in WORDS_OF_B1 if word not in text] == []


@pytest.mark.parametrize("how", SHUT)
def test_no_site_paper_prints_anything_of_a_shut_bay_but_its_rescue(how):
    """Neither permission nor limit, distance, step or place of it: its clauses say that it is closed, without a figure but the day."""
    checked = the_closed(how)
    papers = composed(checked, ("md",), wanted=SITE_PAPERS)
    assert not {"bay-sign.B1", "climb-card.B1"} & set(papers)
    for name, paper in papers.items():
        if name == "index" or name.startswith("rescue"):
            continue
        text = plainly(paper.document.markdown).lower()
        assert [word for word in WORDS_OF_B1 if word in text] == [], name
        for clause in paper.body.clauses:
            if clause.id.endswith(".B1"):
                rest = clause.text.replace("2026-10-20", "")
                assert not re.search(r"\d", rest), (clause.id, rest)
                assert not re.search(r"\bmay (?!climb there)", rest), clause.id
    assert "closed" in plainly(papers[PLAN].document.markdown)


@pytest.mark.parametrize("how", SHUT)
def test_a_closure_leaves_the_rescue(how):
    """Card and pages stay under the band; where no rescue is planned the page that says so takes their place; the sheet says that rescue goes on."""
    texts = made(the_closed(how))
    card, procedure, sheet = texts["rescue-card.B1"], texts[PROCEDURE], plainly(texts["closure-sheet.B1"])
    if how == "by a gap":
        assert "no rescue is planned" in card
        assert "Truck bay: no rescue is planned." in procedure
        assert "Method" not in card + procedure
        assert "Rescuers may still go up." not in sheet
        assert "No rescue is ready." in sheet
    else:
        assert table_of_methods(card) == table_of_methods(procedure) == table_of_methods(made(demo("harrow-ridge"))[PROCEDURE])
        assert "Bay closed" in card
        assert "Bay closed: Truck bay. Nobody may climb there, except rescuers in a rescue." in plainly(procedure)
        assert any(r["Bay"] == "Truck bay" for r in rows_by(procedure, "Bay", "Set down"))
        assert "Rescuers may still go up." in sheet
    assert "Hang this over bay sign and ladder, never over rescue card, kit, phone or red stop." in sheet
    assert "Ask the terminal manager, 555-0140." in sheet


NUMBERED = (NOTICE, "closure-sheet", GATE, PROCEDURE, "rescue-card")
NUMBER_OF_LAW = {"AU": "000", "CA": "911", "GB": "999", "IE": "112 or 999", "NZ": "111", "US": "911"}


@pytest.mark.parametrize("site", [name for name in ALL_DEMOS if name not in FULL])
def test_a_site_without_a_number_of_its_own_prints_the_one_of_the_law(site):
    """Whoever finds a person hanging in a closed bay reads a number, and no box to fill in; the worksheet says where it was read."""
    checked = demo(site)
    assert checked.site.emergency.public.number is None
    number = NUMBER_OF_LAW[checked.site.site.jurisdiction[:2]]
    texts = said(checked, (*NUMBERED, "worksheet"))
    for name, text in texts.items():
        assert "emergency number" not in text or name == "worksheet", name
        if name.partition(".")[0] in NUMBERED:
            assert re.search(rf"\b[Cc]all {number}\b", text), name
    if "public emergency number" in texts["worksheet"]:
        assert re.search(rf"Until then the papers print {number} \([^)]+\)", texts["worksheet"])


def test_a_number_that_nobody_knows_is_a_gap_and_no_blank():
    """Where nobody read one in the law either: no rescue is planned in any bay, the second number is called, and it says why."""
    code, key = demo("harrow-ridge").code, "public_emergency_number"
    checked = with_changes(demo("harrow-ridge"), {"emergency.public": None}, code=code.before({key: code.blank(key)}, {}))
    assert any(f.name == "emergency-number-unknown" for f in checked.assessed.findings)
    for name, text in said(checked, NUMBERED).items():
        assert "all 555-0150 for help. No emergency number is known here." in text, name
        assert "911" not in text, name
        if name.startswith("rescue"):
            assert "no rescue is planned" in text, name


def test_a_bay_without_a_number_of_the_site_keeps_its_rescue_by_the_number_of_the_law():
    """The fact is missing and closes the bay; the card stays whole under its band, with the number that was read in the law."""
    texts = said(with_changes(demo("harrow-ridge"), {"emergency.public": None}), ("rescue-card", "worksheet"))
    assert (
        "Until then the papers print 911 (47 U.S.C. 251(e)(3)). Confirm it from the telephones of the site." in texts["worksheet"]
    )
    card = texts["rescue-card.B1"]
    assert "Bay closed SUSPENDED WORKER Truck bay: call 911" in card
    assert "Method 2" in card


@pytest.mark.parametrize("bay", ["B1", "B2"])
@pytest.mark.parametrize("site", FULL)
def test_closing_a_bay_by_decision_holds_back_no_paper(site, bay):
    """The words that say so are not counted against the sheet; notice, gate card and rescue card fit their pages all the same."""
    checked = with_changes(demo(site), {f"bays[{bay}].closed": {**DECIDED, "by": demo(site).site.document.owner}})
    assessed, bodies = compared_site(checked)
    assert [f for f in assessed.assessed.findings if f.severity == "must-fix"] == []
    for name, paper in composed(assessed, ("pdf",), bodies=bodies, wanted=(NOTICE, GATE, "rescue-card")).items():
        if found(name.partition(".")[0]):
            assert overflow(paper.document) == (), name
    text = plainly(" ".join(clause.text for clause in bodies[NOTICE]["en"].clauses))
    assert "in each bay" not in text


CLOSED_TODAY = {"kind": "closure", "on": "2026-11-01", "by": "J. Whitlow", "bay": "B1", "reason": "The hook does not lock"}


def test_closed_today_moves_no_paper_with_a_digest():
    """A closure of the day is a sheet over the sign: sign, card and every other text stay as they were issued."""
    log = logged(log_of("harrow-ridge"), [{"add": CLOSED_TODAY}])
    checked = with_changes(demo("harrow-ridge"), {}, log=log)
    assert {s.bay: s.state for s in checked.assessed.bays}["B1"] == "closed-today"
    assert bodies(checked) == bodies_as_they_are("harrow-ridge")
    texts = made(checked)
    assert "Rescuers may still go up." in texts["closure-sheet.B1"]
    assert "closure-sheet.B2" not in texts
    assert {"bay-sign.B1", "climb-card.B1", "rescue-card.B1"} <= set(texts)
    assert "Bay closed" not in texts["rescue-card.B1"]


STATES: Mapping[str, Mapping[str, object]] = {
    "open": {}, **SHUT, "all by decision": {"bays[B1].closed": DECIDED, "bays[B2].closed": DECIDED}, "no local code": {"codes.local": []}, "nobody reviews": {"reviewers": []},
}  # fmt: skip


def blocks(texts: Mapping[str, str]) -> None:
    """Plan and procedure have local codes, who governs, and the block for the licensed reviewer."""
    plan, procedure = texts[PLAN], texts[PROCEDURE]
    assert re.search(r"^## Local codes", plan, re.MULTILINE)
    assert re.search(r"a (?:licensed|competent) professional decides", plainly(plan))  # by the words of the place
    assert re.search(
        r"^(?:Th(?:is|ese) local codes? (?:is|are) applied here: .+|No local code is applied here yet)\. The authority having jurisdiction governs\.",
        procedure,
        re.MULTILINE,
    )
    for text in (plan, procedure):
        block = text[text.index("Licensed review") :]
        assert re.search(r"[Ll]icense number|License, place, expires|[Ll]icence", block)
        assert re.search(r"seal", block)
        assert re.search(r"not reviewed|reviewed|lapsed", block)


@pytest.mark.parametrize("state", STATES)
def test_local_codes_and_licensed_review_stand_in_every_state(state):
    """Open or closed in any way, with and without a local code, whoever reviews or nobody."""
    texts = made(with_changes(demo("harrow-ridge"), STATES[state]), (PLAN, PROCEDURE))
    blocks(texts)
    if state == "no local code":
        assert "no local code is applied here yet" in plainly(texts[PROCEDURE]).lower()


@pytest.mark.parametrize("site", sorted(p.name for p in SITES.iterdir() if (p / "profile.yaml").is_file()))
def test_they_stand_at_every_demo(site):
    """Thin, failing and foreign sites have them too."""
    blocks(made(demo(site), (PLAN, PROCEDURE)))


def test_nothing_links_the_folder_of_counsel(tmp_path):
    """With everything written, no page of the site's folder leads to the folder for counsel or names a file in it."""
    code, _, err = run(
        "render",
        str(SITES / "harrow-ridge"),
        "--into",
        str(tmp_path),
        "--all",
        "--types",
        "md,html",
        "--as-of",
        AS_OF.isoformat(),
    )
    assert code in (0, 1), err
    (apart,) = [p for p in tmp_path.iterdir() if p.name.endswith(".counsel")]
    names = {p.name for p in apart.iterdir() if p.stem.startswith("legal-file")}
    assert names
    pages = [p for p in (tmp_path / "harrow-ridge").rglob("*") if p.suffix in (".html", ".md", ".json")]
    assert len(pages) > 10
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert ".counsel" not in text, page.name
        assert not any(re.search(rf"(?:href=[\"']|\]\()[^\"')]*{re.escape(name)}", text) for name in names), page.name


def test_sentences_of_a_closure_are_short():
    """The sheet is read in passing: at most eight words a sentence, none without a verb, but the reason of the site stands on the plan alone."""
    for how in SHUT:
        text = made(the_closed(how))["closure-sheet.B1"]
        found_in = read(text[: text.index("Hang this over")])
        assert found_in.longest <= 8
        assert found_in.verbless == ()
        assert DECIDED["reason"] not in text


# --- the reader's tests: a driver with a minute, a rescuer at two in the morning -------------------------------------------------------


def keep_half(site: str) -> str:
    """The half of the gate card that goes along."""
    return plainly(made(demo(site), (GATE,))[GATE].partition("\n---\n")[0])


DRIVER = {
    "May I climb?": r"You must not climb\.",
    "Where do I stay?": r"Then stay in the [^.]*(?:cab|room)[^.]*\.",
    "What about my keys?": r"lock the keys in the lockbox\.",
    "When may I drive?": r"Drive only when the [\w ]+ (?:hands you the keys|releases you) and the [\w ]+ signals\.",
    "Someone falls: what do I do?": ALARM_LINE,
    "Whom do I ask?": r"Ask the [\w ]+, [\d-]+\.",
}


@pytest.mark.parametrize("site", FULL)
@pytest.mark.parametrize("question", DRIVER)
def test_the_driver_finds_each_answer_once_in_a_short_sentence(site, question):
    """Six of six from the half that goes along, each once, in sentences of at most 13 words; all of it within a minute at 120 words."""
    half = keep_half(site)
    answers = re.findall(DRIVER[question], half)
    assert len(answers) == 1, (question, answers)
    body = half.partition("keep this half with you.")[2]
    assert max(len(sentence.split()) for sentence in sentences_of(body)) <= 13
    assert len(body.split()) <= 120


@pytest.mark.parametrize("site", FULL)
def test_bay_sign_and_gate_half_give_the_driver_the_same_answers(site):
    """Both forbid the driver to climb, keep those on foot out of the same marked areas, and tell the same alarm, word for word."""
    papers, half = as_it_is(site), keep_half(site)
    for bay in demo(site).site.bays:
        sign = papers[f"bay-sign.{bay.id}"]
        assert re.search(r"(?:Truck driver|Others): do not climb\.", sign)
        assert f"outside the {bay.marked_area.name}" in sign
        assert bay.marked_area.name in re.search(r"stay outside the ([^.]*)\.", half)[1]
        assert re.search(ALARM_LINE, sign)[0] == re.search(ALARM_LINE, half)[0]
        assert max(len(s.split()) for s in sentences_of(re.search(ALARM_LINE, sign)[0])) <= 13


TWELVE = {
    "the alarm words": "{word}", "the number": "call {number}", "the method for who hangs and is silent": "Anything else, unsure? Method {first}.",
    "the red stop": "Press red stop ({stop}) unless A.", "no answer": "No answer? {backup}", "who leads": "{leader}, who leads.", "the rescuer's anchor": "Anchor | {anchor}",
    "the kit": "Kit | {kit}", "the ring": "ring | up to ", "the set-down place": "Set down | {down}", "who meets the ambulance": "{guide} calls, meets ambulance.", "what not to do": "Never cut the line or lift with arm, crane, forks.",
}  # fmt: skip


@pytest.mark.parametrize("site", FULL)
@pytest.mark.parametrize("bay", ["B1", "B2"])
def test_the_card_answers_the_twelve_questions_of_the_night_once_each(site, bay):
    """From the card alone, as the profile has it: each of the twelve stands there once."""
    known, text = demo(site).site, as_it_is(site)[f"rescue-card.{bay}"]
    chain = known.shifts[0].chain
    row = table_of_methods(made(demo(site), ("rescue-card",))[f"rescue-card.{bay}"])["E"]
    place = known.rescue.kit_places[0].place
    anchor = next(b for b in known.bays if b.id == bay).rescue_anchors[0].place
    down = re.search(r"Set down \| ([^|]*) \|", text)[1]
    stop = next(b for b in known.bays if b.id == bay).red_stop.place
    values = {
        "word": known.emergency.radio.word, "number": known.emergency.public.number, "first": row[0], "backup": chain.backup, "leader": chain.leader,
        "guide": chain.guide, "anchor": anchor[0].lower() + anchor[1:], "kit": place[0].lower() + place[1:], "down": down,
        "stop": stop[0].lower() + stop[1:],
    }  # fmt: skip
    for what, answer in TWELVE.items():
        assert text.count(answer.format(**values)) == 1, (what, answer.format(**values))


@pytest.mark.parametrize("site", FULL)
@pytest.mark.parametrize("bay", ["B1", "B2"])
def test_the_first_three_answers_stand_in_the_upper_half_and_can_be_read(site, bay):
    """Alarm words and number in the upper half of the sheet, the row for who is silent in the upper 60 %, in type that serves where the card hangs, by
    the light of a torch: wind stands above the rows that it changes, so that the last row of them begins a little below the middle."""

    reader = pytest.importorskip("pypdf")
    document = composed(demo(site), ("pdf",), wanted=("rescue-card",))[f"rescue-card.{bay}"].document
    page = reader.PdfReader(io.BytesIO(render(document).data)).pages[0]
    seen: list[tuple[str, float, float]] = []

    def look(said_there: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if said_there.strip():
            seen.append((said_there, tm[5] * cm[3] + cm[5], size * abs(tm[3])))

    page.extract_text(visitor_text=look)
    known = demo(site).site
    whole = float(page.mediabox.height)
    answers = (
        (known.emergency.radio.word.split()[-1], 0.5),
        (f"call {known.emergency.public.number}", 0.5),
        ("Anything else", 0.4),
    )
    for answer, least in answers:
        upper = " ".join(said_there for said_there, height, _ in seen if height > whole * least)
        assert answer in upper.replace("\u00a0", " "), answer
    (hangs,) = [p for p in known.posting if p.paper == f"rescue-card.{bay}"]
    body = min(size for _, _, size in seen if size > 10)  # the foot is smaller
    assert reading_distance(body, lit=True) >= hangs.read_from.si
    assert max(size for _, _, size in seen) >= 36


WEATHER = re.compile(r"thunder|lightning|\bsnow\b|\bgusts?\b|strong wind|\*\*Wind\*\*|\bwind of\b|closes the bays", re.IGNORECASE)
WEATHER_OF = ("fall-protection-plan", "contractor-notice", "bay-sign", "climb-card", "rescue-procedure", "rescue-card")


def told_of_weather(changes):
    """Name of each paper of harrow-ridge -> the lines on weather, with plain blanks."""
    made = composed(with_changes(demo("harrow-ridge"), changes), ("md",))
    return {
        name: [line.replace("\u00a0", " ") for line in paper.document.markdown.splitlines() if WEATHER.search(line)]
        for name, paper in made.items()
        if name.partition(".")[0] in WEATHER_OF
    }


def test_a_bay_inside_a_building_has_no_weather():
    """Sign, cards and wind rule of an indoor bay say nothing of wind, thunder and ice; papers of both bays name the one outside."""
    told = told_of_weather({"bays[B2].setting": "indoor"})
    assert [name for name, lines in told.items() if name.endswith(".B2") and lines] == []
    assert all(told[f"{paper}.B1"] for paper in ("bay-sign", "climb-card", "rescue-card"))
    assert told["contractor-notice"]
    assert told["contractor-notice"][0].startswith("Truck bay: do not climb in thunder")
    plan = " ".join(told["fall-protection-plan"])
    assert "closes the Truck bay at a wind of" in plan
    assert "closes the bays" not in plan
    assert any("**Wind** in the Truck bay:" in line for line in told["rescue-procedure"])


def test_where_every_bay_is_inside_no_paper_speaks_of_weather():
    """Nothing is closed by wind there; the limits of the air's temperature stay, since the devices have them."""
    inside = {"bays[B1].setting": "indoor", "bays[B2].setting": "indoor"}
    assert {name: lines for name, lines in told_of_weather(inside).items() if lines} == {}
    plan = composed(with_changes(demo("harrow-ridge"), inside), ("md",))["fall-protection-plan"].document.markdown
    assert "All bays close below" in plan.replace("\u00a0", " ")
    assert "weather that closes the bays is not decided" not in plan


def test_bays_outside_are_told_together():
    """Where all are outside no bay is named: the rule is that of the bays."""
    told = told_of_weather({})
    assert told["contractor-notice"][0].startswith("Do not climb in thunder")
    assert "closes the bays at a wind of" in " ".join(told["fall-protection-plan"])
    assert any(line.startswith("| **Wind** 25 mph or more?") for line in told["rescue-procedure"])
