"""One site of many: whether anything that it used has moved, and if so its line and its papers anew.

What was built stands in `.docgen/` of the output folder, one file a site, written last: the digests of all that was used, the line of the
register, and what was written. A build that is killed leaves whole files and the old state, so that the next one does it again.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import itertools
import json
import os
import re
import traceback
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from docgen.checked import Assessed, Checked
from docgen.control.safe import new_file, put_file
from docgen.errors import DocgenError, ProfileUnreadable, Refusal
from docgen.frozen import frozen
from docgen.inherit import read_portfolio
from docgen.papers import papers
from docgen.pipeline import check_site, compared_site, render_site
from docgen.portfolio.row import Row, of_fault, of_problems, of_site
from docgen.portfolio.sites import Named, Spot, law_named, named_by, of_law, of_photographs, of_portfolio, program
from docgen.portfolio.sites import of_site as used_by
from docgen.read import read_profile
from docgen.words import refusal_text

__all__ = ["Built", "Job", "build", "fresh", "lost"]

FORMAT = 3
STATES = ".docgen"
#: Sites after which a process looks for what nothing holds any more; what refers to itself is little.
EACH = 10
_BUILDS = itertools.count()
#: What a killed process leaves of a file that it was writing.
HALF = re.compile(r"\..+\.[0-9a-f]{16}")
NEVER = "never built"
#: The portfolio file as a whole, by its text.
WHOLE = "portfolio"
#: What a job asks for; a line without papers does not hang on it.
ASKED = ("types", "papers")
#: Any types stand for a state with papers.
WRITTEN = ("html",)


@frozen
class Job:
    """What to build of one site: its name and folder, the day, and where its papers go (None: its line alone)."""

    spot: Spot
    as_of: date
    language: str
    into: Path | None = None
    types: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()


@frozen
class Built:
    """The line of a site; `moved` names what was another than at the last build, and is empty where nothing was built."""

    name: str
    row: Row
    moved: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def fresh(job: Job) -> Built | None:
    """The site as it was built before, where nothing that it used has moved since and what was written is still there."""
    for kept in (job,) if job.types else (job, replace(job, types=WRITTEN)):
        state = _state(kept)
        if state and not _felt(job, state, _used(job, state)[0]) and _written_there(job, state):
            return Built(job.spot.name, state["row"])
    return None


def lost(job: Job, why: BaseException) -> Built:
    """A site whose worker did not come to an end."""
    return _failed(job, f"the worker that had this site ended ({type(why).__name__}); run the command again")


def build(job: Job) -> Built:
    """Check a site, and write its papers where the job says so; never raises: what is wrong is in the line."""
    try:
        with _uncollected(), _alone(job):
            return _build(job)
    except Refusal as refusal:
        return _failed(job, refusal_text(refusal, job.language))
    except DocgenError as error:
        return _failed(job, str(error))
    except OSError as error:
        return _failed(job, f"{error.filename or job.spot.folder}: {error.strerror or error}")
    except Exception as error:
        place = traceback.extract_tb(error.__traceback__)[-1]
        return _failed(job, f"internal fault ({type(error).__name__}: {error}) in {Path(place.filename).name}:{place.lineno}")


def _failed(job: Job, told: str) -> Built:
    return Built(job.spot.name, of_fault(job.spot.name, None, told), (NEVER,))


def _build(job: Job) -> Built:
    if job.into is None:
        checked = check_site(job.spot.folder, job.as_of)
        return Built(job.spot.name, _line(job, checked), (NEVER,))
    state = _state(job)
    now, named = _used(job, state)
    moved = _felt(job, state, now) if state else (NEVER,)
    there = bool(state) and _written_there(job, state)
    if there and not moved:  # somebody else has built it meanwhile
        return Built(job.spot.name, state["row"])
    checked = check_site(job.spot.folder, job.as_of)
    if there and not state["row"]["problems"] and all(map(_taken_over, moved)) and _held(checked) == state["held"]:
        _kept(job, {**state, "used": now})  # of what moved it takes over nothing
        return Built(job.spot.name, state["row"])
    written: dict[str, int] = {}
    prints: dict[str, str] = {}
    notes: tuple[str, ...] = ()
    if not isinstance(checked, Assessed) or not job.types:
        row = _line(job, checked)
    else:
        whole = bool(checked.records.issued or checked.records.approvals)
        checked, bodies = compared_site(checked, () if whole else job.papers)
        target = job.into / Path(job.spot.name).parent
        _claimed(job, target / checked.site.site.id, checked.site.site.id)
        for ending in {f".{o.apart}" if o.apart else "" for o in papers()}:
            _swept(target / f"{checked.site.site.id}{ending}")
        result = render_site(checked, target, job.types, job.papers, bodies, state.get("prints", {}))
        written = {
            p.relative_to(job.into).as_posix(): p.stat().st_size
            for folder in {p.parent for p in result.files}
            for p in _all_of(folder)
        }
        prints = {f"{d.name} {d.language}": d.print for d in result.documents}
        notes = tuple(refusal_text(n, job.language) if isinstance(n, Refusal) else n for n in result.notes)
        row = of_site(checked, job.spot.name, checked.source.client or None, job.language, bodies if whole else None)
    law = law_named(checked.site) if isinstance(checked, Assessed) else ()
    photos = sorted(p.label_photo for p in checked.site.equipment if p.label_photo) if isinstance(checked, Assessed) else []
    names = [named.file, named.client, list(named.models), list(law), photos]
    used = {**now, "codes": of_law(law), "photographs": of_photographs(job.spot.folder, photos)}
    _kept(job, {"used": used, "names": names, "row": row, "held": _held(checked), "written": written, "prints": prints})
    told = tuple(name for name in moved if name != WHOLE) or moved
    return Built(job.spot.name, row, told or ("what was written is gone",), notes)


def _held(checked: Checked) -> list[Any]:
    """What a site holds in the end, wherever it came from: digests of it and of the files of its look, and the places in a portfolio that its page names."""
    whole = hashlib.sha256(checked.source.whole.encode("utf-8", "surrogatepass")).hexdigest()
    if not isinstance(checked, Assessed):
        return [whole, "", []]
    look = sorted((name, hashlib.sha256(data).hexdigest()) for name, data in (checked.look.files or {}).items())
    places = sorted({f"{f.origin}:{f.line} {f.path}" for f in checked.assessed.findings if f.origin})
    return [whole, ", ".join(map(" ".join, look)), places]


def _line(job: Job, checked: Checked) -> Row:
    """The line of a site of which no paper is written: in a register as its page would say it, in a check as a check does, which compares no papers."""
    client = checked.source.client or None
    if not isinstance(checked, Assessed):
        return of_problems(checked, job.spot.name, client)
    recorded = bool(checked.records.issued or checked.records.approvals)
    compared, bodies = compared_site(checked) if recorded or job.into is not None else (checked, {})
    return of_site(checked if job.into is None else compared, job.spot.name, client, job.language, bodies if recorded else None)


def _claimed(job: Job, folder: Path, site: str) -> None:
    """Refusal where another site of these writes into that folder: two of one id in one place."""
    into = job.into or Path()
    claim = into / STATES / f"{hashlib.sha256(str(folder.relative_to(into)).casefold().encode()).hexdigest()[:24]}.site"
    try:
        new_file(claim, job.spot.name.encode("utf-8", "surrogateescape"))
    except FileExistsError:
        other = claim.read_bytes().decode("utf-8", "surrogateescape")
        root = job.spot.folder.parents[job.spot.name.count("/")]
        if other != job.spot.name and (root / other / "profile.yaml").is_file() and _id_of(root / other) == site.casefold():
            raise Refusal("two-sites-of-one-id", site=site, other=other) from None
        put_file(claim, job.spot.name.encode("utf-8", "surrogateescape"))


def _id_of(folder: Path) -> str | None:
    with contextlib.suppress(ProfileUnreadable):
        site = (read_profile(folder).data or {}).get("site")
        return str(site.get("id", "")).casefold() if isinstance(site, dict) else None
    return None


def _all_of(folder: Path) -> list[Path]:
    return sorted(p for p in folder.iterdir() if p.is_file() and not p.name.startswith("."))


# what was used


def _used(job: Job, state: Mapping[str, Any]) -> tuple[dict[str, str], Named]:
    """Digests of all that the site is built from, by name; and what its profile names of a portfolio."""
    own = used_by(job.spot.folder)
    file, client, models, law, photos = state["names"] if state else ("", "", (), (), ())
    if state and state["used"].get("profile") == own.get("profile"):
        named = Named(file, client, tuple(models), tuple(law))
    else:
        named = replace(
            named_by(job.spot.folder), law=tuple(law)
        )  # of another place it may be now, and then its profile has moved
    asked = {"day": job.as_of.isoformat(), "types": ",".join(job.types), "papers": ",".join(job.papers), "language": job.language}
    seen = {"codes": of_law(named.law), "photographs": of_photographs(job.spot.folder, photos)}
    return {**own, **_taken(job, named), **program(), **seen, **asked}, named


def _taken(job: Job, named: Named) -> dict[str, str]:
    if not named.file:
        return {}
    try:
        portfolio, wrong = read_portfolio(Path(os.path.normpath(job.spot.folder / named.file)))
    except ProfileUnreadable:
        return {WHOLE: "unreadable"}
    whole = {WHOLE: hashlib.sha256(portfolio.text.encode("utf-8", "surrogatepass")).hexdigest()}
    return whole if wrong else {**whole, **of_portfolio(portfolio, named)}


def _felt(job: Job, state: Mapping[str, Any], now: Mapping[str, str]) -> tuple[str, ...]:
    """What has moved that the site may feel: another line of its portfolio is felt where a problem or its page names one."""
    before, but = state["used"], () if job.types else ASKED
    moved = tuple(sorted(key for key in {*before, *now} if key not in but and before.get(key) != now.get(key)))
    names_lines = bool(state["row"]["problems"]) or (bool(job.types) and bool(state["held"][2]))
    return () if moved == (WHOLE,) and not names_lines else moved


def _taken_over(name: str) -> bool:
    """Whether a digest is one of what a site may take over from its portfolio."""
    return name in (WHOLE, "defaults", "client", "look") or name.startswith("model ")


# what was kept


def _state_file(job: Job) -> Path:
    into = job.into or Path()
    return (
        into
        / STATES
        / f"{hashlib.sha256(job.spot.name.encode('utf-8', 'surrogateescape')).hexdigest()[:24]}.{'papers' if job.types else 'line'}.json"
    )


def _state(job: Job) -> dict[str, Any]:
    """What was kept of the last build; nothing where there was none, or where it cannot be read."""
    if job.into is None:
        return {}
    try:
        state = json.loads(_state_file(job).read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    keys = {"used": dict, "names": list, "row": dict, "held": list, "written": dict, "prints": dict}
    whole = (
        isinstance(state, dict) and state.get("format") == FORMAT and all(isinstance(state.get(k), t) for k, t in keys.items())
    )
    return state if whole and len(state["names"]) == 5 and len(state["held"]) == 3 and state.get("name") == job.spot.name else {}


def _written_there(job: Job, state: Mapping[str, Any]) -> bool:
    """Whether every file that was written is there with its size."""
    into = job.into or Path()
    with contextlib.suppress(OSError):
        return all((into / name).stat().st_size == size for name, size in state["written"].items())
    return False


def _kept(job: Job, state: Mapping[str, Any]) -> None:
    told = {"format": FORMAT, "name": job.spot.name, **state}
    put_file(_state_file(job), json.dumps(told, ensure_ascii=True, sort_keys=True).encode("ascii"))


def _swept(folder: Path) -> None:
    """Take away what a killed process left half written; nobody else is at this site."""
    with contextlib.suppress(OSError):
        for path in folder.iterdir():
            if HALF.fullmatch(path.name):
                path.unlink(missing_ok=True)


@contextlib.contextmanager
def _uncollected() -> Iterator[None]:
    """What a site makes is kept until it is done, and given back then; what a process has loaded is not looked through again."""
    from multiprocessing import parent_process

    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            built = next(_BUILDS)
            if built % EACH == 0:
                gc.collect()
            if built == 0 and parent_process() is not None:  # a process of ours, not of whoever calls this
                gc.freeze()
            gc.enable()


@contextlib.contextmanager
def _alone(job: Job) -> Iterator[None]:
    """Nobody else builds this site into this folder meanwhile; who dies holds nothing."""
    if job.into is None:
        yield
        return
    try:
        import fcntl
    except ImportError:  # a system without these locks: files are still whole, each
        yield
        return
    path = _state_file(replace(job, types=WRITTEN)).with_suffix(".lock")
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("ab") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield
