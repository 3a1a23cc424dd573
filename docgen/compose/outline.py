"""What a document consists of: templates/<document>/index.yaml. A new document is a new folder, no Python."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, NotRequired, TypedDict, cast

from docgen.data import load
from docgen.errors import TemplateError
from docgen.resources import data_folder

__all__ = ["Outline", "outline", "outlines"]


@dataclass(frozen=True, slots=True)
class Outline:
    """`front` and `back` are frame templates and `sections` body templates, as file stems in `<folder>/<language>/`.

    `approvers` are the roles that approve this document out of those the site asks for; None: all of them.
    """

    name: str
    folder: str
    order: int
    title: Mapping[str, str]
    layout: str
    contents: bool
    body_pt: float | None
    front: tuple[str, ...]
    sections: tuple[str, ...]
    back: tuple[str, ...]
    types: tuple[str, ...]
    approvers: tuple[str, ...] | None = None

    def template(self, stem: str, language: str) -> str:
        """Name of the template of a section in a language."""
        return f"{self.folder}/{language}/{stem}.md"


class _Row(TypedDict):
    """An index.yaml, as schemas/document.schema.json has it."""

    document: str
    order: int
    title: dict[str, str]
    layout: Literal["report", "poster"]
    types: list[str]
    sections: list[str]
    contents: NotRequired[bool]
    body_pt: NotRequired[int | str]
    approvers: NotRequired[list[str]]
    front: NotRequired[list[str]]
    back: NotRequired[list[str]]


@cache
def outlines() -> tuple[Outline, ...]:
    """All documents, in their order. Raises DataError for an index.yaml that is not as its schema says."""
    found = []
    for path in sorted(data_folder("templates").glob("*/index.yaml")):
        row = cast("_Row", load(path, "document"))
        found.append(
            Outline(
                name=row["document"],
                folder=path.parent.name,
                order=row["order"],
                title=row["title"],
                layout=row["layout"],
                contents=row.get("contents", False),
                body_pt=float(row["body_pt"]) if "body_pt" in row else None,
                front=tuple(row.get("front", ())),
                sections=tuple(row["sections"]),
                back=tuple(row.get("back", ())),
                types=tuple(row["types"]),
                approvers=tuple(row["approvers"]) if "approvers" in row else None,
            )
        )
    return tuple(sorted(found, key=lambda o: o.order))


def outline(name: str) -> Outline:
    """One document by name. TemplateError names those there are."""
    for candidate in outlines():
        if candidate.name == name:
            return candidate
    raise TemplateError(f"there is no document '{name}'; there are: {', '.join(o.name for o in outlines())}")
