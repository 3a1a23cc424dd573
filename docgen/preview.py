"""The papers of a site while somebody works on its profile: written again when a file changes, and shown to a browser of this machine.

One thread checks, composes and writes (`Studio`), one waits for changes of files (`changes`), and a server on the loopback address answers
the browser (`serving`) out of what is `Shown`: the papers of this run and nothing else. The files on disk are those that a render without
a preview writes; what tells the page to load again, and the problems of a profile, are put in as a page is served.
"""

from __future__ import annotations

import gc
import os
import re
import secrets
import socketserver
import stat
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from hmac import compare_digest
from html import escape
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar
from urllib.parse import parse_qs, quote, unquote

from docgen.checked import Checked, Refused
from docgen.errors import DocgenError, UsageError
from docgen.papers import outline
from docgen.pipeline import compared_site, no_weight_in

if TYPE_CHECKING:
    from docgen.checked import Assessed
    from docgen.compose.document import Document
    from docgen.write.folder import Written

__all__ = ["ADDRESS", "EVENTS", "FIRST", "Round", "Said", "Shown", "Studio", "changes", "serving"]

#: The loopback address alone, by number: no name is looked up, and no other machine gets there.
ADDRESS = "127.0.0.1"
FIRST = "index.html"
#: Below the token, where a page asks whether it was written anew; no file is called so.
EVENTS = "-/changes"
TYPES = {
    "html": "text/html; charset=utf-8",
    "md": "text/markdown; charset=utf-8",
    "pdf": "application/pdf",
    "docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
}
#: A page may hold styles and pictures of its own and nothing from elsewhere; of scripts only the one put in with this answer.
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; connect-src 'self'; script-src 'nonce-{nonce}'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
BEAT = 15.0  # seconds after which a page that waits is told that the server is still there
SETTLED = 40  # ms without a further change, after which those that came are taken together
TICK = 1000  # ms after which the files are looked at in any case
BODY = re.compile(rb"<body[^>]*>")
#: Names that editors give to what they write beside a file.
ASIDE = re.compile(r"[.#].*|.*(?:~|\.sw[a-z]|\.tmp|\.bak)|4913")


@dataclass(frozen=True, slots=True)
class Said:
    """What the browser is told in words: that there are problems, what the papers behind them are, and that nobody writes any more.

    `language` is that of these words; `title` stands above a page of problems behind which there are no papers; `never` and `kept` say
    what is shown with the problems: nothing yet, or the papers as they were before.
    """

    language: str
    title: str
    problems: str
    never: str
    kept: str
    over: str
    missing: str


@dataclass(slots=True)
class Shown:
    """What the server may show. `version` counts what happened; `moved` holds for each file the version at which it last changed."""

    said: Said
    folder: Path | None = None
    names: frozenset[str] = frozenset()
    early: dict[str, bytes] = field(default_factory=dict)
    trouble: tuple[tuple[str, str], ...] = ()
    version: int = 1
    moved: dict[str, int] = field(default_factory=dict)
    all_moved: int = 0
    over: bool = False
    turn: threading.Condition = field(default_factory=threading.Condition)

    def early_page(self, name: str, data: bytes) -> None:
        """A page that is finished before the papers are in place: shown from memory until then."""
        with self.turn:
            self.early[name] = data
            self._moved((name,))

    def placed(self, written: Written) -> None:
        """The papers are in place."""
        with self.turn:
            shown = [path for path in written.files if path.parent == written.folder and path.suffix[1:] in TYPES]
            told = set(self.early)  # as they are now, they were shown before
            changed = {path.name for path in written.changed}
            self.folder, self.names = written.folder.resolve(), frozenset(path.name for path in shown)
            self._moved((self.names if self.trouble else changed & self.names) - told)
            self.trouble = ()
            self.early.clear()

    def troubled(self, lines: tuple[tuple[str, str], ...]) -> None:
        """There are problems, each with its place (which may be empty): told on every page, and the papers stay as they were."""
        with self.turn:
            if lines != self.trouble or self.early:
                self.trouble = lines
                self.early.clear()
                self._moved_all()

    def ended(self) -> None:
        """Nobody writes any more; whoever waits goes."""
        with self.turn:
            self.over = True
            self.turn.notify_all()

    def _moved_all(self) -> None:
        self.version += 1
        self.all_moved = self.version
        self.turn.notify_all()

    def _moved(self, names: Iterable[str]) -> None:
        self.version += 1
        self.moved.update(dict.fromkeys(names, self.version))
        self.turn.notify_all()

    def waited(self, name: str, since: int, seconds: float) -> bool:
        """Whether a page changed after a version, waited for so long at most."""
        with self.turn:
            self.turn.wait_for(lambda: self.over or self._newest(name) > since, seconds)
            return self._newest(name) > since

    def _newest(self, name: str) -> int:
        return max(self.moved.get(name, 0), self.all_moved)

    def page(self, name: str) -> tuple[bytes | None, int, tuple[tuple[str, str], ...]]:
        """A file by its name, None where there is none that may be shown; the version, and the problems that there are now."""
        with self.turn:
            folder = self.folder if name in self.names else None
            data, version = self.early.get(name), self.version
            trouble = self.trouble if data is None else ()
        return data if data is not None or folder is None else _plain_file(folder / name), version, trouble


