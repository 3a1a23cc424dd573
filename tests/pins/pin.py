"""Pins: every clause text, every finding's sentence and every digest of all demos, by hash.

    .venv/bin/python tests/pins/pin.py                     prints what differs
    .venv/bin/python tests/pins/pin.py --write --lines N   prints it and pins what the program gives now, if N lines differ

A pin says that something moved, not what it said before: that stands in the commit before. A document that has no pin yet
is pinned by the next writing.
"""

import hashlib
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from accepting import settle
from support import ALL_DEMOS, compared

from docgen.report import json_object

__all__ = ["ALL", "PINS", "digests", "texts"]

PINS = Path(__file__).resolve().parent
ALL = ALL_DEMOS


def _short(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def texts(site: str) -> list[str]:
    """One line a clause of every document and language, then one a finding: hash and name."""
    checked, bodies = compared(site)
    lines = []
    for document, versions in sorted(bodies.items()):
        for language, body in sorted(versions.items()):
            lines += [f"{_short(c.text)} {language} {c.id}" for c in body.clauses]
            lines.append(f"{_short(body.markdown)} {language} {document} (whole)")
    for f in json_object(checked)["findings"]:
        lines.append(f"{_short(json.dumps(f, sort_keys=True, ensure_ascii=False))} {f['name']} {f['path']}")
    return lines


def digests(site: str) -> list[str]:
    """One line a document and language: the digest that approvals of it are bound to."""
    _, bodies = compared(site)
    return [
        f"{site} {document} {language} {body.digest}"
        for document, versions in sorted(bodies.items())
        for language, body in sorted(versions.items())
    ]


def _rows() -> Iterator[tuple[str, list[str], list[str], Callable[[], None]]]:
    made = {f"{site}.txt": texts(site) for site in ALL} | {"digests.txt": [line for site in ALL for line in digests(site)]}
    for name, new in made.items():
        path = PINS / name
        old = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
        yield name, old, new, lambda path=path, new=new: _keep(path, new)


def _keep(path: Path, lines: list[str]) -> None:
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(settle(sys.argv[1:], "pins", _rows(), context=0))
