"""The sites below a folder, and what each was built from: digests by name, so that a later run can say which of them moved."""

from __future__ import annotations

import hashlib
import os
import platform
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType
from typing import Any

from docgen.codes.folder import HOME, place
from docgen.codes.given import asks_all
from docgen.control.digests import folder_digest, schema_digests
from docgen.errors import CodeError, ProfileUnreadable
from docgen.findings.photos import is_there
from docgen.frozen import frozen
from docgen.inherit import KEY, MODEL, look_files
from docgen.profile import sites_under
from docgen.read import Source, read_profile
from docgen.resources import data_folder
from docgen.site import Site

__all__ = ["Named", "Spot", "law_named", "named_by", "of_law", "of_photographs", "of_portfolio", "of_site", "program", "spots"]

#: Libraries whose bytes are in what is written.
LIBRARIES = ("typst", "markdown", "jinja2", "python-docx", "segno", "lxml", "pyyaml")
#: Endings of the templates, words and styles, and of the base DOCX and the fonts.
FORMS = (".md", ".yaml", ".css", ".xml", ".typ", ".docx", ".ttf")


@frozen
class Spot:
    """A site's folder, and its name below the portfolio, such as `mill-creek/north`."""

    folder: Path
    name: str


def spots(folder: Path) -> tuple[Spot, ...]:
    """Every site below a folder, by name; the folder itself where it is one."""
    folder = Path(folder)
    found = (path for path in sites_under(folder) if (path / "profile.yaml").is_file())
    return tuple(Spot(path, path.name if path == folder else path.relative_to(folder).as_posix()) for path in found)


@cache
def program() -> Mapping[str, str]:
    """Digests of this program, its data but for the law, and the libraries whose bytes are in what it writes, by what they are of."""
    package = Path(__file__).resolve().parent.parent
    schemas = hashlib.sha256(repr(sorted(schema_digests().items())).encode()).hexdigest()
    libraries = ", ".join([f"python {platform.python_version()}", *(f"{name} {_version(name)}" for name in LIBRARIES)])
    inner = [folder_digest(package, (".py",))]
    inner += [
        folder_digest(p, (".yaml",)) for p in sorted(package.iterdir()) if p.is_dir() and p not in (HOME, package / "trade")
    ]
    inner += [hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(package.glob("*.yaml"))]
    return MappingProxyType(
        {
            "program": hashlib.sha256(" ".join(inner).encode()).hexdigest(), "trade": folder_digest(package / "trade", (".yaml",)),
            "templates": folder_digest(data_folder("templates"), FORMS), "schemas": schemas, "libraries": libraries,
        }
    )  # fmt: skip


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "-"


def law_named(site: Site) -> tuple[str, ...]:
    """The sets from which the law of a site is loaded: its place, then those of an owner; empty where it rests on all of them."""
    return () if asks_all(site) else (site.site.jurisdiction, *site.codes.owner)


def of_law(named: tuple[str, ...]) -> str:
    """Digest of the law that sets of these codes are read with: their own files, those of their parents, and what is read for every place.

    Of all the law where none is named, or one that does not exist. The index of a set is read for every place, since it has its name.
    """
    files = _law_files()
    try:
        folders = {link.path.name for code in named for link in place(code).sharing}
    except CodeError:
        folders = set()
    sets = {name.removesuffix("/index.yaml") for name in files if name.count("/") == 1 and name.endswith("/index.yaml")}
    others = sets - folders if folders else set()
    used = (name for name in files if name.partition("/")[0] not in others or name.partition("/")[2] == "index.yaml")
    return hashlib.sha256("".join(f"{files[name]}  {name}\n" for name in used).encode()).hexdigest()


@cache
def _law_files() -> Mapping[str, str]:
    """Every file of law below `codes/` -> SHA-256 of its content, by name."""
    found = sorted(path for path in HOME.rglob("*.yaml") if path.is_file())
    return MappingProxyType({p.relative_to(HOME).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest() for p in found})


def of_site(folder: Path) -> dict[str, str]:
    """Of each kind of file in a site's folder: the profile, the log, the private file, the records, and all others together."""
    kinds: dict[str, list[tuple[str, Path]]] = {"profile": [], "log": [], "private": [], "records": [], "files": []}
    for path, name in _files(folder, ""):
        kinds[_kind(name)].append((name, path))
    return {kind: _digest(files) for kind, files in kinds.items() if files}


def of_photographs(folder: Path, names: Iterable[str]) -> str:
    """Which of the photographs that a profile names are there, wherever below its folder; a check looks for no more than that."""
    return ", ".join(name for name in names if is_there(folder, name))


def _kind(name: str) -> str:
    first = name.partition("/")[0]
    if name in ("profile.yaml", "log.yaml", "private.yaml"):
        return name.removesuffix(".yaml")
    return "records" if first in ("approvals", "issued", "withdrawn") else "files"


def _files(folder: Path, above: str) -> Iterator[tuple[Path, str]]:
    with os.scandir(folder) as entries:
        found = sorted(entries, key=lambda e: e.name)
    for entry in found:
        name = f"{above}{entry.name}"
        if entry.name.startswith(".") or name == "papers":  # what is looked for there, a photograph, is asked for by name
            continue
        if entry.is_dir(follow_symlinks=False):
            yield from _files(Path(entry.path), f"{name}/")
        elif entry.is_file():
            yield Path(entry.path), name


def _digest(files: list[tuple[str, Path]]) -> str:
    whole = hashlib.sha256()
    for name, path in files:
        whole.update(f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {name}\n".encode("utf-8", "surrogateescape"))
    return whole.hexdigest()


@frozen
class Named:
    """What a profile names of a portfolio: its file and the client, both empty where it names none, and the models of its parts, in small letters.

    `law` are the sets of its law, empty where they are not known: only a check tells them.
    """

    file: str = ""
    client: str = ""
    models: tuple[str, ...] = ()
    law: tuple[str, ...] = ()


def named_by(folder: Path) -> Named:
    """What the profile in a folder names; nothing where it cannot be read."""
    try:
        data = read_profile(folder).data or {}
    except ProfileUnreadable:
        return Named()
    said = data.get(KEY)
    if isinstance(said, dict) and isinstance(said.get("file"), str) and isinstance(said.get("client"), str):
        return Named(said["file"], said["client"], _models_in(data))
    return Named()


def _models_in(sections: object) -> tuple[str, ...]:
    """The models that the equipment of some sections names."""
    entries = sections.get("equipment") if isinstance(sections, dict) else None
    named = (e.get(MODEL) for e in entries if isinstance(e, dict)) if isinstance(entries, list) else ()
    return tuple(sorted({name.casefold() for name in named if isinstance(name, str)}))


def of_portfolio(portfolio: Source, named: Named) -> dict[str, str]:
    """Of what a site takes over: the defaults of all, those of its client, each model that it or they name, the files of its look."""
    data = portfolio.data or {}
    own: dict[str, Any] = next((c for c in data["clients"] if c["id"].casefold() == named.client.casefold()), {})
    models = {m["id"].casefold(): m for m in data.get("models") or ()}
    wanted = {*named.models, *_models_in(data.get("defaults")), *_models_in(own.get("defaults"))}
    used = {"defaults": data.get("defaults"), "client": own, **{f"model {name}": models.get(name) for name in sorted(wanted)}}
    found = {name: hashlib.sha256(repr(value).encode("utf-8")).hexdigest() for name, value in used.items()}
    look = [(name, Path(portfolio.file).parent / name) for name in look_files(portfolio, named.client)]
    if there := [(name, path) for name, path in look if path.is_file()]:
        found["look"] = _digest(there)
    return found