def _plain_file(path: Path) -> bytes | None:
    """What a file holds; None where it is gone, or is a link, a folder or anything else that is no file."""
    if path.is_symlink():
        return None
    try:
        handle = os.open(
            path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        )
    except OSError:
        return None
    with os.fdopen(handle, "rb") as stream:
        return stream.read() if stat.S_ISREG(os.fstat(handle).st_mode) else None


@dataclass(frozen=True, slots=True)
class Round:
    """How one writing went: the seconds until the site page could be shown and until all was in place; or why nothing was written.

    `checked` is None where an error kept the site from being read or written: `error` is its text.
    """

    seconds: float
    page_seconds: float
    checked: Checked | None
    written: Written | None = None
    error: DocgenError | None = None


class Studio:
    """Writes the papers of one site again and again; law, schema, words and templates stay loaded, and what did not change stays as it is.

    `check` reads and judges the site as it stands; `tell` makes the text of an error; `into`, `types` and `wanted` are as of a render.
    """

    def __init__(
        self, check: Callable[[], Checked], tell: Callable[[DocgenError], str], into: Path, types: tuple[str, ...], wanted: tuple[str, ...],
        shown: Shown,
    ) -> None:  # fmt: skip
        from docgen.write.folder import Made

        self.check, self.tell, self.into, self.types, self.wanted, self.shown = check, tell, into, types, wanted, shown
        self.made = Made()
        self.folders: set[Path] = set()

    def again(self) -> Round:
        """Read, check and write once. Problems and errors go to the pages that are shown and into the result."""
        begun, page = time.perf_counter(), 0.0
        checked: Checked | None = None
        try:
            checked = self.check()
            if isinstance(checked, Refused):
                self.shown.troubled(
                    tuple((f"{p.file}:{p.line}:{p.column}", _problem(p.path, p.message, p.hint)) for p in checked.problems)
                )
                return Round(time.perf_counter() - begun, page, checked)
            checked, written, page = self._written(checked, begun)
        except DocgenError as error:
            self.shown.troubled((("", self.tell(error)),))
            return Round(time.perf_counter() - begun, page, None, error=error)
        self.folders |= {path.parent.resolve() for path in written.files}
        self.shown.placed(written)
        return Round(time.perf_counter() - begun, page, checked, written)

    def _written(self, checked: Assessed, begun: float) -> tuple[Assessed, Written, float]:
        from docgen.compose import compose_each
        from docgen.write.folder import possible, write_all

        checked, bodies = compared_site(checked, self.wanted)
        papers = compose_each(
            checked.site, checked.code, checked.assessed, checked.happened, possible(self.types),
            wanted=self.wanted, records=checked.records, bodies=bodies, look=checked.look,
        )  # fmt: skip
        first = next(papers)
        self._no_weight((first[0],), checked)
        self.shown.early_page(FIRST, self.made.rendered(first[0], "html").data)
        page = time.perf_counter() - begun
        rest = tuple(papers)
        self._no_weight((document for document, _ in rest), checked)
        every = sorted((*rest, first), key=lambda made: outline(made[0].name).circle == "page")
        return checked, write_all(tuple(every), checked, self.into, self.types, made=self.made), page

    def _no_weight(self, documents: Iterable[Document], checked: Assessed) -> None:
        no_weight_in({document.name: document.markdown for document in documents}, checked)

    def rest(self) -> None:
        """What a writing left behind is given back while nobody waits; what stays loaded is not looked through again."""
        first = gc.get_freeze_count() == 0
        gc.collect()
        if first:
            gc.freeze()


def _problem(path: str, message: str, hint: str) -> str:
    told = f"{path}: {message}" if path else message
    return f"{told}\n{hint}" if hint else told


Print = dict[str, tuple[int, int, int]]


