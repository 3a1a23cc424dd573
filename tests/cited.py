"""What the papers print of the law, place by place: the sentence, its citation and what the text says, with a reader's word that the one
carries the other. Kept in `codes/cited.yaml`.

python tests/cited.py            tells what differs, and which rows nobody has read
python tests/cited.py --write    takes over what the law data says now; a row that differs must be read again (supports: unread)
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from docgen.codes import LawAlone, known, load, question, questions
from docgen.codes.needed import ever_needed
from docgen.codes.survey import SECTORS

HERE = Path(__file__).resolve().parent
TABLE = HERE / "codes" / "cited.yaml"
DAY = date(2026, 11, 26)
#: Every set of law; a new place is among them without a word here.
PLACES = tuple(code for code in known() if load(code, SECTORS[0], DAY).kind == "law")
HEAD = """\
# What the papers print of the law: `sentence` on the papers of a site, `says` in the legal file, beside `citation`. supports: yes, a reader
# held it against the words of the text, read again; as recorded, against the reading that the law data records; recalled, nobody read the
# text and the papers say so. `why` says what carries it.
# Made by tests/cited.py, which sets supports to unread on each row whose sentence, citation or reading has changed.

"""


def laws() -> Iterator[LawAlone]:
    """The law of every place and sector on the day."""
    for place in PLACES:
        for sector in SECTORS:
            yield load(place, sector, DAY)


def printed() -> Mapping[str, dict[str, str]]:
    """`<place> <sector> <question>` -> citation, sentence and says, once for each answer of a set's own that a paper prints."""
    found: dict[str, dict[str, str]] = {}
    for law in laws():
        words = law.words("en")
        for key in questions():
            answer = law.ask(key)
            if answer.silent or question(key).group == "definitions":
                continue
            row = {"citation": answer.citation, "says": answer.says or words.answer(answer), "read": answer.grade}
            if key in ever_needed():
                row["sentence"] = answer.says_plain.format(words.answer(answer))
            found.setdefault(f"{answer.jurisdiction} {answer.sector} {key}", row)
    return dict(sorted(found.items()))


def table() -> dict[str, dict[str, Any]]:
    """The rows as they were read."""
    return (yaml.safe_load(TABLE.read_text(encoding="utf-8")) if TABLE.is_file() else None) or {}


def differing(now: Mapping[str, Mapping[str, str]], kept: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """The rows that are new, gone or changed."""
    changed = [
        key for key, row in now.items() if {k: v for k, v in kept.get(key, {}).items() if k not in ("supports", "why")} != row
    ]
    return sorted({*changed, *(key for key in kept if key not in now)})


def merged(now: Mapping[str, dict[str, str]], kept: Mapping[str, Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """The rows of now, with what a reader said of those that have not changed."""
    changed = set(differing(now, kept))
    return {key: {**row, "supports": "unread", "why": ""} if key in changed else dict(kept[key]) for key, row in now.items()}


def write(rows: Mapping[str, Mapping[str, Any]]) -> None:
    """Write the table."""
    body = yaml.safe_dump({k: dict(v) for k, v in rows.items()}, allow_unicode=True, sort_keys=False, width=240)
    TABLE.write_text(HEAD + body, encoding="utf-8")


def main(arguments: list[str]) -> int:
    now, kept = printed(), table()
    changed = differing(now, kept)
    rows = merged(now, kept)
    if "--write" in arguments:
        write(rows)
    unread = [key for key, row in rows.items() if row["supports"] == "unread"]
    print(*(f"changed: {key}" for key in changed), sep="\n")
    print(f"{len(rows)} rows, {len(changed)} changed, {len(unread)} that nobody has read")
    return 1 if unread or changed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
