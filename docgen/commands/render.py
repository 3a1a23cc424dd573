"""render: every paper in every language."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.commands.options import READ, Parser, near, takes_site_and_day, types_of
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, as_of, checked_site, noted, refused
from docgen.errors import DocgenError, Refusal, UsageError

if TYPE_CHECKING:
    from docgen.checked import Assessed
    from docgen.preview import Round, Said

__all__ = ["MANUAL", "add", "said"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "render": ("docgen render site_profiles/harrow-ridge --into out --types html,pdf --as-of 2026-11-01", READ),
}  # fmt: skip


#: What is written where --types is left out.
EVERY, WATCHED = "md,html,docx,pdf", "html"
NAMED = 6  # files told on one line


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    render = commands.add_parser("render", help="write every document in every language of the profile")
    takes_site_and_day(render)
    render.add_argument(
        "--into",
        metavar="DIR",
        type=Path,
        help="folder to write into; made if it is not there (default: papers, beside the site)",
    )
    render.add_argument(
        "--types", metavar="LIST", default=None, help="comma-separated: md, html, docx, pdf (default: all; with --watch: html)"
    )
    render.add_argument(
        "--documents", metavar="LIST", default="", help="comma-separated names of documents (default: all but the legal file)"
    )
    render.add_argument("--all", action="store_true", help="every document, the legal file too, in a folder of its own")
    render.add_argument(
        "--watch",
        action="store_true",
        help="write again whenever a file of the site changes, and show the papers at an address of this machine, until Ctrl-C",
    )
    render.add_argument("--port", metavar="N", type=int, default=None, help="port of that address (default: one that is free)")
    render.set_defaults(run=_render)


def _render(options: argparse.Namespace) -> int:
    import json

    from docgen.checked import Refused
    from docgen.pipeline import compared_site, render_site, stated
    from docgen.profile import site_folder
    from docgen.report import REPORTERS, unprinted_lines
    from docgen.words import finding_text

    if options.watch:
        return _watch(options)
    if options.port is not None:
        raise UsageError("--port is the port of --watch; give both, or neither")
    types = types_of(EVERY if options.types is None else options.types)
    checked = checked_site(options)
    if isinstance(checked, Refused):
        sys.stdout.write(REPORTERS[options.format](checked, LANGUAGE))
        print("docgen: nothing was written; put the problems right first", file=sys.stderr)
        return FOUND
    wanted = documents_of(options.documents, options.all)
    into = options.into or site_folder(options.profile).resolve().parent / "papers"
    seen = {(f.name, f.path) for f in checked.assessed.findings}
    checked, bodies = compared_site(checked, wanted)
    written = render_site(checked, into, types, wanted, bodies)
    shared = _shared(checked, options)
    stopping = [f for f in checked.assessed.findings if f.severity == "must-fix"]
    must = len(stopping)
    if options.format == "json":
        names = [p.relative_to(into).as_posix() for p in written.files]
        print(
            json.dumps(
                {"folder": written.folder.name, "files": names, "notes": [*noted(written), *shared], "must_fix": must}, indent=2
            )
        )
    else:
        for path in () if options.quiet else written.files:
            print(path)
        for note in (
            *noted(written),
            *shared,
            *(unprinted_lines(stated(checked, bodies, written.documents), LANGUAGE) if not wanted else ()),
        ):
            print(f"note: {note}")
        for contradiction in (f for f in checked.assessed.findings if f.name == "documents-contradict"):
            print(f"{contradiction.name}: {finding_text(contradiction, 'message', LANGUAGE, checked.assessed.system)}")
        if must:
            # what shows in the finished papers alone, check tells only where it composes them too
            compare = "" if all((f.name, f.path) in seen for f in stopping) else " --compare"
            print(f"{must} must-fix finding{'s' if must != 1 else ''}: run docgen check {options.profile}{compare} to read them")
    return CLEAN if not must else FOUND


def _shared(checked: Assessed, options: argparse.Namespace) -> tuple[str, ...]:
    """What is said where the papers lie beside the site, and another site there has the same id: each writes over those of the other."""
    from docgen.profile import site_beside, site_folder

    folder, key = site_folder(options.profile), checked.site.site.id
    other = site_beside(folder, key) if options.into is None else None
    if other is None:
        return ()
    return (
        f"{other} has the id '{key}' too, and its papers lie in the same folder; give each site an id of its own, or name a folder with --into",
    )


def _watch(options: argparse.Namespace) -> int:
    """Write again and again and show it; ends cleanly when somebody interrupts."""
    import importlib.util
    import signal

    from docgen.preview import Shown, Studio, changes, serving
    from docgen.profile import site_folder

    if importlib.util.find_spec("watchfiles") is None:
        raise UsageError(
            "--watch needs the package watchfiles, which the extra 'watch' brings: install docgen again with pip install '.[pdf,watch]'"
        )
    if options.format != "text":
        raise UsageError("--watch tells what it does as text; leave --format out")
    if options.port is not None and not 0 <= options.port <= 65535:
        raise UsageError(f"--port takes a number from 0 to 65535; got {options.port}")
    types = types_of(WATCHED if options.types is None else options.types)
    if "html" not in types:
        raise UsageError("--watch shows the HTML; name html among --types, or leave it out")
    folder = site_folder(options.profile)
    if not options.profile.exists():
        raise UsageError(f"{options.profile}: no such file or folder; give a site folder or its profile file")
    into = options.into or folder.resolve().parent / "papers"
    shown = Shown(said())
    studio = Studio(lambda: checked_site(options), _told, into, types, documents_of(options.documents, options.all), shown)
    ending = _Ending()
    before = {each: signal.signal(each, ending) for each in (signal.SIGINT, signal.SIGTERM)}
    try:
        with serving(shown, options.port or 0) as address:
            print(f"{address}\nopen this address in a browser of this machine; Ctrl-C ends", flush=True)
            for _ in changes(folder, into, lambda: studio.folders, lambda: as_of(options)):
                with ending.put_off():
                    _tell(studio.again(), options)
                studio.rest()
    except KeyboardInterrupt:
        print("ended; the papers stay as they are", flush=True)
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
    return CLEAN


class _Ending:
    """Takes the signal that ends a preview: at once while it waits, and once the papers are in place while it writes them; a second one at once."""

    def __init__(self) -> None:
        self._writing = self._asked = False

    def __call__(self, number: int, frame: object) -> None:
        if not self._writing or self._asked:
            raise KeyboardInterrupt
        self._asked = True

    @contextmanager
    def put_off(self) -> Iterator[None]:
        """What is done in the block is done to its end."""
        self._writing = True
        try:
            yield
        finally:
            self._writing = False
        if self._asked:
            raise KeyboardInterrupt


def said() -> Said:
    """What a browser is told besides the papers."""
    from docgen.preview import Said

    return Said(
        LANGUAGE,
        title="Preview",
        problems="The papers cannot be written as the files stand now.",
        never="Put these problems right first; the papers then come by themselves.",
        kept="What stands below is as it was before. Put these problems right first; the page then comes by itself.",
        over="The preview has ended: this page does not change any more.",
        missing="The papers are being written.",
    )


def _told(error: DocgenError) -> str:
    return refused(error) if isinstance(error, Refusal) else str(error)


def _tell(done: Round, options: argparse.Namespace) -> None:
    """One line a writing: how long it took and what changed; or the problems."""
    from docgen.checked import Assessed
    from docgen.report import REPORTERS

    if done.error is not None:
        print(f"docgen: {_told(done.error)}", file=sys.stderr, flush=True)
    elif done.written is None or not isinstance(done.checked, Assessed):
        if done.checked is not None:
            sys.stderr.write(REPORTERS["text"](done.checked, LANGUAGE))
        print("docgen: nothing was written; the papers stay as they were", file=sys.stderr, flush=True)
    else:
        names = [path.name for path in done.written.changed if path.name != "build.json"]
        more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        must = sum(1 for f in done.checked.assessed.findings if f.severity == "must-fix")
        if not options.quiet:
            changed = f"{', '.join(names[:NAMED])}{more}" if names else "no paper changed"
            print(f"{done.seconds:.2f} s: {changed}; {must} must-fix finding{'s' if must != 1 else ''}", flush=True)
        for note in (*noted(done.written), *_shared(done.checked, options)):
            print(f"note: {note}", flush=True)


def documents_of(text: str, everything: bool) -> tuple[str, ...]:
    """The papers asked for; with `everything` all that this version writes, those kept apart too."""
    from docgen.papers import papers

    known = {o.name: o for o in papers()}
    written = tuple(o.name for o in papers() if o.written)
    if everything:
        if text:
            raise UsageError("give --documents or --all, not both")
        return written
    wanted = tuple(t.strip() for t in text.split(",") if t.strip())
    for name in wanted:
        if name not in known:
            hint = near(name, written) or f"--documents takes a list out of {', '.join(written)}"
            raise UsageError(f"there is no document '{name}'; {hint}")
        if name not in written:
            raise UsageError(
                f"this version does not write the {known[name].called_in(LANGUAGE)} yet; it writes {', '.join(written)}"
            )
    return wanted
