"""Whether an approval still stands: it lapses exactly when the text or an input of a clause in its scope changes.

Where only administrative fields changed, and the text is the old one with the new values in it, the issuing authority's approval
lapses alone.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING, Literal

from docgen.compose.digest import DIGEST_FORMAT, canonical_text
from docgen.errors import Refusal
from docgen.frozen import frozen
from docgen.papers import Asked, Outline, outline, papers
from docgen.records import Approval, Clause, Records, Text
from docgen.site import administrative

if TYPE_CHECKING:
    from docgen.site import Site

__all__ = [
    "AUTHORITY",
    "WHOLE",
    "Given",
    "Inputs",
    "Lapse",
    "Standing",
    "What",
    "approval_of",
    "check_scope",
    "given",
    "in_scope",
    "inputs_between",
    "needed_for",
    "older_than",
    "own_needed",
    "resting_on",
    "scope_of",
    "standing",
]

#: (path, value before, value now); "-" stands for none.
Inputs = tuple[tuple[str, str, str], ...]
#: What is no longer as approved: the text of a clause, what it rests on, a clause gone or new, a heading, a language, or the digests.
What = Literal["text", "input", "gone", "new", "heading", "language", "method"]

AUTHORITY = "issuing-authority"
WHOLE = "document"
NONE = "-"  # an input that is not there
PHONE = re.compile(r"roles\[([^]]+)\]\.phone")
HELD = re.compile(r"shifts\[[^]]+\]\.posts\[\d+\]\.person")
ESCAPE = re.compile(r"\\(\W)")


@frozen
class Lapse:
    """One clause that is no longer what was approved; `clause` is empty where it is the text as a whole.

    `method`: the approval holds digests of another form (`DIGEST_FORMAT`), so that nothing can be compared.
    """

    clause: str
    language: str
    what: What
    inputs: Inputs = ()


@frozen
class Standing:
    """An approval with all that has changed under it; it stands while that is nothing."""

    approval: Approval
    lapses: tuple[Lapse, ...] = ()

    @property
    def stands(self) -> bool:
        """Whether nothing has changed under it."""
        return not self.lapses


@frozen
class Given:
    """What is on record of an approval that a paper needs: the newest that stands, else the newest that lapsed; those that it rests on,
    each adding clauses; and the ids of the clauses in need of it that none of them covers.
    """

    standing: Standing | None
    rests: tuple[Standing, ...] = ()
    uncovered: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether all that must be approved is approved and stands."""
        return self.standing is not None and self.standing.stands and not self.uncovered


def needed_for(shown: Outline, site: Site) -> tuple[Asked, ...]:
    """The approvals that a paper needs before it is issued: those of its index, narrowed or widened by what the site asks for.

    A part that the site asks for and that no index names approves every paper that is approved at all.
    """
    asked = site.document.approvals_needed
    if not asked:
        return tuple(a for a in shown.approvals if a.when == "always")
    named = {a.part for o in papers() for a in o.approvals}
    more = tuple(Asked(part) for part in asked if part not in named) if shown.approvals else ()
    return tuple(a for a in shown.approvals if a.part in asked) + more


def own_needed(shown: Outline, site: Site) -> tuple[str, ...]:
    """Parts whose approval of this paper itself is needed."""
    return tuple(a.part for a in needed_for(shown, site) if a.paper is None)


def resting_on(document: str, site: Site) -> tuple[tuple[str, str], ...]:
    """Other papers on whose approval this one rests, each with the part that must have given it."""
    return tuple((a.paper, a.part) for a in needed_for(outline(document), site) if a.paper and outline(a.paper).bound)


def older_than(document: str, language: str, digest: str, approval: Approval, records: Records, site: Site) -> bool:
    """Whether an approval of another paper was on record already when this one was last issued, with other words than today's.

    A card that nobody approves by itself rests on the approval of the paper that it shortens; when its own words change alone, whoever
    approved looks again.
    """
    if own_needed(outline(document), site):
        return False
    last = records.newest(document, language)
    before = last.text(document, language) if last is not None else None
    return last is not None and before is not None and before.digest != digest and approval.id in last.approvals


def scope_of(document: str, part: str) -> tuple[str, ...]:
    """What somebody approves of a paper in a part where no scope is named: the sections that its index gives for the part, else all of it.

    >>> scope_of("fall-protection-plan", "rescue-lead"), scope_of("rescue-procedure", "rescue-lead")
    (('rescue',), ('document',))
    """
    sections = next((a.sections for a in outline(document).approvals if a.part == part and a.paper is None), ())
    return sections or (WHOLE,)


def in_scope(scope: tuple[str, ...], text: Text) -> tuple[str, ...]:
    """Ids of the clauses that a scope means in this text, in its order. Unknown names are left out; see `check_scope`."""
    if WHOLE in scope:
        return tuple(c.id for c in text.clauses)

    def meant(name: str, clause: Clause) -> bool:
        full = name if name.startswith(f"{text.document}.") else f"{text.document}.{name}"
        return clause.id == full or clause.id.startswith(f"{full}.") or clause.section == name

    return tuple(c.id for c in text.clauses if any(meant(name, c) for name in scope))


