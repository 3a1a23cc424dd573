"""The register of many sites: one page for a browser without a network, a table and data beside it."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Any

from docgen.control.safe import put_file
from docgen.portfolio.row import Row
from docgen.resources import data_folder
from docgen.words import words

__all__ = ["as_csv", "as_page", "write_register"]

FIELDS = (
    "name",
    "client",
    "site",
    "jurisdiction",
    "climb",
    "must_fix",
    "fix_soon",
    "overdue",
    "next_due",
    "lapsed",
    "issued",
    "papers",
    "models",
    "trouble",
)
SIGNS = ("=", "+", "-", "@", "\t")


def write_register(into: Path, rows: Sequence[Row], day: date, language: str) -> tuple[Path, ...]:
    """Write register.html, .csv and .json; each appears whole."""
    data = {"schema_version": 1, "as_of": day.isoformat(), "sites": list(rows)}
    made = {
        "register.html": as_page(rows, day, language, into),
        "register.csv": as_csv(rows),
        "register.json": json.dumps(data, indent=2, ensure_ascii=False, sort_keys=True) + "\n",
    }
    for name, text in made.items():
        put_file(into / name, text.encode("utf-8", "surrogatepass"))
    return tuple(into / name for name in made)


def as_csv(rows: Sequence[Row]) -> str:
    """A line a site (RFC 4180); several values in one field with semicolons; a leading sign of a formula is made text."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(FIELDS)
    for row in rows:
        cells = [_cell(row, name) for name in FIELDS]
        table.writerow([f"'{c}" if c.startswith(SIGNS) else c for c in cells])
    return out.getvalue()


def _cell(row: Row, name: str) -> str:
    value: Any
    if name == "climb":
        value = climb(row)
    elif name == "trouble":
        value = [*row["problems"], *([row["fault"]] if row["fault"] else [])]
    elif name in ("must_fix", "fix_soon"):
        value = str(sum(row[name].values()))
    elif name == "issued":
        value = f"{row['issued']['revision']} of {row['issued']['on']}" if row["issued"] else ""
    elif name == "papers":
        value = [f"{state}: {n}" for state, n in row["papers"].items()]
    else:
        value = row[name]
    return "" if value is None else "; ".join(map(str, value)) if isinstance(value, list) else str(value)


def climb(row: Row) -> str:
    """Whether anybody may climb there today: `open`, `partly`, `waiting` (no bay yet by these papers), `closed`, or `unknown` where nothing could be read."""
    states = {b["state"] for b in row["bays"]}
    if not states:
        return "unknown"
    if "open" in states:
        return "open" if states == {"open"} else "partly"
    return "waiting" if "waiting" in states else "closed"


def as_page(rows: Sequence[Row], day: date, language: str, into: Path) -> str:
    """One page of all sites: sorted by a click on a heading, filtered by its fields, and opened row by row; without script a plain table."""
    said = words(language)["many"]
    head = "".join(
        f'<th scope="col" aria-sort="none"><button type="button" data-by="{key}">{escape(said["columns"][key])}</button></th>'
        for key in said["columns"]
    )
    body = "\n".join(_row(row, said, words(language), into) for row in rows)
    choices = {
        "climb": [(key, said["climb"][key]) for key in said["climb"]],
        "client": [(c, c) for c in sorted({row["client"] for row in rows if row["client"]})],
        "place": [(c, c) for c in sorted({row["jurisdiction"] for row in rows if row["jurisdiction"]})],
    }
    picks = "".join(
        f'<label>{escape(said["picks"][key])} <select id="{key}"><option value="">{escape(said["any"])}</option>'
        + "".join(f'<option value="{escape(v)}">{escape(t)}</option>' for v, t in options)
        + "</select></label>"
        for key, options in choices.items()
    )
    folder = data_folder("templates") / "look"
    values = {
        "language": language, "title": said["title"], "day": said["day"].format(day=day.isoformat()), "count": said["count"], "search": said["search"],
        "css": (folder / "register.css").read_text(encoding="utf-8"), "js": (folder / "register.js").read_text(encoding="utf-8"),
        "none": said["none"], "total": str(len(rows)), "caution": said["caution"],
    }  # fmt: skip
    page = (folder / "register.html").read_text(encoding="utf-8")
    for key, value in values.items():
        page = page.replace(f"[[{key}]]", value if key in ("css", "js") else escape(value))
    return page.replace("[[head]]", head).replace("[[body]]", body).replace("[[picks]]", picks)


def _row(row: Row, said: Mapping[str, Any], every: Mapping[str, Any], into: Path) -> str:
    state = climb(row)
    called, must, soon = escape(row["called"]), sum(row["must_fix"].values()), sum(row["fix_soon"].values())
    page = Path(row["name"]).parent / row["site"] / "index.html" if row["site"] else None
    link = f'<a href="{escape(page.as_posix())}">{called}</a>' if page is not None and (into / page).is_file() else called
    cells = (
        (row["called"].casefold(), f'{link}<br><small>{escape(row["name"])}</small>'), (row["client"] or "", escape(row["client"] or "")),
        (row["jurisdiction"] or "", escape(row["jurisdiction"] or "")),
        (("closed", "unknown", "waiting", "partly", "open").index(state), f'<span class="{state}">{escape(said["climb"][state])}</span>'),
        (must, must), (soon, soon), (row["overdue"], row["overdue"]), (row["next_due"] or "9999", row["next_due"] or ""), (len(row["lapsed"]), len(row["lapsed"])),
        (row["issued"]["on"] if row["issued"] else "", _cell(row, "issued")),
    )  # fmt: skip
    text = " ".join(f'<td data-v="{escape(str(value))}">{shown}</td>' for value, shown in cells[1:])
    opened = _opened(row, said, every)
    first = f'<th scope="row" data-v="{escape(str(cells[0][0]))}">{cells[0][1]}{opened}</th>'
    find = escape(
        " ".join([row["called"], row["name"], row["site"] or "", *row["models"], *row["must_fix"], *row["fix_soon"]]).casefold()
    )
    return f'<tr data-climb="{state}" data-client="{escape(row["client"] or "")}" data-place="{escape(row["jurisdiction"] or "")}" data-find="{find}">{first}{text}</tr>'


def _opened(row: Row, said: Mapping[str, Any], every: Mapping[str, Any]) -> str:
    """What opens under the name of a site: its bays with why, what must be fixed, what lapsed, the states of its papers."""
    terms = every["terms"]
    lines = [
        f"{b['name']}: {said['waits'] if b['state'] == 'waiting' else terms['bay-' + b['state']]}. {b['why']}"
        for b in row["bays"]
    ]
    lines += [*row["problems"], *([row["fault"]] if row["fault"] else [])]
    for key in ("must_fix", "fix_soon"):
        if row[key]:
            lines.append(said[key].format(names=", ".join(f"{n} ({c})" if c > 1 else n for n, c in row[key].items())))
    if row["lapsed"]:
        lines.append(said["lapsed"].format(names=", ".join(row["lapsed"])))
    if row["papers"]:
        lines.append(said["papers"].format(names=", ".join(f"{n} {said['states'][state]}" for state, n in row["papers"].items())))
    if row["models"]:
        lines.append(said["models"].format(names=", ".join(row["models"])))
    items = "".join(f"<li>{escape(line.strip())}</li>" for line in lines)
    return f"<details><summary>{escape(said['more'])}</summary><ul>{items}</ul></details>"
