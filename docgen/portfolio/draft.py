"""What would move at many sites if templates or sets of law of somebody else stood in the place of ours; no file is touched.

A folder of templates is laid out like ours and holds the sections (`<paper>/<language>/<section>.md`) and parts that are other; a folder of
law holds whole sets, each in a folder as it lies in `codes/`. Both are looked at before any site is, so that a mistake is told once.
"""

from __future__ import annotations

import hashlib
import re
import traceback
from collections.abc import Iterator, Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from docgen.check import nearest
from docgen.checked import Assessed, Refused
from docgen.codes.answers import Line, question, questions, value_answer
from docgen.codes.code import forget
from docgen.codes.folder import ANSWER_FILES, HOME, Folder, find, known, place
from docgen.data import load, wrong
from docgen.errors import CodeError, DocgenError, Refusal, TemplateError, UsageError
from docgen.findings.model import Finding
from docgen.frozen import frozen
from docgen.papers import found as paper_of
from docgen.pipeline import Bodies, check_site, compared_site
from docgen.portfolio.sites import Spot
from docgen.resources import data_folder
from docgen.revisions import state_of
from docgen.site import Site
from docgen.words import refusal_text

if TYPE_CHECKING:
    from docgen.compose.document import Document
    from docgen.compose.pieces import Body
    from docgen.control.changes import Changes

__all__ = ["EMPTY", "Answer", "Ask", "Drafted", "draft_of", "drafted", "moves"]

Answer = dict[str, Any]
EMPTY: Answer = {"fault": None, "wrong": None, "clauses": [], "beside": [], "appear": [], "vanish": [], "lapse": []}
HOW = {"added": "new", "removed": "gone", "text": "moved", "input": "rests"}
SCHEMAS = {"index.yaml": "index", **dict.fromkeys(ANSWER_FILES, "answers"), **{f"{n}.yaml": n for n in ("not_looked", "sources", "copies", "mistakes")}}  # fmt: skip
PARTS = "parts"


@frozen
class Drafted:
    """Folders that stand before ours, each None where none was given, and the digest of all that lies in them."""

    templates: Path | None
    codes: Path | None
    digest: str


@frozen
class Ask:
    """A site, a day, and the draft."""

    spot: Spot
    as_of: date
    language: str
    draft: Drafted


# the draft itself


def drafted(templates: Path | None, codes: Path | None) -> Drafted:
    """The draft in two folders, once its files were looked at. UsageError, DataError or CodeError, with file and line, for a mistake in one."""
    whole = hashlib.sha256()
    for folder, look in ((templates, _templates_in), (codes, _sets_in)):
        if folder is None:
            continue
        if not folder.is_dir():
            raise UsageError(f"{folder}: no such folder")
        files = sorted(
            path
            for path in folder.rglob("*")
            if path.is_file() and not any(p.startswith(".") for p in path.relative_to(folder).parts)
        )
        if not files:
            raise UsageError(f"{folder}: there is no file in it")
        look(folder, files)
        for path in files:
            whole.update(f"{path}\0{hashlib.sha256(path.read_bytes()).hexdigest()}\n".encode("utf-8", "surrogateescape"))
    return Drafted(templates, codes, whole.hexdigest())


def _same(path: Path, ours: Path) -> bool:
    return ours.is_file() and path.read_bytes() == ours.read_bytes()


def _templates_in(folder: Path, files: list[Path]) -> None:
    import jinja2

    from docgen.compose.environment import Collector, TracingSandbox
    from docgen.compose.library import Library
    from docgen.compose.parsed import hold

    home = data_folder("templates")
    names = [path.relative_to(home).as_posix() for path in home.rglob("*.md")]
    texts = {path: _text(path) for path in files if path.suffix == ".md"}
    for path in files:
        name = path.relative_to(folder).as_posix()
        if _same(path, home / name):
            continue
        if path not in texts:
            raise UsageError(f"{path}: a draft of templates holds sections and parts (.md); words, indexes and styles stay ours")
        if name not in names and not (name.startswith(f"{PARTS}/") and any(name in text for text in texts.values())):
            near = nearest(name, names[:500])
            told = f"; did you mean '{near}'?" if near else f"; templates lie in {home}"
            raise UsageError(f"{path}: it stands in the place of no template of ours{told}")
        sandbox = TracingSandbox(Collector(name, str, is_body=False), Library("us", (folder,)), {})
        try:
            hold(sandbox.parse(texts[path], name, str(path)), name)
        except jinja2.TemplateSyntaxError as error:
            raise UsageError(f"{path}:{error.lineno}: {error.message}") from None


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise UsageError(f"{path}: is not UTF-8 text; save it as UTF-8") from None


