"""The frame of a document: stamp, reasons, and the state of each review. Never part of a digest."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from docgen.assess.model import Assessment
from docgen.compose.compose import Body, Frame
from docgen.compose.outline import Outline, outlines
from docgen.site import Site
from docgen.words import words

__all__ = ["file_stem", "frame_for", "needed_approvals"]


def frame_for(
    document: str, language: str, languages: tuple[str, ...], site: Site, assessed: Assessment, bodies: Mapping[str, Body],
    types: tuple[str, ...],
) -> Frame:  # fmt: skip
    """The frame while no issue record exists: a draft, with every reason why, and every review open.

    No profile field lifts the stamp: an approval bound to the digest is what would.
    """
    texts = words(language)["stamp"]
    stops = [f for f in assessed.findings if f.stops == "issue" and f.severity == "must-fix" and document in f.documents]
    reasons = []
    if stops:
        reasons.append(texts["reason_findings"].format(n=len(stops)) if len(stops) != 1 else texts["reason_finding"])
    titles = words(language)["approvals"]
    missing = [titles.get(role, role) for role in needed_approvals(site)]
    reasons.append(texts["reason_approvals"].format(roles=", ".join(missing)))
    reasons.append(texts["reason_not_issued"])
    return Frame(
        stamp=texts["draft"], reasons=tuple(reasons), revision=texts["no_revision"], reviews=_reviews(site),
        digests={name: body.digest for name, body in bodies.items()},
        files=tuple(_files(o, language, languages, types, texts["draft"]) for o in outlines() if o.name in bodies and o.types != ("html",)),
    )  # fmt: skip


def file_stem(document: str, language: str, languages: tuple[str, ...]) -> str:
    """`<document>`, or `<document>.<language>` at a site with several languages."""
    return f"{document}.{language}" if len(languages) > 1 else document


def _files(o: Outline, language: str, languages: tuple[str, ...], types: tuple[str, ...], stamp: str) -> Mapping[str, Any]:
    names = [f"{file_stem(o.name, language, languages)}.{t}" for t in types if t in o.types]
    return {"title": o.title[language], "stamp": stamp, "names": names}


def needed_approvals(site: Site) -> tuple[str, ...]:
    """Roles whose approval an issue needs."""
    return site.document.approvals_needed or ("qualified-person", "issuing-authority", "rescue-lead")


def _reviews(site: Site) -> tuple[Mapping[str, Any], ...]:
    """One entry for each approval needed and each reviewer named; nothing is recorded yet, so all are open."""
    named = [{"role": r.role, "reviewer": r, "status": "not-reviewed"} for r in site.reviewers]
    roles = {r.role for r in site.reviewers}
    open_ = [{"role": role, "reviewer": None, "status": "not-reviewed"} for role in needed_approvals(site) if role not in roles]
    return (*named, *open_)
