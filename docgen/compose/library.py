"""Templates, found and compiled. Ours are compiled once in each spelling and kept, as code and on disk; nothing of a site is in them."""

from __future__ import annotations

import os
from collections.abc import Callable, MutableMapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from types import CodeType
from typing import Any

from jinja2 import BaseLoader, Environment, FileSystemBytecodeCache, FileSystemLoader, Template, TemplateNotFound
from jinja2.bccache import Bucket

from docgen import __version__
from docgen.compose.parsed import FORM, hold, respell
from docgen.resources import data_folder
from docgen.words import languages, spelled, spelling_table

__all__ = ["Library", "on_disk"]


class Library(BaseLoader):
    """The templates that one composition may load: a user's folders are searched before ours and may override one file.

    All are put into the spelling of the country: what stands in the place of one of ours is written like ours.
    """

    def __init__(self, spelling: str, own_templates: tuple[Path, ...] = ()) -> None:
        self.spelling = spelling
        self.own = FileSystemLoader(list(own_templates), encoding="utf-8")
        self.ours = FileSystemLoader(data_folder("templates"), encoding="utf-8")

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
        """As the interface of Jinja asks: the folders of the user before ours."""
        try:
            return self.own.get_source(environment, template)
        except TemplateNotFound:
            return self.ours.get_source(environment, template)

    def load(self, environment: Environment, name: str, globals: MutableMapping[str, Any] | None = None) -> Template:
        """As the interface of Jinja asks: a template out of its compiled code."""
        return environment.template_class.from_code(
            environment, self._code(environment, name), {} if globals is None else globals
        )

    def _code(self, environment: Environment, name: str) -> CodeType:
        try:
            source, filename, _ = self.own.get_source(environment, name)
        except TemplateNotFound:
            shelf = _compiled(self.spelling)
            if name not in shelf:
                source, filename, _ = self.ours.get_source(environment, name)
                shelf[name] = self._compile(environment, name, source, filename)
            return shelf[name]
        return self._compile(environment, name, source, filename)

    def _compile(self, environment: Environment, name: str, source: str, filename: str) -> CodeType:
        """Code from the disk or made now, in the spelling of the country."""
        language = _language(name)
        kept = on_disk()
        form = f"{FORM} {dict(spelling_table(language, self.spelling)) if language else ''}"
        bucket = kept.get_bucket(environment, f"{name} {self.spelling}", filename, f"{form}\n{source}") if kept else None
        if bucket is not None and bucket.code is not None:
            return bucket.code
        tree = environment.parse(source, name, filename)
        hold(tree, name)
        if language:
            respell(tree, lambda text: spelled(text, language, self.spelling))
        code: CodeType = environment.compile(tree, name, filename)
        if kept is not None and bucket is not None:
            bucket.code = code
            kept.set_bucket(bucket)
        return code


@cache
def _compiled(spelling: str) -> dict[str, CodeType]:
    """Template of ours -> its code, in one spelling."""
    return {}


def _language(template: str) -> str | None:
    language = template.split("/")[1] if template.count("/") > 1 else "en"
    return language if language in languages() else None


class _Kept(FileSystemBytecodeCache):
    """Compiled templates on the disk: what cannot be read is compiled again, and what cannot be written is not kept."""

    def load_bytecode(self, bucket: Bucket) -> None:
        """As the interface of Jinja asks."""
        try:
            super().load_bytecode(bucket)
        except Exception:  # whatever a damaged file makes of itself
            bucket.reset()

    def dump_bytecode(self, bucket: Bucket) -> None:
        """As the interface of Jinja asks."""
        with suppress(OSError):
            super().dump_bytecode(bucket)


@cache
def on_disk() -> FileSystemBytecodeCache | None:
    """A per-user folder for compiled templates; None where none can be written, or where others can write: what lies there is run."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    folder = Path(base) / "docgen" / __version__
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        found = folder.stat()
    except OSError:
        return None
    ours = not hasattr(os, "getuid") or (found.st_uid == os.getuid() and not found.st_mode & 0o022)
    return _Kept(str(folder)) if ours and os.access(folder, os.W_OK) else None
