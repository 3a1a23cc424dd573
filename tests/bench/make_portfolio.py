"""A portfolio of different sites out of the demos, the same for the same seed: python tests/bench/make_portfolio.py DIR [--sites 1000] [--seed 17]

Forty clients, six jurisdictions, one to six bays; each site has people, telephone numbers, serial numbers and an address of its own. Faults at
known rates: one in twenty profiles lacks a unit (a problem), one in ten has a device inspected too long ago, one in ten a rail that is too low,
one in twenty no watch on its first shift. Everything is invented. What is true of the model of a device stands in a shared library.
"""

from __future__ import annotations

import argparse
import copy
import random
import re
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from docgen.inherit import flat_text  # noqa: E402
from docgen.read import read_profile  # noqa: E402
from docgen.site.models import of_the_model  # noqa: E402

CLIENTS = 40
PLACES = ("US-NE", "US-KS", "US-CA", "CA-ON", "CA-AB", "NZ")
#: Demo -> jurisdictions in which its copies stand: the units stay those of the demo.
BASES = {
    "harrow-ridge": ("US-NE", "US-KS"),
    "thornmere": ("US-KS",),
    "madrone-flat": ("US-CA",),
    "coulee-rise": ("CA-ON",),
    "pellan-creek": ("CA-AB",),
    "kowhai-siding": ("NZ",),
}
FIRST = (
    "Ash",
    "Birch",
    "Copper",
    "Dusk",
    "Elder",
    "Fallow",
    "Granite",
    "Heron",
    "Iron",
    "Juniper",
    "Kestrel",
    "Larch",
    "Mallow",
    "North",
    "Otter",
    "Plover",
)
LAST = ("Bend", "Creek", "Flat", "Gate", "Hollow", "Landing", "Mill", "Pier", "Ridge", "Siding", "Spur", "Yard")


def renamed(value: Any, names: dict[str, str]) -> Any:
    """A value with each text that is one of these ids replaced by the other."""
    if isinstance(value, dict):
        return {key: renamed(inner, names) for key, inner in value.items()}
    if isinstance(value, list):
        return [renamed(inner, names) for inner in value]
    return names.get(value, value) if isinstance(value, str) else value


def ids_in(value: Any) -> list[str]:
    """Every id that is given within a value."""
    if isinstance(value, list):
        return [key for inner in value for key in ids_in(inner)]
    if isinstance(value, dict):
        own = [value["id"]] if isinstance(value.get("id"), str) else []
        return own + [key for inner in value.values() for key in ids_in(inner)]
    return []


def with_bays(data: dict[str, Any], count: int) -> None:
    """The site with so many bays: those there are, or copies of the first with its tasks, its system and the parts of that."""
    first = data["bays"][0]["id"]
    if count <= len(data["bays"]):
        return
    system = next(s for s in data["systems"] if s.get("bay") == first)
    parts = [p for p in data["equipment"] if p["id"] in system.get("parts", [])]
    for number in range(len(data["bays"]) + 1, count + 1):
        tasks = [t for t in data["tasks"] if t.get("bay") == first]
        names = {
            first: f"Q{number}",
            system["id"]: f"SQ{number}",
            **{t["id"]: f"{t['id']}-q{number}" for t in tasks},
            **{p["id"]: f"{p['id']}-Q{number}" for p in parts},
        }
        names |= {key: f"{key}-Q{number}" for key in ids_in(data["bays"][0]) if key != first}
        bay = renamed(copy.deepcopy(data["bays"][0]), names)
        bay["name"] = f"{bay['name']} {number}"
        data["bays"].append(bay)
        data["systems"].append(renamed(copy.deepcopy(system), names))
        data["tasks"] += [renamed(copy.deepcopy(t), names) for t in tasks]
        for part in parts:
            again = renamed(copy.deepcopy(part), names)
            if "serial" in again:
                again["serial"] = f"{again['serial']}-{number}"
            data["equipment"].append(again)


def of_model(part: Any, path: str = "") -> Any:
    """Of a part what is true of its model, figures without who read them."""
    if isinstance(part, dict):
        found = {key: of_model(value, f"{path}{key}.") for key, value in part.items()}
        return {k: v for k, v in found.items() if v not in ({}, []) and (isinstance(v, dict) or of_the_model(f"{path}{k}"))}
    return part


def library() -> dict[str, dict[str, Any]]:
    """Demo -> the model of its first device, by an id of its own, and whatever other models its parts name."""
    found = {}
    for base in BASES:
        device = next(p for p in (read_profile(ROOT / "site_profiles" / base).data or {})["equipment"] if p["kind"] == "srd")
        found[base] = {**of_model(device), "id": f"srd-{base}"}
        found[base].pop("model", None)
    return found


