"""What a site takes over from its portfolio: which value goes before which, where each came from, and what is wrong in either file."""

import copy
import random
import shutil
from pathlib import Path

import pytest
from control_site import FIRST, LATER, approve_all, issue, new_site
from support import AS_OF, SITES

from docgen.control.tell import FORMATS
from docgen.inherit import flat_text, with_inherited
from docgen.pipeline import check_site
from docgen.private import Guard
from docgen.profile import SCREENS
from docgen.read import read_profile, read_text
from docgen.revisions import compare_site
from docgen.site.models import of_the_model
from docgen.unknown import without_unknown

DEMOS = sorted(p.parent.name for p in SITES.glob("*/profile.yaml"))
SITE = """profile: 2
portfolio: {file: ../portfolio.yaml, client: mill-creek}
site: {id: mill, name: Mill, jurisdiction: US-KS}
document: {effective: 2026-11-01}
"""
PORTFOLIO = """portfolio: 1
name: T. Maran, P.E.
defaults:
  document: {review_interval: 12 months, paper: letter}
  roles:
    - {id: reviewer, title: Reviewer, phone: 555-0100}
models:
  - id: srd-30
    kind: srd
    name: Self-retracting device
    arrest_distance: {value: 30 in, how: manual}
    manual: Device manual rev 7
clients:
  - id: mill-creek
    name: Mill Creek Grain
    defaults:
      document: {paper: a4}
      roles:
        - {id: reviewer, phone: 555-0111}
  - {id: salt-flat, name: Salt Flat Chemical, defaults: {document: {number: SF-1}}}
"""


def laid(tmp_path, site=SITE, portfolio=PORTFOLIO):
    (tmp_path / "mill").mkdir(exist_ok=True)
    (tmp_path / "mill/profile.yaml").write_text(site, encoding="utf-8")
    if portfolio is not None:
        (tmp_path / "portfolio.yaml").write_text(portfolio, encoding="utf-8")
    return with_inherited(read_profile(tmp_path / "mill"))


@pytest.mark.parametrize("name", DEMOS)
def test_flat_text_is_read_back(name):
    """What the flat text of a demo says is what its profile says."""
    source = read_profile(SITES / name)
    again = read_text(flat_text(source.data))
    assert again.problems == ()
    assert again.data == source.data


def test_flat_text_of_odd_values():
    """Texts of several lines, signs that YAML knows, figures with many digits, empty sections."""
    data = {
        "a": "one\ntwo", "b": "one\n", "c": "one\n\n two\n\n", "d": ["x\ny", "z"], "e": {}, "f": [], "g": 0.0000001, "h": "yes", "on": "no", "i": "a: b",
        "j": "#", "k": [{"l": "m\nn", "o": [{"p": "q\nr"}]}], "s": None, "t": True, "u": "12", "v": 12, "w": {"en": "a", "es": "b"}, "x": ' "q" ', "y": "12 ft",
    }  # fmt: skip
    again = read_text(flat_text(data))
    assert again.problems == ()
    assert again.data == data


def test_what_goes_before_what(tmp_path):
    """The profile goes before the client, the client before all; entries with an id are joined by it, those of the profile first."""
    site = (
        SITE.replace("2026-11-01}", "2026-11-01, paper: tabloid}")
        + "roles:\n  - {id: crew, title: Crew}\n  - {id: Reviewer, title: Checker}\n"
    )
    source = laid(tmp_path, site)
    assert source.problems == ()
    assert source.data["document"] == {"effective": "2026-11-01", "paper": "tabloid", "review_interval": "12 months"}
    assert source.data["roles"] == [{"id": "crew", "title": "Crew"}, {"id": "Reviewer", "title": "Checker", "phone": "555-0111"}]
    assert laid(tmp_path).data["document"]["paper"] == "a4"
    assert "SF-1" not in laid(tmp_path).whole
    assert next(iter(source.data)) == "profile"