def _sets_in(folder: Path, files: list[Path]) -> None:
    forget()
    roots = (folder,)
    for path in files:
        name = path.relative_to(folder).as_posix()
        home, _, inner = name.partition("/")
        if not (folder / home / "index.yaml").is_file():
            if not _same(path, HOME / name):
                raise UsageError(
                    f"{path}: a draft of law holds whole sets, each a folder with its index.yaml; copy the set and change the copy"
                )
            continue
        schema = "words" if re.fullmatch(r"words/[A-Za-z-]+\.yaml", inner) else SCHEMAS.get(inner)
        if schema is None:
            raise UsageError(f"{path}: a set has no file of this name; it has {', '.join(SCHEMAS)}, words/<language>.yaml")
        load(path, f"code/{schema}", thorough=True)
    try:
        codes = [code for code in known(roots) if (own := find(code, roots)) is not None and own.path.parent == folder]
        for code in codes:
            place(code, roots)
    except CodeError as error:
        raise CodeError(f"{folder}/{error}") from None
    if not codes:
        raise UsageError(f"{folder}: no set of law lies in it; a set is a folder with an index.yaml")
    for own in (find(code, roots) for code in codes):
        if own is not None:
            _answered(own)


def _answered(own: Folder) -> None:
    """DataError, with its place, for the first answer of a set that cannot be given."""
    for name in ANSWER_FILES:
        for key, timelines in own.file(name).items():
            at: tuple[Any, ...] = (key,)
            try:
                ask = question(key)
                for sector, days in timelines.items():
                    for day, fields in days.items():
                        at = (key, sector, day)
                        if isinstance(day, date) and not fields.get("silent"):
                            value_answer(Line(own, ask, f"{own.path.name}/{name}", timelines, sector, day, fields), own=True)
            except CodeError as error:
                raise wrong(own.path / name, at, str(error).removeprefix(f"{own.path.name}/{name} {key}: ")) from None


@lru_cache(maxsize=1)
def _taken_up(digest: str) -> None:
    """A worker that lives on after a command has no law of an older draft in its memory."""
    forget()


# one site


def draft_of(ask: Ask) -> Answer:
    """What would move at a site. `fault` is what is wrong with the site, `wrong` what is wrong with the draft there."""
    answer = {"name": ask.spot.name, **EMPTY}
    if ask.draft.codes is not None:
        _taken_up(ask.draft.digest)
    own = () if ask.draft.templates is None else (ask.draft.templates,)
    try:
        before = check_site(ask.spot.folder, ask.as_of)
        if not isinstance(before, Assessed):
            return answer | {"fault": _first(before)}
        law = ask.draft.codes is not None and _links(before.site, ()) != _links(before.site, (ask.draft.codes,))
        if not law and not own:
            return answer
        was, old = compared_site(before)
    except Refusal as refusal:
        return answer | {"fault": refusal_text(refusal, ask.language)}
    except (DocgenError, OSError) as error:
        return answer | {"fault": str(error)}
    try:
        after = check_site(ask.spot.folder, ask.as_of, (ask.draft.codes,)) if law and ask.draft.codes is not None else before
        if not isinstance(after, Assessed):
            return answer | {"wrong": _first(after)}
        now, new = compared_site(after, own=own)
        return answer | _moved(ask, was, old, now, new, own, law)
    except Exception as error:
        told = _placed(ask.draft, error)
        if told is None and not isinstance(error, DocgenError):
            raise
        return answer | {"wrong": told or str(error)}


def _first(refused: Refused) -> str:
    p = refused.problems[0]
    return f"{p.file}:{p.line}:{p.column}: {p.path + ': ' if p.path else ''}{p.message}"