def check_scope(scope: tuple[str, ...], text: Text) -> None:
    """Refusal for a name that is neither `document` nor a section nor a clause of the text."""
    for name in scope:
        if not in_scope((name,), text):
            raise Refusal(
                "unknown-scope", scope=name, document=text.document, clause=text.clauses[0].id if text.clauses else "-",
                sections=tuple(dict.fromkeys(c.section for c in text.clauses)),
            )  # fmt: skip


def inputs_between(old: Clause, new: Clause) -> Inputs:
    """What two states of a clause rest on that differs."""
    before, after = dict(old.inputs), dict(new.inputs)
    return tuple(
        (path, before.get(path, NONE), after.get(path, NONE))
        for path in sorted(before.keys() | after.keys())
        if before.get(path) != after.get(path)
    )


def standing(approval: Approval, texts: Mapping[str, Text]) -> Standing:
    """What has changed since the approval. `texts` are the texts of its document by language."""
    if approval.digest_format != DIGEST_FORMAT:
        return Standing(approval, tuple(Lapse("", old.language, "method") for old in approval.texts))
    lapses: list[Lapse] = []
    for old in sorted(approval.texts, key=lambda t: t.language):
        new = texts.get(old.language)
        lapses += [Lapse("", old.language, "language")] if new is None else _lapses(approval, old, new)
    return Standing(approval, tuple(lapses))


def _lapses(approval: Approval, old: Text, new: Text) -> list[Lapse]:
    now = {c.id: c for c in new.clauses}
    found = []
    for clause in old.clauses:
        current = now.get(clause.id)
        if current is None:
            found.append(Lapse(clause.id, old.language, "gone"))
        elif current.digest != clause.digest and not (approval.role != AUTHORITY and _only_administrative(clause, current)):
            same = canonical_text(current.text) == canonical_text(clause.text)
            found.append(Lapse(clause.id, old.language, "input" if same else "text", inputs_between(clause, current)))
    known = {c.id for c in old.clauses}
    found += [Lapse(key, old.language, "new") for key in in_scope(approval.scope, new) if key not in known]
    if not found and WHOLE in approval.scope and new.headings != old.headings:
        found.append(Lapse("", old.language, "heading"))
    return found


def _only_administrative(old: Clause, new: Clause) -> bool:
    """Whether nothing but values of administrative fields differs between two states of a clause.

    The text must be the old one with each old value replaced by the new one: what appears, goes or is worded anew is not covered.
    """
    inputs = inputs_between(old, new)
    before, after = dict(old.inputs), dict(new.inputs)
    text = _letters(old.text)
    for path, was, now in inputs:
        part = f"{path.rpartition('.')[0]}.part"
        parts = re.findall(r"[a-z-]+", before[part]) if before.get(part) == after.get(part) and part in before else None
        if NONE in (was, now) or not administrative(path, parts) or _of_a_post(path, before):
            return False
        for one, other in zip(_printed(was), _printed(now), strict=True):
            text = text.replace(one, other)
    return bool(inputs) and text == _letters(new.text) and old.cites == new.cites


def _of_a_post(path: str, inputs: Mapping[str, str]) -> bool:
    """Whether it is the telephone of whoever holds a post of a shift that the clause reads: such a number is no matter of the office."""
    role = PHONE.fullmatch(path)
    return role is not None and any(HELD.fullmatch(at) and value == role[1] for at, value in inputs.items())


def _printed(value: str) -> tuple[str, str]:
    """A value as papers print it: whole, and its first part in the middle of a sentence."""
    whole = _letters(value)
    part = re.split("[,;]", whole)[0]
    return whole, part[:1].lower() + part[1:]


def _letters(text: str) -> str:
    """A text as read: without escapes, hyphens and spaces all of one kind."""
    return canonical_text(ESCAPE.sub(r"\1", text).replace("\u2011", "-").replace("\u00a0", " "))


def approval_of(
    document: str, role: str, language: str, texts: Mapping[str, Text], records: Records, by: Collection[str] | None = None
) -> Standing | None:
    """The newest approval of this document by this role in this language that stands, else the newest lapsed one; none that was withdrawn.

    Only what lies in the language asked for can make it lapse here. `by` asks for those of one person, under any of these names.
    """
    found = list(_newest_first(document, role, language, texts, records, by))
    return next((s for s in found if s.stands), found[0] if found else None)


def given(document: str, role: str, language: str, texts: Mapping[str, Text], records: Records) -> Given:
    """Whether all that this part approves of a document (`scope_of`) is approved in a language. Several approvals may cover it together."""
    found = list(_newest_first(document, role, language, texts, records, None))
    text = texts[language]
    due = in_scope(scope_of(document, role), text) or in_scope((WHOLE,), text)
    open_, rests = list(due), list[Standing]()
    for one in (s for s in found if s.stands):
        covered = set(in_scope(one.approval.scope, text))
        if not rests or not covered.isdisjoint(open_):
            rests.append(one)
        open_ = [key for key in open_ if key not in covered]
    return Given(rests[0] if rests else found[0] if found else None, tuple(rests), tuple(open_))


def _newest_first(
    document: str, role: str, language: str, texts: Mapping[str, Text], records: Records, by: Collection[str] | None
) -> Iterator[Standing]:
    for approval in reversed(records.unwithdrawn):
        if (approval.document, approval.role) != (document, role) or approval.text(language) is None:
            continue
        if by is None or approval.by in by:
            yield Standing(approval, tuple(x for x in standing(approval, texts).lapses if x.language == language))
