"""What the templates of a document may see: one type for its body, one for its frame.

A body sees the site, its numbers and the law, and nothing that depends on the day, on the records or on what was found,
since all of its text is approved. A frame is composed around a finished body and sees these too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from docgen.codes import LawAlone
from docgen.codes.binding import BindingRules, Governs
from docgen.compose.outline import Outline
from docgen.compose.pieces import Body, Frame
from docgen.engineering.model import Numbers
from docgen.findings.model import Assessment
from docgen.frozen import frozen
from docgen.site import Node, Site, in_language
from docgen.words import fallback_text

__all__ = ["BodyContext", "FrameContext", "LawSet"]


@frozen
class LawSet(Node):
    """How the law of the site is called, and the note where a part of a country is judged by the country's own set."""

    name: str = ""
    fallback: str = ""


@dataclass(frozen=True, slots=True)
class BodyContext:
    """For the sections of a body. `binding` is the law with all other rules that bind the site."""

    document: Outline
    language: str
    site: Site
    law: LawAlone
    binding: BindingRules
    numbers: Numbers

    @classmethod
    def of(cls, document: Outline, language: str, site: Site, law: LawAlone, assessed: Assessment) -> BodyContext:
        """The part of an assessment that a body may see."""
        numbers = Numbers(**{f.name: getattr(assessed, f.name) for f in fields(Numbers)})
        return cls(document, language, in_language(site, language), law, assessed.binding, numbers)

    @property
    def rulings(self) -> tuple[Governs, ...]:
        """The questions on which more than the law speaks."""
        return self.binding.governs()

    def names(self) -> Mapping[str, Any]:
        """Name in the templates -> value."""
        instead = fallback_text(self.law.fallback, self.language) if self.law.fallback else ""
        return {
            "document": self.document, "language": self.language, "system": self.numbers.system, "site": self.site, "numbers": self.numbers,
            "rulings": self.rulings, "law": LawSet(path="law", name=self.law.name, fallback=instead),
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class FrameContext:
    """For the pages around a body: what the body saw, the body itself, the findings and the records."""

    inner: BodyContext
    assessed: Assessment
    body: Body
    frame: Frame

    def names(self) -> Mapping[str, Any]:
        """Name in the templates -> value."""
        return {**self.inner.names(), "assessed": self.assessed, "body": self.body, "frame": self.frame}
