"""The papers as they are shown while somebody writes: who is answered and who is not, what is written again, and a browser that sees it."""

import http.client
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from browser import opened
from support import AS_OF, ROOT, SITES, run

from docgen.commands.render import said
from docgen.pipeline import check_site, render_site
from docgen.preview import ADDRESS, EVENTS, Shown, Studio, changes, serving
from docgen.write.folder import Written

PAGE = b'<!DOCTYPE html>\n<html lang="en"><head><title>x</title></head>\n<body class="screen">\n<p>Paper</p>\n</body>\n</html>\n'
PAPERS = {
    "index.html": PAGE,
    "plan.html": PAGE,
    "plan.md": b"# Paper\n",
    "plan.pdf": b"%PDF-1.7\n",
    "sign.large.pdf": b"%PDF-1.7\n",
    "plan.docx": b"PK",
}
#: What lies in the folder too: the build record, what somebody else put there, links, what is no file.
OTHER = ("build.json", "private.yaml", "plan.edited.html", ".hidden.html")


def shown_of(folder: Path) -> Shown:
    shown = Shown(said())
    shown.placed(Written(folder, tuple(folder / name for name in (*PAPERS, "build.json", "linked.html", "pipe.html")), ()))
    return shown


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """Host and port, the token, and the folder served, with a secret beside it."""
    home = tmp_path_factory.mktemp("served")
    folder = home / "papers"
    (folder / "sub").mkdir(parents=True)
    for name in OTHER:
        (folder / name).write_bytes(b"secret")
    for name, data in PAPERS.items():
        (folder / name).write_bytes(data)
    (home / "secret.html").write_bytes(b"secret")
    (folder / "sub/plan.html").write_bytes(b"secret")
    (folder / "linked.html").symlink_to(home / "secret.html")
    os.mkfifo(folder / "pipe.html")
    with serving(shown_of(folder)) as address:
        place, token = re.fullmatch(r"http://([\d.]+:\d+)/([\w-]{24})/", address).groups()
        yield place, token, folder


def asked(place: str, text: str) -> tuple[int, bytes, bytes]:
    """What comes back to the bytes of a request: status (0 where there is none), head, content."""
    host, _, port = place.partition(":")
    with socket.create_connection((host, int(port)), timeout=20) as line:
        line.sendall(text.encode("latin-1"))
        line.shutdown(socket.SHUT_WR)
        got = b"".join(iter(lambda: line.recv(65536), b""))
    head, _, content = got.partition(b"\r\n\r\n")
    found = re.match(rb"HTTP/1\.0 (\d{3}) ", head)
    return int(found[1]) if found else 0, head, content


