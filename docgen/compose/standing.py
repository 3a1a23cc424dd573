"""Whether an approval still stands: it lapses exactly when the text or an input of a clause in its scope changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from docgen.compose.trace import clause_digest
from docgen.errors import UsageError
from docgen.frozen import frozen
from docgen.records import Approval, Records, sha256

if TYPE_CHECKING:
    from docgen.compose.outline import Outline
    from docgen.compose.pieces import Body
    from docgen.site import Site

__all__ = ["AUTHORITY", "USUAL", "WHOLE", "Lapse", "Standing", "approval_of", "check_scope", "in_scope", "needed_for", "standing"]

AUTHORITY = "issuing-authority"
USUAL = ("qualified-person", AUTHORITY, "rescue-lead")
WHOLE = "document"


@frozen
class Lapse:
    """One clause that is no longer what was approved. `what` is text, input, gone, new, heading or language.

    `inputs` are (path, value approved, value now); "-" stands for none.
    """

    clause: str
    language: str
    what: str
    inputs: tuple[tuple[str, str, str], ...] = ()


@frozen
class Standing:
    """An approval with all that has changed under it; it stands while that is nothing."""

    approval: Approval
    lapses: tuple[Lapse, ...] = ()

    @property
    def stands(self) -> bool:
        return not self.lapses


def needed_for(outline: Outline, site: Site) -> tuple[str, ...]:
    """Roles whose approval this document needs before it is issued: those that the site asks for and that approve it.

    A role that no document names approves every document that is approved at all.
    """
    from docgen.compose.outline import outlines

    asked = site.document.approvals_needed or USUAL
    if outline.approvers is None:
        return asked
    named = {role for o in outlines() for role in o.approvers or ()}
    return tuple(r for r in asked if r in outline.approvers or (r not in named and outline.approvers))


def in_scope(scope: tuple[str, ...], body: Body) -> tuple[str, ...]:
    """Ids of the clauses that a scope means in this body, in its order. Unknown names are left out; see `check_scope`."""
    ids = [c.id for c in body.clauses]
    if WHOLE in scope:
        return tuple(ids)
    wanted = set()
    for name in scope:
        full = name if name.startswith(f"{body.document}.") else f"{body.document}.{name}"
        wanted |= {i for i in ids if i == full or i.startswith(f"{full}.") or body.sections.get(i) == name}
    return tuple(i for i in ids if i in wanted)


def check_scope(scope: tuple[str, ...], body: Body) -> None:
    """UsageError for a name that is neither `document` nor a section nor a clause of the body."""
    for name in scope:
        if not in_scope((name,), body):
            sections = ", ".join(dict.fromkeys(body.sections.values()))
            raise UsageError(
                f"the scope '{name}' is no clause or section of {body.document}; give document, a clause id such as "
                f"{body.clauses[0].id if body.clauses else 'none'}, or a section out of: {sections}"
            )


def standing(approval: Approval, bodies: Mapping[str, Body]) -> Standing:
    """What has changed since the approval. `bodies` are the texts of its document by language."""
    lapses: list[Lapse] = []
    for language, text in sorted(approval.texts.items()):
        body = bodies.get(language)
        if body is None:
            lapses.append(Lapse("", language, "language"))
            continue
        now = {c.id: c for c in body.clauses}
        sealed = {c.id: c for c in approval.clauses if c.language == language}
        found = []
        for key, old in sealed.items():
            if key not in now:
                found.append(Lapse(key, language, "gone"))
                continue
            clause = now[key]
            if clause_digest(body.document, language, clause) == old.digest:
                continue
            before, after = dict(old.inputs), dict(clause.inputs)
            inputs = tuple(
                (path, before.get(path, "-"), after.get(path, "-"))
                for path in sorted(before.keys() | after.keys())
                if before.get(path) != after.get(path)
            )
            same = sha256(" ".join(clause.text.split()).encode("utf-8")) == old.text
            found.append(Lapse(key, language, "input" if same else "text", inputs))
        found += [Lapse(key, language, "new") for key in in_scope(approval.scope, body) if key not in sealed]
        if not found and WHOLE in approval.scope and body.digest != text:
            found.append(Lapse("", language, "heading"))
        lapses += found
    return Standing(approval, tuple(lapses))


def approval_of(
    document: str, role: str, language: str, bodies: Mapping[str, Body], records: Records, by: str | None = None
) -> Standing | None:
    """The newest approval of this document by this role in this language that stands, else the newest lapsed one.

    Only what lies in the language asked for can make it lapse here. `by` asks for one person's.
    """
    lapsed = None
    for approval in reversed(records.approvals):
        if (approval.document, approval.role) != (document, role) or language not in approval.texts:
            continue
        if by is not None and approval.by != by:
            continue
        full = standing(approval, bodies)
        result = Standing(approval, tuple(x for x in full.lapses if x.language == language))
        if result.stands:
            return result
        lapsed = lapsed or result
    return lapsed