def test_each_value_keeps_its_place(tmp_path):
    """The mark of a value that was taken over names the portfolio and the line there."""
    source = laid(tmp_path, SITE + "equipment:\n  - {id: D-1, kind: srd, model: SRD-30, serial: X-1}\n")
    assert source.problems == ()
    text = {name: (tmp_path / name).read_text(encoding="utf-8").splitlines() for name in ("portfolio.yaml", "mill/profile.yaml")}
    seen = set()
    for path, part in {
        "document.paper": "paper: a4", "document.review_interval": "review_interval: 12", "document.effective": "effective: 2026",
        "equipment[0].serial": "serial: X-1", "equipment[0].arrest_distance.value": "value: 30 in", "equipment[0].manual": "manual: Device",
        "roles[0].phone": "phone: 555-0111", "roles[0].title": "title: Reviewer",
    }.items():  # fmt: skip
        mark = source.marks[path]
        file = Path(source.file_of(mark)).relative_to(tmp_path).as_posix()
        assert text[file][mark.key_line - 1][mark.key_column - 1 :].startswith(part), path
        seen.add(file)
    assert seen == set(text)
    assert source.data["equipment"][0]["id"] == "D-1"


def test_one_value_is_never_half_of_another(tmp_path):
    """A figure keeps its own evidence, and a translation goes with its text."""
    portfolio = PORTFOLIO.replace(
        "  document: {review",
        "  vehicles: [{id: tanker, deck: {value: 12 ft, how: measured, by: reviewer, on: 2026-01-02, tolerance: 0.1 ft}, surface: {en: Dry, es: Seco}}]\n  document: {review",
        1,
    )
    site = SITE + "vehicles:\n  - {id: tanker, name: Tank, deck: {value: 13 ft, how: assumed}, surface: {en: Wet}}\n"
    tanker = laid(tmp_path, site, portfolio).data["vehicles"][0]
    assert tanker["deck"] == {"value": "13 ft", "how": "assumed"}
    assert tanker["surface"] == {"en": "Wet"}
    assert (
        laid(tmp_path, site.replace("{value: 13 ft, how: assumed}", "unknown"), portfolio).data["vehicles"][0]["deck"]
        == "unknown"
    )


def scattered(data, chance):
    """The data in three layers, cut at random: what the site says, its client, and all."""
    layers = [{}, {}, {}]
    for key, value in data.items():
        if key in ("profile", "site", "document"):
            layers[0][key] = copy.deepcopy(value)
        elif isinstance(value, list) and value and all(isinstance(e, dict) and "id" in e for e in value):
            cuts = sorted(chance.choice((0, 0, 1, 2)) for _ in value)  # a joined list begins with the entries of the site
            for cut, entry in zip(cuts, value, strict=True):
                layers[cut].setdefault(key, []).append(copy.deepcopy(entry))
        else:
            layers[chance.choice((0, 1, 2))][key] = copy.deepcopy(value)
    return layers


@pytest.mark.parametrize("name", DEMOS)
def test_a_profile_in_three_pieces_is_the_same_profile(name, tmp_path):
    """Cut into site, client and defaults at random, a demo says what it said; what is wrong below points into the right file."""
    data = read_profile(SITES / name).data
    for seed in range(3):
        own, client, every = scattered(data, random.Random(f"{name}{seed}"))
        own["portfolio"] = {"file": "../portfolio.yaml", "client": "one"}
        own = {"profile": own.pop("profile"), **own}
        portfolio = {"portfolio": 1, "defaults": every, "clients": [{"id": "one", "name": "One", "defaults": client}]}
        (tmp_path / "s").mkdir(exist_ok=True)
        (tmp_path / "s/profile.yaml").write_text(flat_text(own), encoding="utf-8")
        (tmp_path / "portfolio.yaml").write_text(flat_text(portfolio), encoding="utf-8")
        source = with_inherited(read_profile(tmp_path / "s"))
        assert source.problems == ()
        assert source.data == data
        assert read_text(source.whole).data == data


