"""Golden texts: what the demo sites give, one sentence or row a line.

.venv/bin/python tests/golden/accept.py          prints what differs
.venv/bin/python tests/golden/accept.py --write  prints it and accepts it: read it first
"""

import difflib
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support import demo

from docgen.compose import compose_all
from docgen.report import as_json

__all__ = ["GOLDEN", "SITES", "fresh"]

GOLDEN = Path(__file__).resolve().parent
SITES = ("harrow-ridge", "sable-point", "pellan-creek")


def fresh(site: str) -> dict[str, str]:
    """File name -> text as the program gives it now."""
    checked = demo(site)
    pairs = compose_all(checked.site, checked.code, checked.assessed, checked.as_of, ("md", "html", "docx", "pdf"))
    return {f"{d.name}.md": d.markdown for d, _ in pairs} | {"check.json": as_json(checked)}


def main(arguments: list[str]) -> int:
    write = "--write" in arguments
    differs = 0
    for site in SITES:
        texts = fresh(site)
        folder = GOLDEN / site
        known = {p.name for p in folder.iterdir()} if folder.is_dir() else set()
        for name in sorted(known | set(texts)):
            path = folder / name
            old = path.read_text(encoding="utf-8").splitlines() if path.is_file() else []
            new = texts.get(name, "").splitlines()
            if old == new:
                continue
            differs += 1
            print(
                "\n".join(difflib.unified_diff(old, new, f"{site}/{name} (accepted)", f"{site}/{name} (now)", lineterm="", n=1))
            )
            if write and name in texts:
                folder.mkdir(exist_ok=True)
                path.write_text(texts[name], encoding="utf-8", newline="\n")
            elif write:
                path.unlink()
    print(f"{differs} golden texts differ" + (" and were accepted" if write and differs else ""))
    return 0 if write or not differs else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
