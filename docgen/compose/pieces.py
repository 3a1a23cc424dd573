"""The two pieces of a document: the body, which is approved and bound to a digest, and the frame around it, which is not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from docgen.codes import Answer
from docgen.compose.drawing import Drawing
from docgen.frozen import frozen
from docgen.records import Text
from docgen.site import LocalRule
from docgen.trade.practice import Practice

__all__ = ["Body", "Frame"]


@frozen
class Body(Text):
    """A text as it is composed: with its Markdown, the sources that it cites, and its drawings."""

    markdown: str
    cited: Mapping[str, Answer | Practice | LocalRule] = field(compare=False)
    figures: Mapping[str, Drawing] = field(compare=False, default_factory=dict)

    @classmethod
    def none(cls, document: str, language: str) -> Body:
        """What stands in the place of a body for a paper without a digest."""
        return cls(document=document, language=language, digest="", headings="", clauses=(), markdown="", cited={})


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around a body: the stamp with its reasons, the digests of all documents, the state of each review.

    `state` is draft, for-approval or issued; an issued document has no stamp and no reasons. `sheet` is the state of a paper without
    a digest, whose revision is its day. `in_force` is the number of the revision that is in force, whether or not it holds this text. `licensed` are the reviews by people with a licence, of this paper or of one on which it rests.
    """

    state: str
    stamp: str
    reasons: tuple[str, ...]
    revision: str
    reviews: tuple[Mapping[str, Any], ...]
    digests: Mapping[str, str]
    licensed: tuple[Mapping[str, Any], ...] = ()
    history: tuple[Mapping[str, Any], ...] = ()
    files: tuple[Mapping[str, Any], ...] = ()
    in_force: int | None = None