def test_what_is_taken_over_is_read_as_the_profile_is(tmp_path):
    """A weight in the defaults of a client is withheld, and a value said to be unknown there is none, though the profile holds no such word."""
    source = laid(
        tmp_path,
        portfolio=PORTFOLIO.replace("title: Reviewer", 'title: "Reviewer, who weighs 188 lb"', 1).replace(
            "review_interval: 12 months", "review_interval: unknown", 1
        ),
    )
    assert "188" in str(source.data)
    told, marks = Guard({}, (), SCREENS).withhold(source, lambda: "withheld")
    assert "188" not in str(told.data)
    assert len(marks) == 1
    kept, not_known = without_unknown(source)
    assert [n.path for n in not_known] == ["document.review_interval"]
    assert "review_interval" not in kept.data["document"]


FAULTS = [
    ("a form", SITE.replace("{file: ../portfolio.yaml, client: mill-creek}", "../portfolio.yaml"), PORTFOLIO,
     "profile.yaml:2:12: portfolio: this does not name a portfolio and a client"),
    ("no file", SITE, None, "profile.yaml:2:19: portfolio.file: there is no portfolio file '../portfolio.yaml'"),
    ("a client that is none", SITE.replace("mill-creek", "mill-crek"), PORTFOLIO, "profile.yaml:2:46: portfolio.client: the portfolio has no client 'mill-crek'"),
    ("a model that is none", SITE + "equipment:\n  - {id: D-1, kind: srd, model: srd-3}\n", PORTFOLIO,
     "profile.yaml:6:33: equipment[0].model: the library has no model of that id; did you mean 'srd-30'?"),
    ("a serial number of a model", SITE, PORTFOLIO.replace("    kind: srd\n", "    kind: srd\n    serial: X-1\n"),
     "portfolio.yaml:10:13: models[0].serial: 'serial' is true of one piece or of the place where it serves, and not of its model"),
    ("two clients of one id", SITE, PORTFOLIO.replace("salt-flat", "MILL-creek"), "portfolio.yaml:20:10: clients[1].id: 'MILL-creek' is the id of two clients"),
    ("two models of one id", SITE, PORTFOLIO.replace("clients:", "  - {id: SRD-30, kind: srd}\nclients:"), "portfolio.yaml:13:10: models[1].id: 'SRD-30' is the id of two models"),
    ("an unknown key", SITE, PORTFOLIO.replace("name: T. Maran, P.E.", "nane: T. Maran, P.E."), "portfolio.yaml:2:1: nane: unknown key 'nane'; did you mean 'name'?"),
    ("no client", SITE, PORTFOLIO.partition("clients:")[0], "portfolio.yaml:1:1: clients: the file lacks 'clients'"),
    ("no YAML", SITE, "portfolio: [1", "portfolio.yaml:1:12: a [ is never closed, or a comma is missing"),
]  # fmt: skip


@pytest.mark.parametrize(("site", "portfolio", "told"), [f[1:] for f in FAULTS], ids=[f[0] for f in FAULTS])
def test_what_is_wrong_is_told_at_its_place(site, portfolio, told, tmp_path):
    """One message, where it stands, in the file in which it stands."""
    laid(tmp_path, site, portfolio)
    checked = check_site(tmp_path / "mill", AS_OF)
    lines = [f"{Path(p.file).name}:{p.line}:{p.column}: {p.path + ': ' if p.path else ''}{p.message}" for p in checked.problems]
    assert lines == [told]
    assert all(p.hint for p in checked.problems)


