"""What the templates of a paper may see: one type for a body, one for its frame, one for a paper without a digest.

A body sees the site, its numbers, the law and which bays are closed by these, and nothing that depends on the day, on the records or on what
happened, since all of its text is approved. A frame is composed around a finished body and sees these too. A paper without a digest is a
sheet of one day: it sees them and, beside them, every body with its frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from docgen.codes import LawAlone
from docgen.codes.binding import BindingRules, Governs
from docgen.compose.pieces import Body, Frame
from docgen.engineering.model import Numbers
from docgen.findings.model import Assessment, BayState
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.papers import Outline, outline, papers
from docgen.site import Node, Site
from docgen.words import fallback_text

__all__ = ["BodyContext", "Bound", "FrameContext", "LawSet", "SheetContext"]


@frozen
class LawSet(Node):
    """How the law of the site is called, and the note where a part of a country is judged by the country's own set."""

    name: str = ""
    fallback: str = ""


@dataclass(frozen=True, slots=True)
class BodyContext:
    """For the sections of a body. `binding` is the law with all other rules that bind the site.

    `name` is that of the paper, with the bay or kind of part where there is one for each: `bay-sign.B1`.
    """

    document: Outline
    name: str
    language: str
    site: Site
    law: LawAlone
    binding: BindingRules
    numbers: Numbers
    planned: Mapping[str, BayState]

    @classmethod
    def of(cls, name: str, language: str, site: Site, law: LawAlone, assessed: Assessment) -> BodyContext:
        """The part of an assessment that a body may see."""
        numbers = Numbers(**{f.name: getattr(assessed, f.name) for f in fields(Numbers)})
        return cls(
            outline(name).at(law),
            name,
            language,
            site.spoken(language),
            law,
            assessed.binding,
            numbers,
            {s.bay: s for s in assessed.planned},
        )

    @property
    def rulings(self) -> tuple[Governs, ...]:
        """The questions on which more than the law speaks."""
        return self.binding.governs()

    @property
    def thin(self) -> bool:
        """Whether no bay is open and none has all facts without which nobody may climb: then there is no plan yet."""
        return all(s.shut and any(r.reason == "facts" for r in s.reasons) for s in self.planned.values())

    @property
    def all_shut(self) -> bool:
        """Whether no bay is open."""
        return all(s.shut for s in self.planned.values())

    def names(self) -> Mapping[str, Any]:
        """Name in the templates -> value."""
        instead = fallback_text(self.law.fallback, self.language) if self.law.fallback else ""
        return {
            **self._one_of_many(),
            "document": self.document, "language": self.language, "system": self.numbers.system, "site": self.site, "numbers": self.numbers, "planned": self.planned, "thin": self.thin, "all_shut": self.all_shut,
            "rulings": self.rulings, "posted_papers": {o.name: o.called.get(self.language, o.name) for o in papers() if o.circle == "site"}, "law": LawSet(path="law", name=self.law.name, fallback=instead),
        }  # fmt: skip

    def _one_of_many(self) -> Mapping[str, Any]:
        """The bay, the kind of part or the group of kinds that a paper is about, where there is one paper for each."""
        match self.document.per:
            case "bay":
                return {"bay": self.site.bay(self.name.partition(".")[2])}
            case "kind":
                return {"kind": self.name.partition(".")[2]}
            case "group":
                return {"group": self.name.partition(".")[2]}
            case _:
                return {}


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


@dataclass(frozen=True, slots=True)
class Bound:
    """One paper with a digest, as a sheet speaks of it: its outline, its body, and its frame with stamp, reasons, reviews and revisions."""

    outline: Outline
    body: Body
    frame: Frame


@dataclass(frozen=True, slots=True)
class SheetContext:
    """For the sections of a paper without a digest: what a frame sees, every paper that has one, and what happened up to the day."""

    inner: BodyContext
    assessed: Assessment
    frame: Frame
    papers: tuple[Bound, ...]
    happened: Happened

    def names(self) -> Mapping[str, Any]:
        """Name in the templates -> value."""
        return {
            **self.inner.names(), "assessed": self.assessed, "frame": self.frame, "papers": self.papers,
            "happened": self.happened,
        }  # fmt: skip
