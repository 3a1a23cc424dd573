"""From nothing to a site that is fit to issue: what somebody types who begins, counted.

The yard (tests/newcomer) is invented for this: two bays for one kind of trailer, dry product without gas or fire, one shift, one rescue
of its own and one from outside. What is typed into the profile by hand is counted value by value against what `docgen start` wrote;
what comes out of tables (equipment, climbers and rescuers, training, inspections) is counted apart. Version 0.1.0 took some 950 keys.
"""

from __future__ import annotations

import csv
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from support import AS_OF, PlainLoader, run, table

from docgen.beginning import questions
from docgen.checked import Assessed
from docgen.logbook import appended
from docgen.pipeline import check_site
from docgen.site.models import of_the_model

HERE = Path(__file__).parent / "newcomer"
ANSWERS, TYPED, SHEETS = (table(HERE / f"{name}.yaml") for name in ("answers", "typed", "sheets"))
SECOND = tuple(table(HERE / f"{name}.yaml") for name in ("second", "second_typed", "second_sheets"))
DAY = AS_OF.isoformat()
MOST = 350
NAMED_BY = ("id", "side", "kit", "role", "at", "shift")


def merged(old: Any, new: Any) -> Any:
    """What stands there with what is typed into it; entries of a list are found by what names them, any other list is typed anew."""
    if isinstance(old, dict) and isinstance(new, dict):
        return {**old, **{key: merged(old.get(key), value) for key, value in new.items()}}
    if isinstance(old, list) and isinstance(new, list) and (key := _key(new)) and all(isinstance(e, dict) for e in old):
        mine = {entry[key]: entry for entry in new}
        kept = [merged(entry, mine.pop(entry.get(key), {})) for entry in old]
        return [*kept, *mine.values()]
    return new


def _key(entries: list[Any]) -> str | None:
    return next((k for k in NAMED_BY if entries and all(isinstance(e, dict) and k in e for e in entries)), None)


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Every value with its place; an empty list is one value."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list) and value:
        for number, inner in enumerate(value):
            name = next((inner[k] for k in NAMED_BY if k in inner), number) if isinstance(inner, dict) else number
            yield from leaves(inner, (*path, name))
    else:
        yield path, value


def typed(before: Any, after: Any) -> list[tuple[Any, ...]]:
    """The values of `after` that do not stand so in `before`."""
    there = dict(leaves(before))
    return [path for path, value in leaves(after) if path not in there or there[path] != value]


def read(site: Path) -> Any:
    return yaml.load((site / "profile.yaml").read_text(encoding="utf-8"), PlainLoader)


def written(site: Path, profile: Any, entries: list[Any] = ()) -> Assessed:  # type: ignore[assignment]
    """The site with this profile and these entries in its log."""
    (site / "profile.yaml").write_text(yaml.safe_dump(profile, allow_unicode=True, sort_keys=False), encoding="utf-8")
    text = "log: 1\nentries: []\n"
    for entry in entries:
        text = appended(text, entry)
    (site / "log.yaml").write_text(text, encoding="utf-8")
    checked = check_site(site, AS_OF)
    assert isinstance(checked, Assessed), checked.problems
    return checked


def stopping(checked: Assessed, stops: str) -> list[str]:
    return [f"{f.name} {f.path}" for f in checked.assessed.findings if f.severity == "must-fix" and f.stops == stops]


