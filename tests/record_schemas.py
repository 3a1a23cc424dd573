"""The JSON Schemas of profile, log and record files, out of the declarations of their records.

.venv/bin/python tests/record_schemas.py           names those that are not up to date
.venv/bin/python tests/record_schemas.py --write   writes them
"""

import sys
from pathlib import Path

from docgen.filing import json_schema
from docgen.records import RECORD_FILES
from docgen.site.schema import written_schemas

__all__ = ["SCHEMAS", "stale"]

SCHEMAS = Path(__file__).resolve().parents[1] / "schemas"


def stale(write: bool = False) -> list[str]:
    """Names of the schema files that are not what the declaration gives, before any was written."""
    texts = {f"{name}.schema.json": json_schema(cls, title, what) for name, (cls, title, what) in RECORD_FILES.items()}
    found = []
    for name, text in (texts | written_schemas()).items():
        path = SCHEMAS / name
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            found.append(path.name)
            if write:
                path.write_text(text, encoding="utf-8", newline="\n")
    return found


if __name__ == "__main__":
    write = "--write" in sys.argv[1:]
    names = stale(write)
    print(f"{len(names)} {'written' if write else 'stale'}{': ' if names else ''}{', '.join(names)}")
    sys.exit(0 if write or not names else 1)
