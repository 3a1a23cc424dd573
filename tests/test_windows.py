"""What Windows asks of a program, by rules that hold on every system: names of files, line ends, letters of a terminal. Not run on Windows."""

import ast
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from support import AS_OF, ROOT, SITES, demo, run

import docgen
from docgen.compose.assembly import compose_body
from docgen.compose.frame import copies
from docgen.papers import papers as library
from docgen.pipeline import check_site

PACKAGE = Path(docgen.__file__).parent
DAY = ("--as-of", "2026-11-01")
#: Names of devices and signs that no file may have there, with or without an ending, and an end that is cut off in silence (learn.microsoft.com, "Naming Files, Paths, and Namespaces"; from memory).
DEVICE = re.compile(r"(?:CON|PRN|AUX|NUL|COM[0-9\u00b9\u00b2\u00b3]|LPT[0-9\u00b9\u00b2\u00b3])(?:\..*)?", re.IGNORECASE)
FORBIDDEN = re.compile(r'[<>:"/\\|?*\x00-\x1f]|[. ]$')
LONGEST = 120  # signs of a path below the folder of the project: 260 is all that there is by default


def refused(names) -> list[str]:
    """Names that Windows refuses, or takes for one another."""
    seen: dict[str, str] = {}
    found = [name for name in names if DEVICE.fullmatch(name) or FORBIDDEN.search(name)]
    for name in names:
        if seen.setdefault(name.casefold(), name) != name:
            found.append(name)
    return found


def test_a_name_that_is_refused_is_seen():
    """The look finds a device, a sign, an end and two names that are one."""
    names = ["nul.html", "a:b", "end.", "Plan.md", "plan.md", "COM1", "com", "bay-sign.B1.large.pdf"]
    assert refused(names) == ["nul.html", "a:b", "end.", "COM1", "plan.md"]


def test_no_file_of_ours_has_such_a_name():
    """Of the program, its data, the demos and the tests, frozen records among them; no path is long."""
    folders = [ROOT / name for name in ("docgen", "templates", "schemas", "site_profiles", "tests")]
    paths = [p for folder in folders if folder.is_dir() for p in folder.rglob("*") if "__pycache__" not in p.parts]
    assert len(paths) > 500
    by_folder: dict[Path, list[str]] = {}
    for path in paths:
        by_folder.setdefault(path.parent, []).append(path.name)
    assert [name for names in by_folder.values() for name in refused(sorted(names))] == []
    assert [path for path in paths if len(str(path.relative_to(ROOT))) > LONGEST] == []


@pytest.mark.parametrize("site", ["harrow-ridge", "cormorant-quay"])
def test_no_paper_has_such_a_name(site):
    """Bays and kinds of parts stand in the names of files."""
    checked = demo(site)
    names = [name for o in library() if o.written for name in copies(o, checked.site, checked.assessed)]
    assert len(names) > 10
    assert refused(sorted(f"{name}.html" for name in names)) == []


def test_line_ends_of_windows_change_nothing(tmp_path):
    """Profile and log with CR LF, and the mark that an editor of Windows puts first: the same check, and the same text with the same digest."""
    told, texts = [], []
    for name, end, mark in (("plain", b"\n", b""), ("other", b"\r\n", b"\xef\xbb\xbf")):
        site = Path(shutil.copytree(SITES / "wattle-bend", tmp_path / name / "site"))
        for file in ("profile.yaml", "log.yaml"):
            text = (site / file).read_bytes()
            assert b"\r" not in text
            (site / file).write_bytes(mark + text.replace(b"\n", end))
        code, out, err = run("check", str(site), *DAY, "--format", "json")
        assert (code < 2, err) == (True, "")
        told.append(out.replace(str(site), "SITE"))
        checked = check_site(site, AS_OF)
        texts.append(compose_body("contractor-notice", "en", checked.site, checked.code, checked.assessed))
    assert told[0] == told[1]
    assert texts[0] == texts[1]
    assert "\r" not in texts[1].markdown


