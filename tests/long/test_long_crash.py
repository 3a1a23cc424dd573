"""A process killed at every call while the full demo is issued and rendered, every document in three types.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_crash.py
Last run: 2026-11-25, 3 passed in 166 s (on a machine with other work)
"""

import dataclasses

from control_site import FIRST, TYPES, prepare
from support import composed
from test_crash import calls_of, killed_while_issuing, killed_while_rendering, pytestmark

from docgen.control import issue as control
from docgen.control.approve import Request, approve
from docgen.pipeline import check_site, compared_site
from docgen.write.folder import write_all

__all__ = ["pytestmark"]  # what cannot fork skips


def test_killed_while_issuing_everything(approved, tmp_path):
    """At every call of the issue of all documents: no revision at all, or the whole of it."""
    revision, contents = prepare(approved, "L. Brandt", TYPES)
    assert killed_while_issuing(approved, revision, contents, tmp_path) >= 60


def test_killed_while_rendering_everything(approved, tmp_path):
    """At every call of a render of all documents over older ones: each file is the old or the new one."""
    checked, bodies = compared_site(check_site(approved, FIRST))
    made = composed(checked, TYPES, bodies=bodies).values()
    old, new = (
        tuple((dataclasses.replace(d, site_name=name, markdown=f"{d.markdown}\n{name}\n"), b) for d, b in made)
        for name in ("Before", "After")
    )
    assert killed_while_rendering(old, new, checked, tmp_path) >= 70


def test_enough_points(approved, tmp_path):
    """Issue, approval and render together are tried at no fewer than 200 points."""
    revision, contents = prepare(approved, "L. Brandt", TYPES)
    checked, bodies = compared_site(check_site(approved, FIRST))
    made = tuple(composed(checked, TYPES, bodies=bodies).values())
    page = tmp_path / "page.pdf"
    page.write_bytes(b"%PDF-1.7 signed")
    request = Request("contractor-notice", "issuing-authority", "R. Oduya", FIRST, evidence=page)
    points = (
        calls_of(lambda: control.issue(revision, contents, tmp_path / "a")),
        calls_of(lambda: approve(request, checked, bodies, tmp_path / "b", "en")),
        calls_of(lambda: write_all(made, checked, tmp_path / "c", TYPES)),
    )
    assert sum(points) >= 200, points
