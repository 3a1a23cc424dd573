"""Which photographs of labels, named in a profile, are no file beside it."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from docgen.site import Site

__all__ = ["is_there", "photos_absent"]


def photos_absent(file: str, site: Site) -> frozenset[str]:
    """Ids of the parts whose photograph does not lie in or below the folder of the profile `file`. What leads out of it is not looked for."""
    folder = Path(file).parent
    return frozenset(p.id for p in site.equipment if p.label_photo is not None and not is_there(folder, p.label_photo))


def is_there(folder: Path, name: str) -> bool:
    """Whether a photograph of this name lies in or below a folder; what leads out of it is not looked for."""
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts:
        return False
    try:
        return (folder / path).is_file()
    except OSError:  # a name that no file system takes
        return False
