"""Pins: every clause text, every finding's sentence and every digest of all demos, by hash.

    .venv/bin/python tests/pins/pin.py           prints what differs
    .venv/bin/python tests/pins/pin.py --write   prints it and pins what the program gives now

A pin says that something moved, not what it said before: that stands in the commit before.
"""

import difflib
import hashlib
import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support import SITES, demo

from docgen.pipeline import compared_site
from docgen.report import json_object

__all__ = ["ALL", "PINS", "digests", "texts"]

PINS = Path(__file__).resolve().parent
ALL = tuple(sorted(p.name for p in SITES.iterdir() if (p / "profile.yaml").is_file()))


def _short(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def texts(site: str) -> list[str]:
    """One line a clause of every document and language, then one a finding: hash and name."""
    checked, bodies = compared_site(demo(site))
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
    _, bodies = compared_site(demo(site))
    return [
        f"{site} {document} {language} {body.digest}"
        for document, versions in sorted(bodies.items())
        for language, body in sorted(versions.items())
    ]


def main(arguments: list[str]) -> int:
    made = {f"{site}.txt": texts(site) for site in ALL} | {"digests.txt": [line for site in ALL for line in digests(site)]}
    differs = 0
    for name, new in made.items():
        path = PINS / name
        old = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
        if old == new:
            continue
        differs += 1
        print("\n".join(difflib.unified_diff(old, new, f"{name} (pinned)", f"{name} (now)", lineterm="", n=0)))
        if "--write" in arguments:
            path.write_text("\n".join(new) + "\n", encoding="utf-8", newline="\n")
    print(f"{differs} pins differ" + (" and were written" if differs and "--write" in arguments else ""))
    return 0 if not differs or "--write" in arguments else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