def test_a_wrong_value_is_told_where_it_was_written(tmp_path):
    """What the schema refuses in a default stands in the portfolio; a finding on an inherited value too."""
    laid(tmp_path, SITE, PORTFOLIO.replace("paper: a4", "paper: a44").replace("value: 30 in", "value: 30"))
    checked = check_site(tmp_path / "mill", AS_OF)
    assert [(Path(p.file).name, p.line, p.path) for p in checked.problems] == [("portfolio.yaml", 17, "document.paper")]


OF_ONE = (
    "serial: X-1", "count: 2", "in_service: 2026-01-01", "retire_by: 2030-01-01", "label_photo: photos/a.png", "free_fall: 0.5 ft", "made: 2025-01-01",
    "spare: true", "handle_height: 4 ft", "part_of: {part: R-1}", "inspection: {interval: 6 months}", "edge_rated: {value: 2 ft, by: crew}",
)  # fmt: skip


@pytest.mark.parametrize("words", OF_ONE)
def test_nothing_of_one_piece_is_in_a_model(words, tmp_path):
    """What is true of one piece, of its place or of who looked is refused where it stands; nothing of it reaches another site in silence."""
    portfolio = PORTFOLIO.replace("    manual: Device manual rev 7\n", f"    {words}\n")
    laid(tmp_path, SITE, portfolio)
    (problem,) = check_site(tmp_path / "mill", AS_OF).problems
    row = portfolio.splitlines().index(f"    {words}") + 1
    assert (Path(problem.file).name, problem.line) == ("portfolio.yaml", row)
    assert problem.message.endswith("is true of one piece or of the place where it serves, and not of its model")


def test_all_that_is_true_of_a_model_may_stand_there(tmp_path):
    """Each field of a demo's device that a table carries to another site stands in a model without a word."""
    device = next(e for e in read_profile(SITES / "harrow-ridge").data["equipment"] if e["id"] == "D-1")
    model = of_model(device)
    assert {"arrest_distance", "edge_use", "arrest_force_peak", "capacity"} <= model.keys()
    assert model.keys().isdisjoint({"serial", "free_fall", "part_of", "label_photo"})
    portfolio = flat_text(
        {"portfolio": 1, "models": [{**model, "id": "srd-9"}], "clients": [{"id": "mill-creek", "name": "Mill"}]}
    )
    source = laid(tmp_path, SITE + "equipment:\n  - {id: D-1, model: srd-9}\n", portfolio)
    assert source.problems == ()
    assert source.data["equipment"] == [{"id": "D-1", **{k: v for k, v in model.items() if k != "id"}, "model": "srd-9"}]


def of_model(part, path=""):
    """Of a part what is true of its model."""
    if isinstance(part, list) and any(isinstance(each, dict) for each in part):
        return [of_model(each, f"{path}{n}.") for n, each in enumerate(part, 1)]
    if not isinstance(part, dict):
        return part
    found = {key: of_model(value, f"{path}{key}.") for key, value in part.items()}
    kept = {
        key: value
        for key, value in found.items()
        if value not in ({}, []) and (isinstance(value, dict | list) or of_the_model(f"{path}{key}"))
    }
    return {
        key: value
        for key, value in kept.items()
        if not isinstance(value, list) or of_the_model(f"{path}{key}") or isinstance(value[0], dict)
    }


