"""Many sites the long way: a build killed fifty times at random moments, and two hundred pairs of clients composed at once.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_portfolio.py
Last run: 2026-11-27, 2 passed in 712 s (on a machine with other work; 47 of 50 kills hit at work); the pairs again on that day, with what their client says
"""

import os
import random
import re
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import date
from itertools import combinations
from pathlib import Path

import pytest

from docgen.portfolio.build import STATES, Job, build
from docgen.portfolio.run import processes, results
from docgen.portfolio.sites import spots
from docgen.read import read_profile

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "bench"))

from make_portfolio import make

PAPERS = "contractor-notice,rescue-card"
KILLS, PAIRS = 50, 200


def files(folder):
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and STATES not in p.parts
    }


def written(folder):
    """What lies there, each file with the moment at which it was written; some may go meanwhile."""
    found = set()
    for path in folder.rglob("*"):
        with suppress(OSError):
            found.add((path, path.stat().st_mtime_ns))
    return found


def test_fifty_kills_and_one_plain_run(tmp_path):
    """SIGKILL to the whole group of processes once a random number of files was written, fifty times, then one run to the end: the bytes of an undisturbed build."""
    make(tmp_path / "sites", 8, 5)

    def command(into):
        return [sys.executable, "-m", "docgen", "portfolio", "render", str(tmp_path / "sites"), "--as-of", "2026-11-01", "--workers", "2", "--types",
                "md,html,docx", "--documents", PAPERS, "--into", str(into), "--quiet"]  # fmt: skip

    whole = subprocess.run(command(tmp_path / "whole"), check=False, stdout=subprocess.DEVNULL)
    assert whole.returncode in (0, 1)
    chance, alive = random.Random(50), 0
    for _ in range(KILLS):
        for path in sorted((tmp_path / "cut").rglob("*")):  # most of what was done is taken away, so that there is work
            if path.is_file() and chance.random() < 0.7:
                path.unlink()
        process = subprocess.Popen(
            command(tmp_path / "cut"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
        )
        before, most = written(tmp_path / "cut"), chance.randrange(12)
        while process.poll() is None and len(written(tmp_path / "cut") - before) < most:
            pass
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            alive += 1
        process.wait()
    print(f"killed while at work: {alive} of {KILLS}")
    assert alive > KILLS // 2
    assert subprocess.run(command(tmp_path / "cut"), check=False, stdout=subprocess.DEVNULL).returncode == whole.returncode
    assert files(tmp_path / "cut") == files(tmp_path / "whole")


def own_words(folder):
    """What tells one site from others in its files: names of people and places, addresses, telephone numbers, serial numbers, ids, numbers of papers."""
    text = (folder / "profile.yaml").read_text(encoding="utf-8") + (
        (folder / "log.yaml").read_text(encoding="utf-8") if (folder / "log.yaml").is_file() else ""
    )
    found = set(re.findall(r"\b\d{3}-555-\d{4}\b", text))

    def walk(value, key=""):
        if isinstance(value, dict):
            for name, inner in value.items():
                walk(inner, name)
        elif isinstance(value, list):
            for inner in value:
                walk(inner, key)
        elif (
            isinstance(value, str)
            and key in ("name", "id", "serial", "address", "number", "by", "kept_at", "client", "label_photo")
            and len(value) > 3
        ):
            found.add(value)

    walk(read_profile(folder).data)
    return found, text


@pytest.fixture(scope="module")
def composed(tmp_path_factory):
    """Twenty-one sites of as many clients, composed at once in threads of one process and in processes: the words and the papers of each."""
    top = tmp_path_factory.mktemp("pairs")
    make(top / "sites", 21, 9)
    for path in (top / "sites").rglob("profile.yaml"):  # where the papers are kept is then what the client says
        text, lines = re.subn(r"(?m)^  kept_at: .*\n", "", path.read_text(encoding="utf-8"))
        assert lines == 1
        path.write_text(text, encoding="utf-8")
    made = {}
    for way, executor in (("threads", ThreadPoolExecutor(4)), ("processes", processes(2))):
        with executor:
            jobs = [
                Job(
                    s,
                    date(2026, 11, 1),
                    "en",
                    top / way,
                    ("md", "html"),
                    (*PAPERS.split(","), "fall-protection-plan", "rescue-procedure"),
                )
                for s in spots(top / "sites")
            ]
            done = list(results(executor, build, jobs, 4))
        assert [b.row["fault"] for _, b in done if b.row["fault"]] == []
    for spot in spots(top / "sites"):
        texts = {}
        for way in ("threads", "processes"):
            home = top / way / spot.name
            texts |= {
                f"{way}/{p.name}": p.read_text(encoding="utf-8") for p in sorted(home.glob("*")) if p.suffix in (".md", ".html")
            }
        words, text = own_words(spot.folder)
        made[spot.name] = (words, text, texts)
    shared = read_profile(top / "sites/portfolio.yaml")
    clients = {c["id"]: (c["name"], c["defaults"]["document"]["kept_at"]) for c in shared.data["clients"]}
    return made, shared.text, clients


def test_no_word_of_one_client_in_the_papers_of_another(composed):
    """Of two hundred pairs, both ways: nothing that only the files of one hold stands in any paper of the other; and threads write what processes do."""
    made, portfolio, clients = composed
    written = {name: m for name, m in made.items() if m[2]}
    pairs = list(combinations(sorted(written), 2))
    random.Random(3).shuffle(pairs)
    tried = words_tried = 0
    for one, other in pairs[:PAIRS]:
        for mine, theirs in ((one, other), (other, one)):
            only = [w for w in written[theirs][0] if w not in written[mine][1] and w not in portfolio]
            assert len(only) >= 15
            said = "\n".join(written[mine][2].values())
            only += clients[theirs.split("/")[0]]
            assert [w for w in only if re.search(rf"(?<!\w){re.escape(w)}(?!\w)", said)] == [], (mine, theirs)
            words_tried += len(only)
        tried += 1
    assert (tried, words_tried > 8_000) == (PAIRS, True)
    for name, (words, _, texts) in written.items():
        own = [w for w in words if any(w in text for text in texts.values())]
        assert len(own) >= 10, name  # the words looked for are words that papers print
        assert any(clients[name.split("/")[0]][1] in text for text in texts.values())
        for paper, text in texts.items():
            if paper.startswith("threads/"):
                assert text == texts[paper.replace("threads/", "processes/")]
