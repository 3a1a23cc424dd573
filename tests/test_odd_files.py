"""Odd files where the program looks for its own: one clear message or a fresh start, never an internal fault, never a hang.

Where a pipe is in the way the command runs in a process of its own, which is ended when it waits for a writer: then the test fails.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from support import AS_OF, SITES, run

import docgen
from docgen.compose import library
from docgen.pipeline import check_site

DAY = ("--as-of", "2026-11-01")
FIFO = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")


@pytest.fixture
def small(tmp_path):
    """A copy of a small demo."""
    return Path(shutil.copytree(SITES / "wattle-bend", tmp_path / "wattle-bend"))


def alone(*arguments, **environment):
    """A command in a process of its own, with other variables of the environment; ended, and the test with it, when it hangs."""
    return subprocess.run(
        [sys.executable, "-m", "docgen.cli", *arguments], capture_output=True, text=True, encoding="utf-8", check=False,
        env=os.environ | environment, timeout=120,
    )  # fmt: skip


def render(site, into):
    return run("render", str(site), "--into", str(into), "--types", "md", *DAY)


DEEP = b"[" * 200_000
BUILDS = {
    "list": b"[]",
    "null": b"null",
    "number": b"7",
    "text": b'"files"',
    "no files": b"{}",
    "files null": b'{"files": null}',
    "files list": b'{"files": [1]}',
    "digests odd": b'{"files": {"contractor-notice.md": 7, "../../x": null}}',
    "binary": b"\xff\xfe\x00\x01",
    "empty": b"",
    "deep": DEEP,
}


@pytest.mark.parametrize("found", BUILDS.values(), ids=BUILDS)
def test_an_odd_build_record_counts_as_none(small, tmp_path, found):
    """Whatever stands in build.json, the papers are written and what lay there is kept."""
    assert render(small, tmp_path / "out")[0] == 1
    folder = tmp_path / "out" / "wattle-bend"
    record = json.loads((folder / "build.json").read_text(encoding="utf-8"))
    (folder / "build.json").write_bytes(found)
    (folder / "contractor-notice.md").write_text("by hand\n", encoding="utf-8")
    code, out, err = render(small, tmp_path / "out")
    assert (code, err) == (1, "")
    assert "Traceback" not in out
    assert (folder / "contractor-notice.edited.md").read_text(encoding="utf-8") == "by hand\n"
    assert json.loads((folder / "build.json").read_text(encoding="utf-8"))["files"].keys() == record["files"].keys()


def test_a_folder_or_a_pipe_in_the_place_of_a_paper(small, tmp_path):
    """A folder named like a paper or like build.json: one message with its reason. A pipe is replaced."""
    folder = tmp_path / "out" / "wattle-bend"
    for name in ("build.json", "contractor-notice.md"):
        (folder / name).unlink(missing_ok=True)
        (folder / name).mkdir(parents=True)
        code, _, err = render(small, tmp_path / "out")
        assert code == 2
        assert err.count("\n") == 1
        assert "internal fault" not in err
        assert "wattle-bend" in err
        (folder / name).rmdir()
    if hasattr(os, "mkfifo"):
        for name in ("build.json", "contractor-notice.md"):
            (folder / name).unlink(missing_ok=True)
            os.mkfifo(folder / name)
        done = alone("render", str(small), "--into", str(tmp_path / "out"), "--types", "md", *DAY)
        assert (done.returncode, done.stderr) == (1, "")
        assert (folder / "build.json").is_file()


def pipe(path):
    os.mkfifo(path)


def broken(path):
    path.symlink_to("nowhere")


PRIVATE = b"people:\n  U-1: {weight: 81 kg, with_tools: 87 kg, on: 2026-09-02}\n"
ODD = {
    "folder": ("private.yaml", Path.mkdir),
    "pipe": ("private.yaml", pipe),
    "broken link": ("private.yaml", broken),
    "wrong encoding": ("private.yaml", lambda path: path.write_bytes(b"people: {U-1: {note: \xe9}}\n")),
    "binary": ("private.yaml", lambda path: path.write_bytes(bytes(range(256)))),
    "list": ("private.yaml", lambda path: path.write_bytes(b"- 81 kg\n")),
    "private.yml": ("private.yml", lambda path: path.write_bytes(PRIVATE)),
    "Private.yaml": ("Private.yaml", lambda path: path.write_bytes(PRIVATE)),
    "private.yaml.txt": ("private.yaml.txt", lambda path: path.write_bytes(PRIVATE)),
    "log folder": ("log.yaml", Path.mkdir),
    "log pipe": ("log.yaml", pipe),
    "log broken link": ("log.yaml", broken),
    "log.yml": ("log.yml", lambda path: path.write_bytes(b"log: 1\nentries: []\n")),
}  # fmt: skip


@pytest.mark.parametrize(("name", "make"), ODD.values(), ids=ODD)
def test_an_odd_private_file_or_log_is_no_silence(small, name, make):
    """What is in the place of private.yaml or log.yaml, or has a name like it, is a problem of that file and nothing is written."""
    if make is pipe and not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    if "log" in name:
        (small / "log.yaml").unlink(missing_ok=True)
    make(small / name)
    assert alone("check", str(small), *DAY).returncode == 1
    problems = check_site(small, AS_OF).problems
    assert len(problems) == 1
    problem = problems[0]
    assert Path(problem.file).name in (name, name.split(".")[0].lower() + ".yaml")
    assert (problem.line, problem.column) >= (1, 1)
    assert problem.hint
    assert "81" not in f"{problem.message} {problem.hint}"
    code, out, err = run("check", str(small), *DAY)
    assert (code, err) == (1, "")
    assert problem.message in out


def test_a_backup_beside_the_private_file_is_let_be(small):
    """Where private.yaml is there, files with names like it are nobody's business."""
    for name in ("private.yaml", "private.yml"):
        (small / name).write_bytes(b"people: {}\n")
    assert not getattr(check_site(small, AS_OF), "problems", ())


