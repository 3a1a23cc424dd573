"""What comes in on the command line: no sign that nobody sees in any argument, a signed page by its content, a day that the law data know."""

import argparse
import os
import re
import shutil
from pathlib import Path

import pytest
from control_site import refused
from support import SITES, run

from docgen.cli import command_line
from docgen.errors import Refusal
from docgen.records import read_records

APPROVE = ("--document", "contractor-notice", "--role", "counsel", "--by", "A. Petrie", "--on", "2026-11-01")


def commands():
    """Every command by name."""
    parser = command_line()
    found = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return found.choices


def taking():
    """(command, argument) for each that takes a value."""
    for name, parser in commands().items():
        for action in parser._actions:
            if action.nargs != 0:
                yield name, action


@pytest.mark.parametrize(("name", "action"), list(taking()), ids=lambda x: x if isinstance(x, str) else x.dest)
@pytest.mark.parametrize("sign", ["\n", "\t", "\x1b", "\x00", "\u202e", "\u200b", "\x9b"], ids=lambda s: f"{ord(s):04X}")
def test_no_argument_takes_a_sign_that_nobody_sees(name, action, sign, capsys):
    """Each option and argument of each command, those that will come too: refused with the option named, and the sign is not printed."""
    text = f"A{sign}B"
    parser = command_line()
    places = [a for a in commands()[name]._actions if not a.option_strings]
    before = places if action.option_strings else places[: [a.dest for a in places].index(action.dest)]
    good = [next(iter(a.choices)) if a.choices else "x" for a in before]
    with pytest.raises(SystemExit) as left:
        parser.parse_args([name, *good, f"{action.option_strings[0]}={text}" if action.option_strings else text])
    assert left.value.code == 2
    said = capsys.readouterr().err
    assert sign not in said.replace("\n", "") or sign == "\n"
    assert re.search(r"nobody sees|there is no \w+ |is no span|invalid int value|is not a day", said), said
    assert f"argument {'/'.join(action.option_strings) or action.metavar or action.dest}" in said


def test_a_path_may_hold_bytes_that_are_no_text(tmp_path):
    """Such a path is told as it can be shown; it is no fault of the program."""
    code, _, err = run("check", str(tmp_path / "A\udcff"))
    assert code == 2
    assert "no such file" in err
    assert "internal fault" not in err


HEADS = {
    ".pdf": b"%PDF-1.7\n",
    ".png": b"\x89PNG\r\n\x1a\n",
    ".jpg": b"\xff\xd8\xff\xe0",
    ".jpeg": b"\xff\xd8\xff\xe1",
    ".tif": b"II*\0",
    ".tiff": b"MM\0*",
}


@pytest.fixture(scope="module")
def site(approved, tmp_path_factory):
    return Path(shutil.copytree(approved, tmp_path_factory.mktemp("pages") / "site"))


def given(site, page):
    return run("approve", str(site), *APPROVE, "--evidence", str(page))


def test_a_page_is_taken_by_its_content(site, tmp_path):
    """PDF, PNG, JPEG and TIFF by their first bytes; the same bytes under another ending, and other bytes under that ending, are refused."""
    page = tmp_path / "page.pdf"
    page.write_bytes(HEADS[".pdf"])
    code, out, err = given(site, page)
    assert code == 0, err
    assert "A-0009" in out
    before = sorted(p.name for p in (site / "approvals").rglob("*"))
    for name, data in (
        ("page.png", HEADS[".pdf"]),
        ("page.tiff", HEADS[".jpg"]),
        ("text.pdf", b"U-01 and others"),
        ("page.jpg", b"MZ\x90\0"),
    ):
        (tmp_path / name).write_bytes(data)
        code, _, err = given(site, tmp_path / name)
        assert code == 2
        assert f"{name}: does not begin as a {Path(name).suffix} file does" in err
    assert sorted(p.name for p in (site / "approvals").rglob("*")) == before


def test_every_kind_begins_as_its_ending_says(site, tmp_path):
    """Each ending that is taken has a beginning, as the formats themselves have it, and is kept whole."""
    from docgen.control.approve import BEGINS, ENDINGS, recorded

    approval = read_records(site, "harrow-ridge").approvals[0]
    assert set(ENDINGS) == set(HEADS)
    for ending, head in HEADS.items():
        assert ending in next(ends for begins, ends in BEGINS.items() if head.startswith(begins))
        page = tmp_path / f"page{ending}"
        page.write_bytes(head + b"more")
        made = recorded(approval, page, tmp_path).approval
        assert (tmp_path / "approvals" / made.evidence).read_bytes() == head + b"more"


def test_a_page_is_no_larger_than_a_scan(site, tmp_path):
    """Twenty MiB are kept, one byte more is refused; an empty file is none."""
    from docgen.control.approve import recorded

    approval = read_records(site, "harrow-ridge").approvals[0]
    page, most = tmp_path / "page.pdf", 20 * 1024 * 1024
    for size, told in ((most + 1, "is larger than 20 MiB"), (0, "")):
        page.write_bytes(b"%PDF-1.7"[:size])
        os.truncate(page, size)
        with refused(Refusal, match=told):
            recorded(approval, page, tmp_path)
    assert not (tmp_path / "approvals").exists()
    page.write_bytes(b"%PDF-1.7")
    os.truncate(page, most)
    assert (tmp_path / "approvals" / recorded(approval, page, tmp_path).approval.evidence).stat().st_size == most


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="this system has no links of that kind")
def test_a_link_is_no_page(site, tmp_path):
    """A link named like a scan copies nothing of what it leads to."""
    (tmp_path / "secret.pdf").write_bytes(HEADS[".pdf"] + b"secret")
    (tmp_path / "page.pdf").symlink_to(tmp_path / "secret.pdf")
    code, _, err = given(site, tmp_path / "page.pdf")
    assert code == 2
    assert "this is a link, a folder or a pipe, and no file" in err


DAYS = [
    ("check", ("--as-of", "1960-01-01"), "--as-of"),
    ("render", ("--into", "out", "--as-of", "1960-01-01"), "--as-of"),
    ("changes", ("--as-of", "1960-01-01"), "--as-of"),
    ("approve", (*APPROVE[:-1], "1960-01-01"), "--on"),
    ("issue", ("--on", "1960-01-01"), "--on"),
    ("withdraw", ("1", "--by", "R. Oduya", "--reason", "Wrong", "--on", "1960-01-01"), "--on"),
    ("replace", ("D-1", "--by", "D-3", "--on", "1960-01-01"), "--on"),
    ("register", ("--into", "out", "--on", "1960-01-01"), "--on"),
    ("show", ("--into", "out", "--on", "1960-01-01"), "--on"),
    ("hold", ("on", "--by", "A. Petrie", "--reason", "Claim", "--on", "1960-01-01"), "--on"),
]


@pytest.mark.parametrize(("command", "words", "option"), DAYS, ids=[c for c, *_ in DAYS])
def test_a_day_before_the_law_names_its_option(command, words, option):
    """Nothing is judged by a law that nobody has looked into: the day, the first one known, and the option that gave it."""
    code, out, err = run(command, str(SITES / "harrow-ridge"), *words)
    assert (code, out) == (2, "")
    assert re.fullmatch(
        rf"docgen: 1960-01-01 is before the data of the law of US begin \(\d{{4}}-\d\d-\d\d\), .*; {option} names it\n", err
    )
