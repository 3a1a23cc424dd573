"""Every field taken out of the demos once more, and every paper of four demos composed: docgen/field_uses.yaml is what comes out.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_field_uses.py
Last run: 2026-11-27, 1 passed; two minutes of processor time.
"""

from field_uses import FILE, text


def test_the_file_is_what_is_measured():
    """Word for word."""
    assert FILE.read_text(encoding="utf-8") == text()