HOST = "Host: {place}\r\n"
#: Request line and head -> status; {place} and {token} are put in.
REQUESTS = [
    ("GET /{token}/ HTTP/1.1", HOST, 200),
    ("GET /{token}/plan.html HTTP/1.1", HOST, 200),
    ("GET /{token}/plan.html?x=../secret.html HTTP/1.1", HOST, 200),
    ("GET /{token}/plan.html HTTP/1.1", "Host: LOCALHOST:{port}\r\n", 200),
    ("HEAD /{token}/plan.html HTTP/1.1", HOST, 200),
    ("GET /{token}/plan.html HTTP/1.1", "", 403),
    ("GET /{token}/plan.html HTTP/1.1", "Host: rebound.example:{port}\r\n", 403),
    ("GET /{token}/plan.html HTTP/1.1", "Host: 127.0.0.1\r\n", 403),
    ("GET /{token}/plan.html HTTP/1.1", "Host: 127.0.0.1:1\r\n", 403),
    ("GET /{token}/plan.html HTTP/1.1", HOST + "Host: rebound.example\r\n", 403),
    ("GET /{token}/plan.html", "", 403),
    ("GET / HTTP/1.1", HOST, 404),
    ("GET /plan.html HTTP/1.1", HOST, 404),
    ("GET /{token} HTTP/1.1", HOST, 404),
    ("GET /{token}x/plan.html HTTP/1.1", HOST, 404),
    ("GET /{short}/plan.html HTTP/1.1", HOST, 404),
    ("GET /\xe9\xff/plan.html HTTP/1.1", HOST, 404),
    ("GET //{token}/plan.html HTTP/1.1", HOST, 200),  # as the base class reads it: one slash
    ("GET http://{place}/{token}/plan.html HTTP/1.1", HOST, 404),
    ("GET /{token}/../secret.html HTTP/1.1", HOST, 404),
    ("GET /{token}/%2e%2e/secret.html HTTP/1.1", HOST, 404),
    ("GET /{token}/%2e%2e%2fsecret.html HTTP/1.1", HOST, 404),
    ("GET /{token}/..%5csecret.html HTTP/1.1", HOST, 404),
    ("GET /{token}//etc/passwd HTTP/1.1", HOST, 404),
    ("GET /{token}/plan.html%00.md HTTP/1.1", HOST, 404),
    ("GET /{token}/plan.html/ HTTP/1.1", HOST, 404),
    ("GET /{token}/PLAN.HTML HTTP/1.1", HOST, 404),
    ("GET /{token}/. HTTP/1.1", HOST, 404),
    ("GET /{token}/sub/ HTTP/1.1", HOST, 404),
    ("GET /{token}/sub/plan.html HTTP/1.1", HOST, 404),
    ("GET /{token}/linked.html HTTP/1.1", HOST, 404),
    ("GET /{token}/pipe.html HTTP/1.1", HOST, 404),
    *((f"GET /{{token}}/{name} HTTP/1.1", HOST, 404) for name in OTHER),
    ("GET /{token}/-/changes HTTP/1.1", HOST, 404),
    ("GET /{token}/-/changes?of=plan.html&since=x HTTP/1.1", HOST, 404),
    ("GET /{short}/-/changes?of=plan.html&since=1 HTTP/1.1", HOST, 404),
    *((f"{method} /{{token}}/plan.html HTTP/1.1", HOST, 405) for method in ("POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT", "HACK")),
    ("GET /{token}/ HTTP/9.9.9", HOST, 400),
    ("GET /" + "x" * 70000 + " HTTP/1.1", HOST, 414),
]  # fmt: skip


@pytest.mark.parametrize(("line", "head", "status"), REQUESTS, ids=lambda value: str(value)[:60])
def test_who_is_answered(served, line, head, status):
    """A paper of this run, under the token, to whoever names this server, by GET and HEAD; nothing else, and never a word of another file."""
    place, token, _ = served
    values = {"place": place, "port": place.partition(":")[2], "token": token, "short": token[:-1]}
    got, told, content = asked(place, f"{line}\r\n{head}\r\n".format(**values))
    assert b"secret" not in content
    assert b"plan.md" not in content
    if got == 0:  # a request of the oldest form, or one that has none, gets no head
        assert int(told.split()[0]) == status > 399
        return
    assert got == status
    assert b"\r\nCache-Control: no-store" in told
    assert b"\r\nX-Content-Type-Options: nosniff" in told
    assert b"Content-Security-Policy: " in told
    assert (b"Allow: GET, HEAD" in told) == (status == 405)
    assert not (line.startswith("HEAD") and content)


def test_each_type_is_named(served):
    """What a browser does not know for a page it does not take for one; what is no page goes out as it is."""
    place, token, _ = served
    line = http.client.HTTPConnection(place, timeout=20)
    kinds = {}
    for name, data in PAPERS.items():
        line.request("GET", f"/{token}/{name}")
        answer = line.getresponse()
        kinds[name] = answer.headers["Content-Type"]
        content = answer.read()
        assert name.endswith("html") or content == data
    assert kinds["plan.html"] == "text/html; charset=utf-8"
    assert kinds["plan.md"].startswith("text/markdown")
    assert {kinds["plan.pdf"], kinds["sign.large.pdf"]} == {"application/pdf"}
    assert kinds["plan.docx"].startswith("application/vnd.openxmlformats")