def test_a_scattered_site_is_judged_as_the_whole_one(tmp_path):
    """Findings and figures of a demo that is cut in three are those of the demo, and each finding names the file of its line."""
    whole = check_site(SITES / "harrow-ridge", AS_OF)
    own, client, every = scattered(read_profile(SITES / "harrow-ridge").data, random.Random(17))
    own = {"profile": own.pop("profile"), "portfolio": {"file": "../portfolio.yaml", "client": "one"}, **own}
    shutil.copytree(SITES / "harrow-ridge", tmp_path / "s")
    (tmp_path / "s/profile.yaml").write_text(flat_text(own), encoding="utf-8")
    portfolio = {"portfolio": 1, "defaults": every, "clients": [{"id": "one", "name": "One", "defaults": client}]}
    (tmp_path / "portfolio.yaml").write_text(flat_text(portfolio), encoding="utf-8")
    pieces = check_site(tmp_path / "s", AS_OF)
    told = [sorted((f.name, f.path, str(f.values)) for f in each.assessed.findings) for each in (pieces, whole)]
    assert told[0] == told[1]
    assert pieces.assessed.cases == whole.assessed.cases
    lines = {name: (tmp_path / name).read_text(encoding="utf-8").splitlines() for name in ("s/profile.yaml", "portfolio.yaml")}
    for finding in pieces.assessed.findings:
        name = "portfolio.yaml" if finding.origin else "s/profile.yaml"
        assert 0 < finding.line <= len(lines[name])
    assert {bool(f.origin) for f in pieces.assessed.findings} == {True, False}


def test_a_revision_needs_no_portfolio(tmp_path):
    """What is frozen is the profile with all that it took over, and a change of the library shows as a change of the site."""
    site = new_site(tmp_path)
    data = read_profile(site).data
    device = next(e for e in data["equipment"] if e["id"] == "D-1")
    model = {
        "id": "srd",
        **{k: v for k, v in of_model(device).items() if k not in ("id", "model")},
    }
    for key in model.keys() & device.keys() - {"id", "kind"}:
        if of_model(device[key], f"{key}.") == device[key] or key == "arrest_distance":
            del device[key]  # the site says nothing else of it
    device["model"] = "SRD"
    own = {"profile": data.pop("profile"), "portfolio": {"file": "../portfolio.yaml", "client": "one"}, **data}
    (site / "profile.yaml").write_text(flat_text(own), encoding="utf-8")
    others = [{"id": e["model"], "kind": e["kind"]} for e in data["equipment"] if e.get("model") not in (None, "SRD")]
    others = list({m["id"]: m for m in others}.values())
    portfolio = flat_text({"portfolio": 1, "models": [model, *others], "clients": [{"id": "one", "name": "One"}]})
    (tmp_path / "portfolio.yaml").write_text(portfolio, encoding="utf-8")
    approve_all(site, FIRST)
    _, against = issue(site, FIRST, types=("md",), by="L. Brandt")
    assert against == ()
    frozen = read_profile(site / "issued/rev-001")
    assert frozen.problems == ()
    assert next(e for e in frozen.data["equipment"] if e["id"] == "D-1")["arrest_distance"] == model["arrest_distance"]
    assert "portfolio:" not in frozen.text
    assert compare_site(check_site(site, LATER)).fields == ()
    (tmp_path / "portfolio.yaml").write_text(portfolio.replace("value: 30 in", "value: 36 in", 1), encoding="utf-8")
    changes = compare_site(check_site(site, LATER))
    assert [(f.path, f.old, f.new) for f in changes.fields] == [("equipment[D-1].arrest_distance", "30 in", "36 in")]
    assert f"{tmp_path / 'portfolio.yaml'}:" in "".join(FORMATS["all"](changes, "en").split())


def test_the_look_of_a_client_lies_with_the_portfolio(tmp_path):
    """A logo that the client's defaults name is read from the portfolio's folder; one outside it is refused there."""
    (tmp_path / "logo.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><rect width="40" height="20" fill="#123456"/></svg>',
        encoding="utf-8",
    )
    look = PORTFOLIO.replace(
        "document: {paper: a4}", "document: {paper: a4, look: {letterhead: [Mill Creek Grain], logo: logo.svg}}"
    )
    laid(tmp_path, SITE, look)
    assert check_site(tmp_path / "mill", AS_OF).look.logo.width
    laid(tmp_path, SITE, look.replace("logo: logo.svg", "logo: ../logo.svg"))
    assert [(Path(p.file).name, p.path) for p in check_site(tmp_path / "mill", AS_OF).problems] == [
        ("portfolio.yaml", "document.look.logo")
    ]