def _print_of(folder: Path, apart: Iterable[Path]) -> Print:
    """Each file of a site with its time, size and number; without what editors write beside it and without the papers."""
    found: Print = {}
    left_out = {str(path) for path in apart}
    for at, folders, files in os.walk(folder.resolve()):
        folders[:] = [name for name in folders if not ASIDE.fullmatch(name) and os.path.join(at, name) not in left_out]
        for name in files:
            if ASIDE.fullmatch(name):
                continue
            try:
                seen = os.stat(os.path.join(at, name))
            except OSError:
                continue
            found[os.path.join(at, name)] = (seen.st_mtime_ns, seen.st_size, seen.st_ino)
    return found


def changes(folder: Path, into: Path, written: Callable[[], Iterable[Path]], day: Callable[[], date]) -> Iterator[None]:
    """Once at the beginning, and each time when a file of the site is another, or the day is.

    Waits for what the system tells of the folder, which comes at once, and looks at the files each second in any case: not every drive
    tells. A file that an editor writes under another name and moves into place is seen, since folders are watched. `into` and the
    folders `written` to are left out where they lie in the folder of the site. Ends when somebody interrupts.
    """
    from watchfiles import watch

    own = {into.resolve()} if folder.resolve() in into.resolve().parents else set()
    before: tuple[Print, date] | None = None
    told = watch(
        folder, watch_filter=None, debounce=400, step=SETTLED, rust_timeout=TICK, yield_on_timeout=True, raise_interrupt=True
    )
    while True:
        now = (_print_of(folder, {*own, *written()}), day())
        if now != before:
            before = now
            yield
            continue
        if next(told, None) is None:
            return


@contextmanager
def serving(shown: Shown, port: int = 0) -> Iterator[str]:
    """Serve what is shown, on a port of the loopback address (0: any that is free), while the block runs; gives the address to open.

    The address holds a token that nobody guesses. UsageError where the port is not to be had.
    """
    try:
        server = _Server((ADDRESS, port), _Handler)
    except OSError as error:
        raise UsageError(f"port {port} of {ADDRESS} is not to be had ({error.strerror}); name another, or none") from None
    server.shown, server.token = shown, secrets.token_urlsafe(18)
    place = f":{server.server_address[1]}"
    server.hosts = frozenset(f"{name}{place}" for name in (ADDRESS, "localhost"))
    thread = threading.Thread(target=server.serve_forever, args=(0.1,), daemon=True)
    thread.start()
    try:
        yield f"http://{ADDRESS}{place}/{server.token}/"
    finally:
        shown.ended()
        server.shutdown()
        server.server_close()
        thread.join()