def of_library(part: dict[str, Any], model: dict[str, Any]) -> dict[str, Any]:
    """A device that takes from its model what it does not say of itself: figures that somebody read off its own label it keeps."""
    own = {key: value for key, value in part.items() if key in ("id", "kind") or model.get(key) != value}
    return {**own, "model": model["id"]}


def surname(number: int, at: int) -> str:
    """A name that nobody else in these sites has."""
    parts, rest = [], number * 40 + at
    for letters in ("BDGKLMNPRSTV", "aeiou", "lmnrst", "aeiou", "dgklmnrstv"):
        rest, n = divmod(rest, len(letters))
        parts.append(letters[n])
    return "".join(parts)


def with_own_names(text: str, names: dict[str, str], number: int) -> str:
    """The text of a profile or a log with other people and telephone numbers."""
    for name, other in names.items():
        text = text.replace(name, other)
    return re.sub(r"(?<![\d-])555-01(\d\d)(?!\d)", rf"{200 + number % 800}-555-01\1", text)


def site(number: int, chance: random.Random) -> tuple[dict[str, Any], str, list[str]]:
    """The profile of a site, the demo on which it is built, and the faults planted in it."""
    base = chance.choices(tuple(BASES), weights=(3, 2, 2, 2, 2, 1))[0]
    data = copy.deepcopy(read_profile(ROOT / "site_profiles" / base).data or {})
    name = f"{chance.choice(FIRST)} {chance.choice(LAST)} {number}"
    data["site"] |= {
        "id": f"site-{number:04d}",
        "name": name,
        "address": f"{number} {chance.choice(FIRST)} Road, {name}",
        "jurisdiction": chance.choice(BASES[base]),
    }
    data["document"]["number"] = f"P-{number:04d}"
    data.pop("posting", None)
    data["document"].pop("look", None)
    for n, part in enumerate(data["equipment"]):
        if "serial" in part:
            part["serial"] = f"{part['serial']}-{number:04d}"
        if part["kind"] == "srd":
            data["equipment"][n] = of_library(part, LIBRARY[base])
        else:
            part.pop("model", None)
    with_bays(data, chance.choices((1, 2, 3, 4, 6), weights=(4, 3, 2, 1, 1))[0])
    faults = []
    rail = data["bays"][0]["rail"]
    if chance.random() < 0.1 and "underside" in rail:
        rail["underside"] = "16 ft" if "ft" in str(rail["underside"]) else "4.9 m"
        faults.append("rail")
    if chance.random() < 0.05:
        data["shifts"][0].pop("watch", None)
        faults.append("watch")
    if chance.random() < 0.05:
        data["vehicles"][0]["deck"] = 12
        faults.append("unit")
    return data, base, faults


LIBRARY = library()


def make(folder: Path, count: int, seed: int) -> dict[str, int]:
    """Write the portfolio; how many sites have each fault."""
    chance, planted = random.Random(seed), {"rail": 0, "watch": 0, "unit": 0, "inspection": 0}
    folder.mkdir(parents=True)
    clients = [f"client-{n:02d}" for n in range(CLIENTS)]
    portfolio = {
        "portfolio": 1, "name": "Bench", "models": list(LIBRARY.values()),
        "defaults": {"document": {"review_interval": "12 months"}},
        "clients": [{"id": c, "name": f"{FIRST[n % 16]} {LAST[n % 12]} Works {n}", "defaults": {"document": {"kept_at": f"Office of client {n}"}}} for n, c in enumerate(clients)],
    }  # fmt: skip
    (folder / "portfolio.yaml").write_text(flat_text(portfolio), encoding="utf-8", newline="\n")
    for number in range(count):
        data, base, faults = site(number, chance)
        client = clients[number % CLIENTS]
        where = folder / client / data["site"]["id"]
        where.mkdir(parents=True)
        data = {"profile": data.pop("profile"), "portfolio": {"file": "../../portfolio.yaml", "client": client}, **data}
        people = [h["name"] for role in data["roles"] for h in role.get("holders", ())]
        names = {name: f"{name.split()[0]} {surname(number, at)}" for at, name in enumerate(dict.fromkeys(people))}
        text = with_own_names(flat_text(data), names, number)
        (where / "profile.yaml").write_text(text, encoding="utf-8", newline="\n")
        log = ROOT / "site_profiles" / base / "log.yaml"
        if log.is_file():
            text = log.read_text(encoding="utf-8")
            kept = [line for line in text.splitlines(keepends=True) if "kind: posting" not in line and "entry: " not in line]
            if chance.random() < 0.1:
                kept = [line.replace("on: 2026-08-03", "on: 2024-08-03") if "kind: inspection" in line else line for line in kept]
                faults.append("inspection")
            (where / "log.yaml").write_text(with_own_names("".join(kept), names, number), encoding="utf-8", newline="\n")
        for fault in faults:
            planted[fault] += 1
    return planted


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--sites", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=17)
    given = parser.parse_args()
    print(make(given.folder, given.sites, given.seed))
