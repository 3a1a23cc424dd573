"""The demo sites, each of an invented place: what there is, and a copy of one to try things on."""

from __future__ import annotations

import shutil
from pathlib import Path

from docgen.errors import Refusal
from docgen.read import read_profile
from docgen.resources import data_folder

__all__ = ["copy_demo", "demos"]

SCHEMA = "# yaml-language-server: $schema="


def demos() -> dict[str, str]:
    """Name -> name of the place and its jurisdiction."""
    found = {}
    for folder in sorted(p.parent for p in data_folder("site_profiles").glob("*/profile.yaml")):
        site = (read_profile(folder).data or {})["site"]
        found[folder.name] = f"{site['name']} ({site['jurisdiction']})"
    return found


def copy_demo(name: str, into: Path) -> Path:
    """Copy the folder of a demo into a folder; the line that tells an editor the schema then names the one installed here.

    Raises Refusal where a folder of that name is there already or nothing can be written.
    """
    target = into / name
    if target.exists():
        raise Refusal("folder-of-yours-is-there", folder=str(target))
    try:
        shutil.copytree(data_folder("site_profiles") / name, target)
        for file, schema in (("profile.yaml", "site_profile"), ("log.yaml", "site_log")):
            path = target / file
            if path.is_file():
                head, _, rest = path.read_text(encoding="utf-8").partition("\n")
                if head.startswith(SCHEMA):
                    head = f"{SCHEMA}{(data_folder('schemas') / f'{schema}.schema.json').as_uri()}"
                path.write_text(f"{head}\n{rest}", encoding="utf-8", newline="\n")
    except OSError as error:
        raise Refusal("folder-not-writable", folder=str(target), reason=error.strerror or type(error).__name__) from None
    return target