class _Server(socketserver.ThreadingTCPServer):
    """One thread a request; none of them keeps the program from ending."""

    daemon_threads = True
    block_on_close = False
    allow_reuse_address = os.name != "nt"  # there it would let a second program listen at the same port
    shown: Shown
    token: str
    hosts: frozenset[str]

    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that went away is no fault."""


class _Handler(BaseHTTPRequestHandler):
    """Answers GET and HEAD for the papers shown, below the token, to whoever asks by this address."""

    server: _Server
    timeout = 20
    server_version = "docgen"
    sys_version = ""
    ALLOWED: ClassVar = ("GET", "HEAD")

    def parse_request(self) -> bool:
        """As the base class asks: a method other than GET and HEAD gets no further, nor does a name that is not this server's."""
        if not super().parse_request():
            return False
        hosts = self.headers.get_all("Host") or []
        if len(hosts) != 1 or hosts[0].strip().lower() not in self.server.hosts:
            self.refuse(HTTPStatus.FORBIDDEN)
        elif self.command not in self.ALLOWED:
            self.refuse(HTTPStatus.METHOD_NOT_ALLOWED)
        else:
            return True
        return False

    def do_GET(self) -> None:
        """A paper, or whether one changed."""
        path, _, query = self.path.partition("?")
        given, slash, name = path.removeprefix("/").partition("/")
        if not (path.startswith("/") and slash) or not compare_digest(
            given.encode("utf-8", "replace"), self.server.token.encode("ascii")
        ):
            self.refuse(HTTPStatus.NOT_FOUND)
        elif name == EVENTS:
            self.events(query)
        else:
            self.paper(unquote(name) or FIRST)

    do_HEAD = do_GET

    def paper(self, name: str) -> None:
        """One file, a page with what is put in; where there is none yet, what keeps it from being written."""
        said = self.server.shown.said
        data, version, trouble = self.server.shown.page(name)
        if data is None and not (name == FIRST and (trouble or self.server.shown.folder is None)):
            self.refuse(HTTPStatus.NOT_FOUND)
            return
        if not name.endswith(".html"):
            self.answer(HTTPStatus.OK, TYPES[name.rpartition(".")[2]], data or b"")
            return
        nonce = secrets.token_urlsafe(16)
        events = f"{EVENTS}?of={quote(name)}&since={version}"
        script = f'<script nonce="{nonce}" data-events="{escape(events)}" data-over="{escape(said.over)}">{_script()}</script>'
        panel = _panel(said, trouble, data is not None)
        self.answer(HTTPStatus.OK, TYPES["html"], put_in(data or _bare(said), panel, script), POLICY.format(nonce=nonce))

    def events(self, query: str) -> None:
        """Server-sent events: one, once the page asked about is another than at the version that it has."""
        asked = parse_qs(query)
        name, since = asked.get("of", [""])[0], asked.get("since", [""])[0]
        if not (since.isascii() and since.isdigit() and len(since) < 12):
            self.refuse(HTTPStatus.NOT_FOUND)
            return
        self.head(HTTPStatus.OK, "text/event-stream; charset=utf-8", None)
        if self.command == "HEAD":
            return
        shown = self.server.shown
        try:
            self.wfile.write(b":\n\n")
            while not shown.over:
                if shown.waited(name, int(since), BEAT):
                    self.wfile.write(b"data: again\n\n")
                    return
                self.wfile.write(b":\n\n")
        except OSError:  # the browser went away
            return

    def refuse(self, status: HTTPStatus) -> None:
        """An answer that says no more than its number."""
        self.answer(status, "text/plain; charset=utf-8", f"{status.value} {status.phrase}\n".encode("ascii"))

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """As the base class asks: without its page."""
        self.refuse(HTTPStatus(code))

    def answer(self, status: HTTPStatus, kind: str, data: bytes, policy: str = "") -> None:
        """A whole answer; of HEAD its head alone."""
        self.head(status, kind, len(data), policy)
        if self.command != "HEAD":
            self.wfile.write(data)

    def head(self, status: HTTPStatus, kind: str, length: int | None, policy: str = "") -> None:
        """The head of an answer: kept by nobody, read as nothing else, and shown in no other page."""
        self.close_connection = True
        self.send_response(status)
        told = {
            "Content-Type": kind, "Cache-Control": "no-store", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
            "Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin",
            "Content-Security-Policy": policy or "default-src 'none'; frame-ancestors 'none'", "Connection": "close",
        }  # fmt: skip
        if kind == TYPES["pdf"]:  # the reader of a browser is a page with scripts and styles of its own
            told["Content-Security-Policy"] = "frame-ancestors 'none'"
        if status == HTTPStatus.METHOD_NOT_ALLOWED:
            told["Allow"] = ", ".join(self.ALLOWED)
        if length is not None:
            told["Content-Length"] = str(length)
        for key, value in told.items():
            self.send_header(key, value)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Nothing: the terminal tells what was written."""


def put_in(page: bytes, panel: str, script: str) -> bytes:
    """A page with a panel at its top and a script at its end; the file that it was read from stays as it is."""
    found = BODY.search(page)
    at = found.end() if found else 0
    end = page.rfind(b"</body>")
    end = end if end >= at else len(page)
    return page[:at] + panel.encode("utf-8") + page[at:end] + script.encode("utf-8") + page[end:]


def _panel(said: Said, trouble: tuple[tuple[str, str], ...], papers: bool) -> str:
    """The problems, above whatever the page shows; empty where there are none and there is a page."""
    if not trouble:
        return "" if papers else f'<p role="status">{escape(said.missing)}</p>'
    lines = "".join(
        f'<li style="margin: .4rem 0; white-space: pre-line">{f"<code>{escape(place)}</code> " if place else ""}{escape(text)}</li>'
        for place, text in trouble
    )
    style = "position: sticky; top: 0; z-index: 9; max-height: 60vh; overflow: auto; margin: 0; padding: .8rem 1rem; background: #fff4f4; color: #000; border-bottom: 4px solid #a6192e; font: 1rem/1.4 Arial, sans-serif; overflow-wrap: anywhere"
    return (
        f'<div id="preview-problems" role="alert" lang="{said.language}" style="{style}"><p style="margin: 0"><strong>{escape(said.problems)}</strong> '
        f'{escape(said.kept if papers else said.never)}</p><ol style="margin: .4rem 0 0">{lines}</ol></div>'
    )


def _bare(said: Said) -> bytes:
    """A page where there is no paper yet."""
    return (
        f'<!DOCTYPE html>\n<html lang="{said.language}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(said.title)}</title></head>\n<body>\n</body></html>\n"
    ).encode()


def _script() -> str:
    from docgen.write.base import look_text

    return look_text("preview.js").strip()