@FIFO
def test_evidence_that_is_a_pipe_or_a_folder(approved, tmp_path):
    """A pipe with the name of a scan is refused at once; so is a folder."""
    site = shutil.copytree(approved, tmp_path / "site")
    os.mkfifo(tmp_path / "page.pdf")
    (tmp_path / "scan.pdf").mkdir()
    words = ("--document", "contractor-notice", "--role", "counsel", "--by", "A. Petrie", "--on", "2026-11-01")
    for name in ("page.pdf", "scan.pdf"):
        done = alone("approve", str(site), *words, "--evidence", str(tmp_path / name))
        assert done.returncode == 2
        assert done.stderr.startswith("docgen: ")
        assert done.stderr.count("\n") == 1
        assert "no file" in done.stderr


def fresh(small, tmp_path, **environment):
    """A render in a fresh process, whose compiled templates lie where the environment says."""
    return alone("render", str(small), "--into", str(tmp_path / "out"), "--types", "md", *DAY, **environment)


def test_damaged_compiled_templates_are_made_again(small, tmp_path):
    """Files of the cache that are cut, overwritten, or folders: the papers come out the same."""
    assert fresh(small, tmp_path, XDG_CACHE_HOME=str(tmp_path / "cache")).returncode == 1
    before = (tmp_path / "out" / "wattle-bend" / "contractor-notice.md").read_bytes()
    kept = sorted(path for path in (tmp_path / "cache").rglob("*") if path.is_file())
    assert len(kept) > 20
    for number, path in enumerate(kept):
        data = path.read_bytes()
        path.unlink()
        if number % 4 == 0:
            path.mkdir()
        else:
            path.write_bytes((data[: len(data) // 2], data[:20] + b"garbage" * 50, b"\x80\x04.")[number % 4 - 1])
    result = fresh(small, tmp_path, XDG_CACHE_HOME=str(tmp_path / "cache"))
    assert (result.returncode, result.stderr) == (1, "")
    assert (tmp_path / "out" / "wattle-bend" / "contractor-notice.md").read_bytes() == before


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no owners of files")
def test_a_cache_that_others_can_write_is_not_used(small, tmp_path):
    """What lies in the cache is run: a folder that everybody can write, one that is a file, one that cannot be made are left alone."""
    open_to_all = tmp_path / "cache" / "docgen" / docgen.__version__
    open_to_all.mkdir(parents=True)
    open_to_all.chmod(0o777)
    assert fresh(small, tmp_path, XDG_CACHE_HOME=str(tmp_path / "cache")).returncode == 1
    assert list(open_to_all.iterdir()) == []
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for place in (tmp_path / "file", Path("/proc/nowhere")):
        result = fresh(small, tmp_path, XDG_CACHE_HOME=str(place))
        assert (result.returncode, result.stderr) == (1, "")


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no owners of files")
def test_a_cache_of_another_owner_is_not_used(tmp_path, monkeypatch):
    """What lies in the cache is run: a folder that another person made is left alone, closed as it may be."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert library.on_disk.__wrapped__() is not None
    monkeypatch.setattr(library.os, "getuid", lambda: os.stat(tmp_path).st_uid + 1)
    assert library.on_disk.__wrapped__() is None


def test_output_that_the_terminal_cannot_show(small, tmp_path):
    """A terminal without the signs, and a folder with bytes that are no text in its name: the command ends as ever."""
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/o\xffut"))
    for arguments in (("check", str(small)), ("render", str(small), "--types", "md", "--into", str(odd))):
        result = alone(*arguments, *DAY, PYTHONIOENCODING="ascii")
        assert (result.returncode, result.stderr) == (1, "")


def test_papers_of_a_site_with_another_name_are_told(tmp_path):
    """Two sites of one id written to one folder: the second says whose papers lay there; the same site again says nothing."""
    into = tmp_path / "out"
    sites = [tmp_path / "one", tmp_path / "two"]
    for site in sites:
        shutil.copytree(SITES / "harrow-ridge", site)
    profile = sites[1] / "profile.yaml"
    profile.write_text(
        profile.read_text(encoding="utf-8").replace("name: Harrow Ridge Terminal", "name: Lower Terminal", 1), encoding="utf-8"
    )

    def said(site):
        words = (
            "render",
            str(site),
            "--into",
            str(into),
            "--types",
            "md",
            "--documents",
            "gate-card",
            "--as-of",
            AS_OF.isoformat(),
        )
        return " ".join("".join(run(*words)[1:]).split())

    assert "over them" not in said(sites[0])
    assert "over them" not in said(sites[0])
    assert "harrow-ridge held the papers of Harrow Ridge Terminal, and those of Lower Terminal were written over them" in said(
        sites[1]
    )