def test_the_script_is_in_the_answer_alone(served):
    """It runs by a number that the answer names once; the file on the disk has none."""
    place, token, folder = served
    seen = set()
    for _ in range(2):
        _, head, content = asked(place, f"GET /{token}/plan.html HTTP/1.1\r\nHost: {place}\r\n\r\n")
        nonce = re.search(rb"script-src 'nonce-([\w-]+)'", head)[1]
        assert re.findall(rb"<script[^>]*>", content)[0].startswith(b'<script nonce="' + nonce + b'"')
        assert content.count(b"<script") == 1
        seen.add(nonce)
    assert len(seen) == 2
    assert (folder / "plan.html").read_bytes() == PAGE


def test_only_this_machine_is_answered(served):
    """At 127.0.0.1 alone: another address of the same machine has nobody at that port."""
    place, _, _ = served
    assert place.startswith(f"{ADDRESS}:")
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.2", int(place.partition(":")[2])), timeout=5)


def test_a_page_is_told_once_it_is_another(tmp_path):
    """A page that moved is told at once, also where it moved before anybody asked; another waits, and goes when the preview ends."""
    (tmp_path / "plan.html").write_bytes(PAGE)
    (tmp_path / "sign.html").write_bytes(PAGE)
    files = (tmp_path / "plan.html", tmp_path / "sign.html")
    shown = Shown(said())
    shown.placed(Written(tmp_path, files, (), changed=files))
    with serving(shown) as address:
        place, token = re.fullmatch(r"http://([\d.:]+)/(.*)/", address).groups()
        since = shown.page("plan.html")[1]
        shown.placed(Written(tmp_path, files, (), changed=(tmp_path / "plan.html",)))
        ask = f"GET /{token}/{EVENTS}?of=%s&since={since} HTTP/1.1\r\nHost: {place}\r\n\r\n"
        status, head, told = asked(place, ask % "plan.html")
        assert (status, told) == (200, b":\n\ndata: again\n\n")
        assert b"text/event-stream" in head
        assert not shown.waited("sign.html", since, 0)
        shown.troubled((("profile.yaml:1:1", "<b>wrong</b>"),))
        assert asked(place, ask % "sign.html")[2].endswith(b"data: again\n\n")
        page = asked(place, f"GET /{token}/sign.html HTTP/1.1\r\nHost: {place}\r\n\r\n")[2]
        assert b"profile.yaml:1:1" in page
        assert b"&lt;b&gt;wrong" in page
        since = shown.page("sign.html")[1]
        host, _, port = place.partition(":")
        waiting = socket.create_connection((host, int(port)), timeout=20)
        waiting.sendall((ask % "sign.html").replace(f"since={since - 2}", f"since={since}").encode())
        assert waiting.recv(65536).startswith(b"HTTP/1.0 200")
    with waiting:
        rest = b"".join(iter(lambda: waiting.recv(65536), b""))
    assert b"data" not in rest


def test_a_port_that_is_taken_is_told():
    """Another program is there; so is what to do."""
    with socket.socket() as other:
        other.bind((ADDRESS, 0))
        other.listen()
        port = str(other.getsockname()[1])
        code, out, err = run("render", str(SITES / "sable-point"), "--watch", "--port", port)
    assert (code, out) == (2, "")
    assert f"port {port} of 127.0.0.1 is not to be had" in err
    assert "name another, or none" in err


@pytest.mark.parametrize(("options", "told"), [
    (("--port", "8000"), "--port is the port of --watch"),
    (("--watch", "--port", "70000"), "--port takes a number from 0 to 65535; got 70000"),
    (("--watch", "--format", "json"), "leave --format out"),
    (("--watch", "--types", "md"), "name html among --types"),
    (("--watch", "--documents", "rescue-cart"), "did you mean 'rescue-card'?"),
], ids=" ".join)  # fmt: skip
def test_wrong_use_is_told(options, told):
    """Before anything is read or served."""
    code, out, err = run("render", str(SITES / "sable-point"), *options)
    assert (code, out) == (2, "")
    assert told in err