@pytest.fixture(scope="module")
def clients(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folders of two clients, begun with their answers; their papers lie beside them."""
    root = tmp_path_factory.mktemp("clients")
    for name, answers in (("teasel", "answers"), ("lindow", "second")):
        code, out, err = run(
            "start", str(root / name / "site"), "--answers", str(HERE / f"{answers}.yaml"), "--as-of", DAY, "--types", "md"
        )
        assert (code, err) == (0, "")
        assert "What to do next" in out
        (root / name / "site/begun.yaml").write_bytes((root / name / "site/profile.yaml").read_bytes())
    return root


def test_fifteen_answers_make_worksheet_and_drafts(clients):
    """From nothing: no more answers than questions, and the first papers lie beside the site."""
    assert max(len(ANSWERS), len(SECOND[0])) <= len(questions("en")) <= 15
    for papers in (clients / "teasel/papers/teasel-yard", clients / "lindow/papers/lindow-works"):
        for name in ("worksheet", "fall-protection-plan", "contractor-notice", "rescue-procedure"):
            assert (papers / f"{name}.md").stat().st_size > 800


def test_two_bays_are_fit_to_issue(clients):
    """With at most 350 values typed by hand nothing stops the issue, and once inspections, training and the private check are on file both bays open."""
    checked = fit_to_issue(clients / "teasel/site", ANSWERS, TYPED, SHEETS, "typed")
    assert [bay.state for bay in checked.assessed.bays] == ["open", "open"]


def test_the_second_client_is_fit_to_issue(clients, tmp_path):
    """The same for the second client of a consultant: one bay in metres under another law, and contractors who climb."""
    site = shutil.copytree(clients / "lindow/site", tmp_path / "site")
    checked = fit_to_issue(site, *SECOND, "second_typed")
    assert [bay.state for bay in checked.assessed.bays] == ["open"]
    assert {one.may_climb for one in checked.site.contractors.classes} == {True}


def fit_to_issue(site: Path, answers: Any, by_hand: Any, sheets: Any, name: str) -> Assessed:
    """The site with all that its firm types and has in tables, counted, and held to be fit: first for issue, then, with its log, for use."""
    begun = table(site / "begun.yaml")
    by_hand = merged(begun, by_hand)
    whole = merged(by_hand, {key: value for key, value in sheets.items() if key not in ("log", "entered")})
    hand, in_sheets = typed(begun, by_hand), len(typed(by_hand, whole))
    lines = sum(1 for line in (HERE / f"{name}.yaml").read_text(encoding="utf-8").splitlines() if line.partition("#")[0].strip())
    print(
        f"answers: {len(answers)}; typed by hand: {len(hand)}, in {lines} lines; in sheets: {in_sheets} and {len(sheets['log'])} entries of the log"
    )
    assert len(hand) <= MOST
    assert not {path[0] for path in hand} & {"equipment"}
    assert stopping(written(site, whole), "issue") == []
    checked = written(site, whole, [*sheets["log"], *sheets["entered"]])
    assert stopping(checked, "use") == []
    assert {task.permission for task in checked.site.tasks} == {"allowed"}
    return checked


def test_the_tables_come_in_by_the_command(clients, tmp_path):
    """What the count has in sheets is entered by `docgen sheet` alone, into the site as it was begun: then the profile and the log are those that the count rests on."""
    site = shutil.copytree(clients / "teasel/site", tmp_path / "site")
    shutil.copy(site / "begun.yaml", site / "profile.yaml")
    (site / "log.yaml").write_text("log: 1\nentries: []\n", encoding="utf-8")
    rows = {
        "equipment": SHEETS["equipment"],
        "people": [{"row": "climber", **user} for user in SHEETS["people"]["users"]],
        "training": [entry for entry in SHEETS["log"] if entry["kind"] == "training"],
        "inspections": [entry for entry in SHEETS["log"] if entry["kind"] == "inspection"],
    }
    assert len(rows["training"]) + len(rows["inspections"]) == len(SHEETS["log"])
    for kind, entries in rows.items():
        cells = [{".".join(path): cell for path, cell in _cells(entry, kind)} for entry in entries]
        path = tmp_path / f"{kind}.csv"
        with path.open("w", encoding="utf-8", newline="") as stream:
            lines = csv.DictWriter(stream, list(dict.fromkeys(column for row in cells for column in row)))
            lines.writeheader()
            lines.writerows(cells)
        code, out, err = run("sheet", str(site), kind, "--from", str(path), "--yes", "--as-of", DAY)
        assert (code, err) == (0, ""), out
    tables = {key: value for key, value in SHEETS.items() if key not in ("log", "entered")}
    begun = yaml.load((site / "begun.yaml").read_text(encoding="utf-8"), PlainLoader)
    assert dict(leaves(merged(read(site), TYPED))) == dict(leaves(merged(merged(begun, TYPED), tables)))
    entered = yaml.load((site / "log.yaml").read_text(encoding="utf-8"), PlainLoader)["entries"]
    assert sorted(map(str, entered)) == sorted(map(str, SHEETS["log"]))


def _cells(entry: dict[str, Any], kind: str, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """An entry as a row: the path of each column, and what somebody types into the cell."""
    for key, value in entry.items():
        if isinstance(value, dict):
            yield from _cells(value, kind, (*path, key))
        elif not (key == "kind" and kind in ("training", "inspections")):
            text = "; ".join(value) if isinstance(value, list) else str(value).lower() if isinstance(value, bool) else str(value)
            yield (*path, key), text


@pytest.mark.parametrize("group", ["systems", "rescue", "shifts", "emergency", "vehicles", "tasks"])
def test_what_is_typed_is_needed(clients, group):
    """Without one group of it something stops the issue."""
    site = clients / "teasel/site"
    begun = table(site / "begun.yaml")
    tables = {key: value for key, value in SHEETS.items() if key not in ("log", "entered")}
    less = {key: value for key, value in TYPED.items() if key != group}
    assert stopping(written(site, merged(merged(begun, less), tables)), "issue")


def test_a_second_client_stands_alone(clients):
    """Another firm in another folder, in metres and under its own law; nothing of the first is in its files."""
    site = clients / "lindow/site"
    checked = check_site(site, AS_OF)
    assert isinstance(checked, Assessed)
    assert (checked.site.site.jurisdiction, checked.code.units) == ("CA-ON", "si")
    told = [p for p in (clients / "lindow").rglob("*") if p.is_file() and ".docgen" not in p.parts]
    assert len(told) > 8
    for path in told:
        assert "Teasel" not in path.read_text(encoding="utf-8"), path
    # what both have in common is what the label of the same model says
    first, second = (
        next(p for p in read(clients / name / "site")["equipment"] if p["id"] == "D-1") for name in ("teasel", "lindow")
    )
    assert (first["arrest_distance"]["value"], second["arrest_distance"]["value"]) == ("30 in", "0.76 m")


def test_the_device_goes_from_one_client_to_the_other(clients):
    """By a table with --models: what the label of the model says comes, the rail, the days and the serial number of the piece do not."""
    first, second = clients / "teasel/site", clients / "lindow/site"
    tables = {key: value for key, value in SHEETS.items() if key not in ("log", "entered")}
    for site, data in ((first, merged(merged(table(first / "begun.yaml"), TYPED), tables)), (second, read(second))):
        device = next(p for p in data["equipment"] if p["id"] == "D-1")
        device["model"] = "srd-30"  # both name one model: only then are its figures taken over
        (site / "profile.yaml").write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), encoding="utf-8")
    before = next(p for p in read(second)["equipment"] if p["id"] == "D-1")
    sheet = clients / "equipment.csv"
    assert run("sheet", str(first), "equipment", "--models", "--into", str(sheet))[0] == 0
    head, *rows = sheet.read_text(encoding="utf-8").splitlines()
    sheet.write_text("\n".join([head, *(row for row in rows if ",D-1," in row)]) + "\n", encoding="utf-8")
    code, out, _ = run("sheet", str(second), "equipment", "--from", str(sheet), "--yes", "--as-of", DAY)
    assert code == 0, out
    after = next(p for p in read(second)["equipment"] if p["id"] == "D-1")
    came = typed(before, after)
    print(f"values of the device that nobody types for the second client: {len(came)}")
    assert len(came) >= 8
    assert (after["capacity"], after["class"]) == ({"min": "130 lb", "max": "310 lb"}, "Class 2")
    assert after["line_angle"]["rail"] == "unknown"
    assert "serial" not in after or after["serial"] == "unknown"
    assert isinstance(check_site(second, AS_OF), Assessed)


def test_one_model_in_a_library_serves_both_clients(clients):
    """What is true of the model stands once, in the portfolio: both sites are judged as if each had it, and for the second only what is of its own piece is typed."""
    home = clients / "shared"
    tables = {key: value for key, value in SHEETS.items() if key not in ("log", "entered")}
    whole = merged(merged(table(clients / "teasel/site/begun.yaml"), TYPED), tables)
    begun = table(clients / "lindow/site/begun.yaml")
    device = next(p for p in whole["equipment"] if p["id"] == "D-1")
    model = {key: value for key, value in device.items() if key not in ("id", "model") and of_one_model(key, value)}
    own = {key: value for key, value in device.items() if key not in model} | {"model": "srd-30"}
    home.mkdir()
    portfolio = {
        "portfolio": 1,
        "models": [{"id": "srd-30", **model}],
        "clients": [{"id": "teasel", "name": "Teasel"}, {"id": "lindow", "name": "Lindow"}],
    }
    (home / "portfolio.yaml").write_text(yaml.safe_dump(portfolio, sort_keys=False), encoding="utf-8")
    before = next(p for p in begun["equipment"] if p["id"] == "D-1")
    judged = {}
    for client, data in (("teasel", whole), ("lindow", begun)):
        for way, mine in (("alone", device), ("shared", own)):
            site = home / way / client
            site.mkdir(parents=True)
            parts = [mine if p["id"] == "D-1" else p for p in data["equipment"]]
            named = {"portfolio": {"file": "../../portfolio.yaml", "client": client}} if way == "shared" else {}
            judged[client, way] = written(site, {**data, **named, "equipment": parts})
        findings = [sorted((f.name, f.path) for f in judged[client, way].assessed.findings) for way in ("alone", "shared")]
        assert findings[0] == findings[1]
        assert judged[client, "alone"].assessed.cases == judged[client, "shared"].assessed.cases
    by_hand, with_library = len(typed(before, device)), len(typed(before, own))
    print(f"values of the device typed for the second client: {by_hand} without the library, {with_library} with it")
    assert with_library <= by_hand - 6


def of_one_model(key: str, value: Any) -> bool:
    """Whether all that stands in a field of a part is true of its model."""
    return all(of_the_model(".".join(map(str, (key, *path)))) for path, _ in leaves(value))
