"""The pictures of the README show the papers as they are now."""

import re

from pictures import FOLDER, LARGEST, PICTURES, RECORD, digests, recorded
from support import ROOT


def test_no_picture_is_stale():
    """Each was made from the text that stands now; python tests/pictures.py makes those that were not."""
    assert recorded() == digests(), "run python tests/pictures.py"


def test_every_picture_is_there_and_small():
    """As many files as pictures, each of its kind and small enough for a page; the README shows no other."""
    assert {path.name for path in FOLDER.iterdir()} == {*PICTURES, RECORD.name}
    begins = {".png": b"\x89PNG\r\n\x1a\n", ".svg": b"<svg "}
    for name in PICTURES:
        data = (FOLDER / name).read_bytes()
        assert data.startswith(begins[name[-4:]]), name
        assert len(data) <= LARGEST, name
    shown = re.findall(r"!\[([^\]]*)\]\(tests/pictures/([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert {name for _, name in shown} <= PICTURES.keys()
    assert all(len(words.split()) > 3 for words, _ in shown)