def _links(site: Site, roots: tuple[Path, ...]) -> list[Path]:
    """The folders from which the law of a site is read."""
    return [link.path for code in (site.site.jurisdiction, *site.codes.owner) for link in place(code, roots).sharing]


def _moved(ask: Ask, was: Assessed, old: Bodies, now: Assessed, new: Bodies, own: tuple[Path, ...], law: bool) -> Answer:
    from docgen.compose import compose_all
    from docgen.control.changes import compare

    gone: Bodies = {document: {} for document in old if document not in new}
    first, second = state_of(was, old), state_of(now, {**new, **gone})
    changes = compare(first, second, ask.as_of)
    moved = tuple(dict.fromkeys(c.document for c in changes.clauses if c.how != "removed"))
    if moved:  # a paper of the draft is a whole paper, or that is told
        compose_all(now.site, now.code, now.assessed, now.happened, (), own, moved, now.records, new)
    stood = {s.approval.id for s, _ in compare(first, first, ask.as_of).approvals if s.stands}
    return {
        "clauses": list(_clauses(changes, old, new)), "beside": list(_beside(was, old, now if law else was, new, own)),
        "appear": _apart(now.assessed.findings, was.assessed.findings), "vanish": _apart(was.assessed.findings, now.assessed.findings),
        "lapse": [
            {"paper": s.approval.document, "part": s.approval.role, "by": s.approval.by, "approval": s.approval.id}
            for s, _ in changes.approvals if not s.stands and s.approval.id in stood
        ],
    }  # fmt: skip


def _clauses(changes: Changes, old: Bodies, new: Bodies) -> Iterator[Answer]:
    """Each clause that would be new, gone or moved, with its sentences before and after; or that would rest on something else."""
    from docgen.control.said import moved_words

    for c in changes.clauses:
        before, after = (_raw(bodies.get(c.document, {}).get(c.language), c.id) for bodies in (old, new))
        said = [{"before": one, "after": other} for one, other in moved_words(before, after)] if c.how != "input" else []
        rests = [{"on": path, "before": one, "after": other} for path, one, other in c.inputs]
        yield {"paper": c.document, "language": c.language, "clause": c.id, "how": HOW[c.how], "said": said, "rests_on": rests}


def _raw(body: Body | None, key: str) -> str:
    return next((c.text for c in body.clauses if c.id == key), "") if body is not None else ""


def _beside(was: Assessed, old: Bodies, now: Assessed, new: Bodies, own: tuple[Path, ...]) -> Iterator[Answer]:
    """Of each paper what is printed outside its clauses and would be another: frames around the same clauses, headings, sheets.

    Templates alone are held against each other with what was found before, since what is found then is told by itself; and so is the site page
    left out where the law alone is drafted.
    """
    from docgen.compose import compose_all
    from docgen.control.said import moved_words

    made = (
        compose_all(was.site, was.code, was.assessed, was.happened, (), (), records=was.records, bodies=old),
        compose_all(now.site, now.code, now.assessed, now.happened, (), own, records=now.records, bodies={**new, **old}),
    )
    before, after = (dict(_outside(each, heads)) for each, heads in zip(made, (old, new), strict=True))
    for key in dict.fromkeys((*before, *after)):
        there = paper_of(key[0])
        if there is not None and there.circle == "page" and not own:
            continue
        said = [{"before": one, "after": other} for one, other in moved_words(before.get(key, ""), after.get(key, ""))]
        if said:
            yield {"paper": key[0], "language": key[1], "said": said}


def _outside(made: tuple[tuple[Document, Body], ...], heads: Bodies) -> Iterator[tuple[tuple[str, str], str]]:
    for document, body in made:
        text = document.markdown.partition("\n")[2]
        if body.markdown:
            shown = heads.get(body.document, {}).get(body.language, body)
            lines = "\n\n".join(line for line in shown.markdown.split("\n") if line.startswith("#"))
            text = f"{text.replace(body.markdown, '', 1)}\n\n{lines}"
        yield (document.name, body.language), text