def test_without_its_package_the_extra_is_named(monkeypatch):
    """What to install stands in the message."""
    monkeypatch.setitem(sys.modules, "watchfiles", None)
    code, _, err = run("render", str(SITES / "sable-point"), "--watch")
    assert (code, "pip install '.[pdf,watch]'" in err) == (2, True)


def test_a_site_that_is_not_there_is_told(tmp_path):
    """A misspelt folder is no site to wait for."""
    code, _, err = run("render", str(tmp_path / "gone"), "--watch")
    assert (code, "gone: no such file or folder" in err) == (2, True)


@contextmanager
def studio(tmp_path: Path) -> Iterator[tuple[Studio, Path]]:
    """A writer of a copy of the smallest demo, and the copy's profile."""
    site = Path(shutil.copytree(SITES / "sable-point", tmp_path / "site"))
    yield Studio(lambda: check_site(site, AS_OF), str, tmp_path / "out", ("md", "html"), (), Shown(said())), site / "profile.yaml"


def states(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {path.name: (path.read_bytes(), path.stat().st_ino) for path in sorted(folder.iterdir())}


def test_only_what_changed_is_written_again(tmp_path):
    """A new figure moves the papers that print it and leaves the files of all others; what stands there is what a render writes from nothing.

    A broken profile moves nothing and says where it is broken; mended, it goes on.
    """
    with studio(tmp_path) as (writer, profile):
        text = profile.read_text(encoding="utf-8")
        folder = writer.again().written.folder
        before = states(folder)
        profile.write_text(text.replace("10 ft 6 in", "11 ft 6 in", 1), encoding="utf-8")
        done = writer.again()
        after = states(folder)
        moved = {name for name in after if after[name][0] != before[name][0]}
        assert moved == {name for name in after if after[name][1] != before[name][1]}
        assert {path.name for path in done.written.changed} == moved
        assert {"index.html", "engineering-record.html", "build.json"} <= moved
        assert {"rescue-procedure.html", "gate-card.html", "fall-protection-plan.md"} <= after.keys() - moved
        assert done.page_seconds < done.seconds

        profile.write_text(text.replace("deck: {value", "deck: {valve"), encoding="utf-8")
        refused = writer.again()
        assert (refused.written, refused.error) == (None, None)
        assert states(folder) == after
        data, _, trouble = writer.shown.page("gate-card.html")
        assert data == after["gate-card.html"][0]
        line = text[: text.index("deck:")].count("\n") + 1
        assert any(place.endswith(f"profile.yaml:{line}:12") for place, _ in trouble), trouble

        profile.unlink()
        assert writer.again().error is not None
        assert "profile.yaml" in writer.shown.page("index.html")[2][0][1]

        profile.write_text(text.replace("10 ft 6 in", "11 ft 6 in", 1), encoding="utf-8")
        assert writer.again().written.changed == ()
        assert writer.shown.page("index.html")[2] == ()
        fresh = render_site(check_site(profile.parent, AS_OF), tmp_path / "fresh", ("md", "html")).folder
        assert {n: d for n, (d, _) in states(fresh).items()} == {n: d for n, (d, _) in after.items()}


def test_nothing_yet_says_why(tmp_path):
    """A site whose profile has problems from the beginning: its first page tells them."""
    with studio(tmp_path) as (writer, profile):
        profile.write_text("profile: 2\nsite: [\n", encoding="utf-8")
        writer.again()
        with serving(writer.shown) as address:
            place = address.split("/")[2]
            status, _, page = asked(place, f"GET {address.partition(place)[2]} HTTP/1.1\r\nHost: {place}\r\n\r\n")
        assert status == 200
        assert b"profile.yaml:3:1" in page
        assert said().never.encode() in page
        assert not (tmp_path / "out").exists()


def test_what_counts_as_a_change(tmp_path):
    """A file that is written, one moved into place by an editor, a log that comes, and another day; not what editors write beside it, nor the papers."""
    pytest.importorskip("watchfiles", reason="what waits for changes of files (watchfiles) is not installed")
    site = tmp_path / "site"
    (site / "look").mkdir(parents=True)
    profile = site / "profile.yaml"
    profile.write_text("a", encoding="utf-8")
    days: list[int] = []
    begun = [0]

    def day() -> int:
        days.append(len(days))
        return begun[0]

    def another_day() -> int:
        """The second time that it is asked: once whatever was told was looked at and was nothing."""
        begun[0] += len(days) > 0
        return day()

    ask = {"day": day}
    seen = changes(site, site / "papers", lambda: (site / "elsewhere",), lambda: ask["day"]())
    next(seen)
    for name, text in (("profile.yaml", "bb"), ("log.yaml", "c"), ("look/logo.png", "d"), ("private.yaml", "e")):
        (site / name).write_text(text, encoding="utf-8")
        next(seen)
    aside = site / ".profile.yaml.swp"
    aside.write_text("cc", encoding="utf-8")
    os.replace(aside, profile)
    next(seen)
    profile.unlink()
    next(seen)
    for name in (
        "papers/x/index.html",
        "elsewhere/index.html",
        ".profile.yaml.swp",
        "profile.yaml~",
        "4913",
        "#profile.yaml#",
        ".git/index",
    ):
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_text("x", encoding="utf-8")
    days.clear()
    ask["day"] = another_day
    next(seen)
    assert len(days) == 2
    seen.close()


def test_a_browser_sees_it(tmp_path):
    """The command as it is used: a number changes in the file and then on the page; a broken profile is told there; mended, it goes again; Ctrl-C ends it.

    What the browser tells of the page besides is nothing: no script, style or picture that the policy stops.
    """
    pytest.importorskip("watchfiles", reason="what waits for changes of files (watchfiles) is not installed")
    site = Path(shutil.copytree(SITES / "sable-point", tmp_path / "site"))
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    with opened(offline=False) as page:
        faults: list[str] = []
        page.on("console", lambda message: faults.append(message.text))
        page.on("pageerror", lambda error: faults.append(str(error)))
        command = [
            sys.executable,
            "-m",
            "docgen",
            "render",
            str(site),
            "--watch",
            "--into",
            str(tmp_path / "out"),
            "--as-of",
            "2026-11-01",
        ]
        preview = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8")
        try:
            page.goto(preview.stdout.readline().strip())
            page.get_by_text("needs 8.8 ft").first.wait_for(state="attached")
            page.locator("summary").first.click()
            was = page.locator("summary").first.evaluate("s => s.parentElement.open")
            profile.write_text(text.replace("{value: 42 in, how: label}", "{value: 39 in, how: label}"), encoding="utf-8")
            page.get_by_text("needs 8.6 ft").first.wait_for(state="attached")
            assert page.locator("summary").first.evaluate("s => s.parentElement.open") == was
            page.evaluate("scrollTo(0, document.body.scrollHeight)")
            profile.write_text(text.replace("arrest_distance", "arrest_distanc"), encoding="utf-8")
            panel = page.locator("#preview-problems")
            panel.wait_for()
            assert panel.bounding_box()["y"] >= 0  # in sight, however far down the page is
            line = text[: text.index("arrest_distance")].count("\n") + 1
            assert f"profile.yaml:{line}:" in panel.inner_text()
            assert "arrest_distance" in panel.inner_text()
            assert page.get_by_text("needs 8.6 ft").count() > 0
            new = site / "profile.yaml.new"
            new.write_text(text, encoding="utf-8")
            os.replace(new, profile)
            page.get_by_text("needs 8.8 ft").first.wait_for(state="attached")
            panel.wait_for(state="detached")
            assert faults == []
            preview.send_signal(signal.SIGINT)
            assert preview.wait(30) == 0
            assert preview.stdout.read().splitlines()[-1] == "ended; the papers stay as they are"
            page.locator("#preview-over").wait_for()
            assert page.locator("#preview-over").bounding_box()["y"] >= 0
        finally:
            if preview.poll() is None:
                preview.kill()
            preview.wait()
            preview.stdout.close()
    written = (tmp_path / "out/sable-point/index.html").read_text(encoding="utf-8")
    assert "needs 8.8 ft" in written
    assert "<script" not in written