def western(*arguments: str) -> subprocess.CompletedProcess[bytes]:
    """A command whose output goes where only the letters of Western Europe are known."""
    environment = {**os.environ, "PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}
    return subprocess.run(
        [sys.executable, "-m", "docgen", *arguments], cwd=ROOT, env=environment, capture_output=True, check=False
    )


def test_a_terminal_of_few_letters_never_fails(tmp_path):
    """A sign that it does not know is printed by its number, of results and of messages; the exit code is the same."""
    site = Path(shutil.copytree(SITES / "sable-point", tmp_path / "site"))
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8").replace("Wash bay", "Waschplatz \u0141\u03a9")
    profile.write_text(text, encoding="utf-8")
    done = western("check", str(site), *DAY)
    assert (done.returncode, done.stderr) == (1, b"")
    assert b"Waschplatz \\u0141\\u03a9" in done.stdout
    profile.write_text(text.replace("trolleys: 1", "trolley\u0142: 1"), encoding="utf-8")
    done = western("check", str(site), *DAY)
    assert (done.returncode, done.stderr) == (1, b"")
    assert b"trolley\\u0142" in done.stdout


@pytest.mark.parametrize("form", ["json", "ics"])
def test_data_is_utf_8_whatever_the_terminal(form, tmp_path):
    """What another program reads has one encoding and the line ends of its format."""
    site = Path(shutil.copytree(SITES / "sable-point", tmp_path / "site"))
    profile = site / "profile.yaml"
    profile.write_text(
        profile.read_text(encoding="utf-8").replace("Sable Point Trailer Wash", "P\u0142ock \u03a9"), encoding="utf-8"
    )
    done = western("due", str(site), *DAY, "--format", form)
    text = done.stdout.decode("utf-8")
    assert (done.returncode, done.stderr, "P\u0142ock \u03a9" in text) == (1, b"", True)
    assert ("\r" in text) == (form == "ics")
    assert "\r\r" not in text
    if form == "json":
        assert json.loads(text) == json.loads(run("due", str(site), *DAY, "--format", form)[1])


#: Of the standard library, what is not there on Windows: modules, and names of `os` and `signal` (docs.python.org: "Availability: Unix").
MODULES = {"fcntl", "grp", "posix", "pty", "pwd", "readline", "resource", "syslog", "termios", "tty"}
NAMES = {
    "O_DIRECTORY", "O_NOFOLLOW", "O_NONBLOCK", "SIGALRM", "SIGHUP", "SIGKILL", "SIGUSR1", "chown", "chroot", "fchmod", "fchown", "fork", "geteuid", "getgid",
    "getpgid", "getuid", "killpg", "lchown", "mkfifo", "mknod", "nice", "openpty", "pread", "sched_getaffinity", "setsid", "setuid", "statvfs", "sync", "uname",
}  # fmt: skip


def strangers(source: str) -> list[str]:
    """What a module takes for granted and Windows has not, or does otherwise: such a module or name without asking for it first, and a text file without encoding or, written, without its line end."""
    found, tree = [], ast.parse(source)
    tries = [
        t for t in ast.walk(tree) if isinstance(t, ast.Try) and any(ast.unparse(h.type or t) == "ImportError" for h in t.handlers)
    ]
    tried = {id(statement) for t in tries for statement in t.body}
    for statement in ast.walk(tree):
        if isinstance(statement, ast.Import | ast.ImportFrom) and id(statement) not in tried:
            names = [a.name for a in statement.names] if isinstance(statement, ast.Import) else [statement.module or ""]
            found += [name for name in names if name.partition(".")[0] in MODULES]
        elif isinstance(statement, ast.stmt) and not hasattr(statement, "body"):
            asked = re.findall(r"hasattr\(\w+, ['\"](\w+)", ast.unparse(statement))
            for node in ast.walk(statement):
                if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in ("os", "signal"):
                    found += [node.attr] if node.attr in NAMES - set(asked) else []
                elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                    given = {k.arg for k in node.keywords}
                    if node.func.attr == "write_text" and not {"encoding", "newline"} <= given:
                        found.append("write_text")
                    if node.func.attr == "read_text" and not node.args and "encoding" not in given:
                        found.append("read_text")
    return found


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda p: str(p.relative_to(PACKAGE)))
def test_nothing_is_taken_for_granted(path):
    """The program asks for what only other systems have, and says in what letters and with which line ends it writes."""
    assert strangers(path.read_text(encoding="utf-8")) == []


def test_what_is_taken_for_granted_is_seen():
    """The look finds an import, a name and a text file without its line end; what is asked for first is no fault."""
    source = "try:\n    import grp\nexcept ImportError:\n    pass\nimport fcntl\nx = os.getuid()\ny = hasattr(os, 'getuid') and os.getuid()\np.write_text(t, encoding='utf-8')\nz = p.read_text()\n"
    assert strangers(source) == ["fcntl", "getuid", "write_text", "read_text"]