def _apart(ours: tuple[Finding, ...], theirs: tuple[Finding, ...]) -> list[Answer]:
    """The findings that only the first have, by name and place."""
    there = {(f.name, f.path) for f in theirs}
    return [{"finding": f.name, "severity": f.severity, "at": f.path} for f in ours if (f.name, f.path) not in there]


def _placed(draft: Drafted, error: Exception) -> str | None:
    """What is wrong with the draft, with file and line; None where nothing of it is at fault.

    The line is that of the template which was being written; where the text as a whole is at fault, the one that holds the words told; of law
    the one where the question begins of which an answer is wrong or is missing, and the folder alone where it stands nowhere.
    """
    text = str(error)
    told = re.sub(r"^[\w./-]+\.md(:\d+)?: ", "", text) if isinstance(error, DocgenError) else f"{type(error).__name__}: {text}"
    found: list[tuple[Path, int]] = []
    if draft.templates is not None:
        found += _written(draft.templates, error)
        if not found and isinstance(error, TemplateError):
            found += _lines_with(draft.templates, text)
    if draft.codes is not None and not found and isinstance(error, TemplateError | CodeError):
        found += _asked(draft.codes, text)
    if found:
        path, line = found[0]
        return text if text.startswith(f"{path}:") else f"{path}:{line}: {told}"
    folder = draft.templates if draft.codes is None else draft.codes
    return f"{folder}: {text}" if isinstance(error, TemplateError | CodeError) else None


def _written(folder: Path, error: Exception) -> list[tuple[Path, int]]:
    """The template of a folder that was being written when an error came up, and its line."""
    at: BaseException | None = error
    place: list[tuple[Path, int]] = []
    while at is not None:
        frames = [(Path(f.f_code.co_filename), line) for f, line in traceback.walk_tb(at.__traceback__)]
        place = [p for p in reversed(frames) if p[0].is_relative_to(folder)] or place
        at = at.__cause__
    return place


def _asked(folder: Path, text: str) -> Iterator[tuple[Path, int]]:
    """Where the questions that a message names begin in sets of a folder."""
    for key in (key for key in re.findall(r"[a-z][a-z_]+", text) if key in questions()):
        for path in (path for name in ANSWER_FILES for path in sorted(folder.glob(f"*/{name}"))):
            lines = path.read_text(encoding="utf-8").split("\n")
            yield from ((path, n) for n, line in enumerate(lines, 1) if line.startswith(f"{key}:"))


def _lines_with(folder: Path, text: str) -> Iterator[tuple[Path, int]]:
    """The lines of templates in which some words that a message quotes stand, the longest words first."""
    for words in sorted(re.findall(r"'([^']{4,})'|\"([^\"]{4,})\"", text), key=lambda w: -len("".join(w))):
        for path in sorted(folder.rglob("*.md")):
            lines = path.read_text(encoding="utf-8").split("\n")
            yield from ((path, n) for n, line in enumerate(lines, 1) if "".join(words) in line)


# many sites together


def moves(answers: list[Answer]) -> list[Answer]:
    """The same move, told once: the paper, what is said before and after, and at which sites in which clauses; clauses first, then what moves most."""
    found: dict[tuple[object, ...], Answer] = {}
    for answer in answers:
        for clause in answer["clauses"]:
            if clause["how"] != "rests":
                _joined(found, answer["name"], clause, clause["how"], clause["clause"])
        for paper in answer["beside"]:
            _joined(found, answer["name"], paper, "beside", None)
    order = sorted(found.values(), key=lambda m: (m["how"] == "beside", -len({at["site"] for at in m["at"]})))
    return [{"number": n, **move} for n, move in enumerate(order, 1)]


def _joined(found: dict[tuple[object, ...], Answer], site: str, one: Mapping[str, Any], how: str, clause: str | None) -> None:
    paper = one["paper"].partition(".")[0]
    key = (paper, one["language"], how, tuple((s["before"], s["after"]) for s in one["said"]))
    move = found.setdefault(key, {"paper": paper, "language": one["language"], "how": how, "said": one["said"], "at": []})
    move["at"].append({"site": site, "paper": one["paper"], "clause": clause})
