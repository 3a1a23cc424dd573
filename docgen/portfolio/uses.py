"""Which sites use a model of the library, an answer of law, or a sentence: found in what a check and the papers of each site hold.

A model is looked for among the parts of the profile; an answer by its key or by its citation, in the clauses, frames and sheets that ask
the law for it or print it; a sentence in the words of all papers but the legal file, which is written on request only. Nothing is written.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from docgen.checked import Assessed
from docgen.codes import Answer as LawAnswer
from docgen.codes import questions
from docgen.errors import CodeError, DocgenError, ProfileUnreadable, Refusal
from docgen.frozen import frozen
from docgen.inherit import read_portfolio
from docgen.pipeline import check_site, compared_site
from docgen.portfolio.sites import Spot, named_by
from docgen.words import refusal_text

if TYPE_CHECKING:
    from docgen.compose.document import Document
    from docgen.compose.pieces import Body

__all__ = ["EMPTY", "Answer", "Ask", "Kind", "citations", "folded", "squeezed", "stands_in", "uses_in", "uses_of"]

Kind = Literal["model", "code", "sentence"]
Answer = dict[str, Any]
EMPTY: Answer = {"fault": None, "known": [], "uses": []}
DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u00ad"), "-")
QUOTES = {ord(sign): "'" for sign in "\u2018\u2019\u201b\u2032"} | {ord(sign): '"' for sign in "\u201c\u201d\u201f\u2033"}
UNSEEN = dict.fromkeys(map(ord, "\u200b\u2060\ufeff"))
_ESCAPED = re.compile(r"\\([!-/:-@\[-`{-~])")


@frozen
class Ask:
    """A site, a day, and what is looked for there: models, keys or citations, or words, as they were typed."""

    spot: Spot
    as_of: date
    language: str
    kind: Kind
    wanted: tuple[str, ...]


def folded(text: str) -> str:
    """Words as they are compared: one dash, no double quotation mark, single blanks, small letters.

    >>> folded("Stop\u00a0 work \u2014 the \u2018old\u2019 way")
    "stop work - the 'old' way"
    """
    return " ".join(text.translate(DASHES | QUOTES | UNSEEN).replace('"', "").split()).casefold()


def squeezed(text: str) -> str:
    """A citation as it is compared, without blanks: `29 CFR 1910.140(c)` as `29cfr1910.140(c)`."""
    return folded(text).replace(" ", "")


def stands_in(citation: str, text: str) -> bool:
    """Whether a squeezed citation stands in a squeezed text, and not as the beginning or end of a longer number."""
    return re.search(rf"(?<![0-9.]){re.escape(citation)}(?![0-9]|\.[0-9])", text) is not None


def citations(checked: Assessed, key: str) -> tuple[LawAnswer, ...]:
    """What the law answers to a question at a site, and the strictest answer of all that bind it where that is another; none at a gap of the data."""
    try:
        answers = (checked.code.ask(key), checked.assessed.binding.ask(key))
    except CodeError:
        return ()
    return answers if answers[0].citation != answers[1].citation else answers[:1]


def uses_of(ask: Ask) -> Answer:
    """Where a site uses what is asked for, `known`: the models that it could mean, and what keeps the site from being read."""
    answer = {"name": ask.spot.name, **EMPTY}
    try:
        if ask.kind == "model":
            answer |= {"known": _models(ask)}
        checked = check_site(ask.spot.folder, ask.as_of)
        if not isinstance(checked, Assessed):
            p = checked.problems[0]
            return answer | {"fault": f"{p.file}:{p.line}:{p.column}: {p.path + ': ' if p.path else ''}{p.message}"}
        if ask.kind == "model":
            own = {part.model for part in checked.site.equipment if part.model}
            return answer | {"known": sorted({*answer["known"], *own}), "uses": list(_parts(ask, checked))}
        papers = _papers(checked)
        return answer | {"uses": [use for wanted in ask.wanted for use in uses_in(ask.kind, wanted, checked, *papers)]}
    except Refusal as refusal:
        return answer | {"fault": refusal_text(refusal, ask.language)}
    except (DocgenError, OSError) as error:
        return answer | {"fault": str(error)}


# models


def _models(ask: Ask) -> list[str]:
    """The models of the library that a site takes over from, whatever is wrong with the site, and those that its parts name of it."""
    named = named_by(ask.spot.folder)
    if not named.file:
        return []
    try:
        portfolio, wrong = read_portfolio(Path(os.path.normpath(ask.spot.folder / named.file)))
    except ProfileUnreadable:
        return list(named.models)
    return sorted({*named.models, *(model["id"] for model in (portfolio.data or {}).get("models") or () if not wrong)})


def _parts(ask: Ask, checked: Assessed) -> Iterator[Answer]:
    site = checked.site
    for wanted in ask.wanted:
        for part in site.equipment:
            if part.model and part.model.casefold() == wanted.casefold():
                bays = [s.bay for s in site.systems if part in site.belonging(s)]
                named = [bay for bay in site.bays if bay.id in bays]
                yield {
                    "asked": wanted, "part": part.id, "kind": part.kind, "bays": [{"id": b.id, "name": b.name or b.id} for b in named],
                }  # fmt: skip


# papers


Papers = tuple[tuple["Body", ...], tuple[tuple["Document", "Body"], ...]]


def _papers(checked: Assessed) -> Papers:
    """The bodies of the papers, and each paper with its body, of all that are not kept apart."""
    from docgen.compose import compose_all

    checked, bodies = compared_site(checked)
    made = compose_all(checked.site, checked.code, checked.assessed, checked.happened, (), records=checked.records, bodies=bodies)
    return tuple(body for versions in bodies.values() for body in versions.values()), made


def uses_in(
    kind: Literal["code", "sentence"],
    wanted: str,
    checked: Assessed,
    bodies: Iterable[Body],
    made: Iterable[tuple[Document, Body]],
) -> Iterator[Answer]:
    """The clauses, frames and sheets of a site that use an answer of law or hold a sentence, once its papers are composed."""
    yield from (_cited if kind == "code" else _said)(wanted, checked, bodies, made)


def beside(document: Document, body: Body) -> str:
    """What a paper prints outside its clauses, as Markdown without its title: frame and headings, or a sheet as a whole."""
    heads = "\n\n".join(line for line in body.markdown.split("\n") if line.startswith("#"))
    text = document.markdown.partition("\n")[2]
    return f"{text.replace(body.markdown, '', 1)}\n\n{heads}" if body.markdown else text


def _cited(wanted: str, checked: Assessed, bodies: Iterable[Body], made: Iterable[tuple[Document, Body]]) -> Iterator[Answer]:
    """Each clause that asks the law for an answer, or prints its citation; of frames and sheets, the paper alone."""
    asked: Mapping[str, tuple[LawAnswer, ...]] = {}
    if wanted in questions():
        asked, plain = {wanted: citations(checked, wanted)}, ""
    else:
        plain = squeezed(wanted)
        every = {key: citations(checked, key) for key in questions()}
        asked = {
            key: fit
            for key, answers in every.items()
            if (fit := tuple(a for a in answers if stands_in(plain, squeezed(a.citation))))
        }
    for body in bodies:
        for clause in body.clauses:
            yield from _of_text(wanted, plain, asked, body.document, body.language, clause.id, clause.cites, clause.text)
    for document, body in made:
        yield from _of_text(
            wanted, plain, asked, document.name, body.language, None, tuple(sorted(document.cites)), beside(document, body)
        )


def _of_text(
    wanted: str, plain: str, asked: Mapping[str, tuple[LawAnswer, ...]], paper: str, language: str, clause: str | None,
    cites: tuple[str, ...], text: str,
) -> Iterator[Answer]:  # fmt: skip
    from docgen.control.said import units

    keys = [key for key in asked if f"law:{key}" in cites]
    use = {"asked": wanted, "paper": paper, "language": language, "clause": clause}
    for key in keys:
        for answer in asked[key]:
            yield use | {"key": key, "state": answer.state if answer.looked else "not-looked", "citation": answer.citation}
    if not plain or keys or plain not in squeezed(_ESCAPED.sub(r"\1", text)):
        return
    if lines := [unit for unit in units(text) if stands_in(plain, squeezed(unit))]:
        yield use | {"key": None, "state": "printed", "citation": wanted, "sentence": " ".join(lines)}


def _said(wanted: str, checked: Assessed, bodies: Iterable[Body], made: Iterable[tuple[Document, Body]]) -> Iterator[Answer]:
    """Each clause in which the words stand, with the sentences that hold them; of frames and sheets, the paper alone."""
    words = folded(_ESCAPED.sub(r"\1", wanted))
    for body in bodies:
        for clause in body.clauses:
            yield from _sentence(wanted, words, body.document, body.language, clause.id, clause.text)
    for document, body in made:
        yield from _sentence(wanted, words, document.name, body.language, None, beside(document, body))


def _sentence(wanted: str, words: str, paper: str, language: str, clause: str | None, text: str) -> Iterator[Answer]:
    from docgen.control.said import units

    quick = folded(text)
    if not all(run in quick for run in re.findall(r"[a-z0-9]+", words)):  # no sentence of it can hold them all
        return
    said = units(text)
    for first, last in _places(words, [folded(unit) for unit in said]):
        sentence = " ".join(said[first : last + 1])
        yield {"asked": wanted, "paper": paper, "language": language, "clause": clause, "sentence": sentence}


def _places(words: str, said: list[str]) -> Iterator[tuple[int, int]]:
    """(first, last) number of the sentences over which the words run, for each place where they stand; each stretch once."""
    whole, starts = "", []
    for unit in said:
        starts.append(len(whole))
        whole += f"{unit} "
    found: dict[tuple[int, int], None] = {}
    at = whole.find(words)
    while at >= 0:
        end = at + len(words)
        inside = [n for n, start in enumerate(starts) if start < end and start + len(said[n]) > at]
        if inside:
            found[inside[0], inside[-1]] = None
        at = whole.find(words, at + 1)
    yield from found
