"""Golden texts: what the demo sites give, one sentence or row a line.

.venv/bin/python tests/golden/accept.py                    prints what differs
.venv/bin/python tests/golden/accept.py --write --lines N  prints it and accepts it, if N lines differ: read them first

The documents are those named here: another one in templates/ changes none of these texts. To keep it too, name it.
"""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from accepting import settle
from support import TYPES, compared

from docgen.compose import compose_all
from docgen.report import as_json

__all__ = ["DOCUMENTS", "GOLDEN", "SITES", "fresh"]

GOLDEN = Path(__file__).resolve().parent
SITES = ("harrow-ridge", "sable-point", "pellan-creek")
DOCUMENTS = (
    "fall-protection-plan", "engineering-record", "contractor-notice", "rescue-procedure", "legal-file", "status-sheet", "worksheet",
)  # fmt: skip  # and the site page


def fresh(site: str) -> dict[str, str]:
    """File name -> text as the program gives it now."""
    checked, bodies = compared(site)
    pairs = compose_all(
        checked.site, checked.code, checked.assessed, checked.happened, TYPES, wanted=DOCUMENTS,
        bodies={name: versions for name, versions in bodies.items() if name in DOCUMENTS},
    )  # fmt: skip
    return {f"{d.name}.md": d.markdown for d, _ in pairs} | {"check.json": as_json(checked)}


def _rows() -> Iterator[tuple[str, list[str], list[str], Callable[[], None]]]:
    for site in SITES:
        texts = fresh(site)
        folder = GOLDEN / site
        known = {p.name for p in folder.iterdir()} if folder.is_dir() else set()
        for name in sorted(known | set(texts)):
            path = folder / name
            old = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
            new = texts.get(name)
            yield f"{site}/{name}", old, (new or "").splitlines(), lambda path=path, new=new: _keep(path, new)


def _keep(path: Path, text: str | None) -> None:
    if text is None:
        path.unlink()
    else:
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(settle(sys.argv[1:], "golden texts", _rows()))
