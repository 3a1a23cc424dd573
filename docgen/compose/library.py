"""Templates, found and compiled. Ours are compiled once in each spelling and kept, as code and on disk; nothing of a site is in them."""

from __future__ import annotations

import os
from collections.abc import Callable, MutableMapping
from functools import cache
from pathlib import Path
from types import CodeType
from typing import Any

from jinja2 import BaseLoader, Environment, FileSystemBytecodeCache, FileSystemLoader, Template, TemplateNotFound

from docgen import __version__
from docgen.compose.parsed import FORM, hold, respell
from docgen.resources import data_folder
from docgen.words import languages, spelled, spelling_table

__all__ = ["Library"]


class Library(BaseLoader):
    """The templates that one composition may load: a user's folders are searched before ours and may override one file.

    Ours are in the spelling of the country; a user's stay as they are.
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
                shelf[name] = self._compile(environment, name, source, filename, _language(name))
            return shelf[name]
        return self._compile(environment, name, source, filename, None)

    def _compile(self, environment: Environment, name: str, source: str, filename: str, language: str | None) -> CodeType:
        """Code from the disk or made now. `language` is that of a template of ours, None for a user's."""
        kept = _on_disk()
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


@cache
def _on_disk() -> FileSystemBytecodeCache | None:
    """A per-user folder for compiled templates, or None where none can be written."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    folder = Path(base) / "docgen" / __version__
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError:
        return None
    return FileSystemBytecodeCache(str(folder)) if os.access(folder, os.W_OK) else None
