"""The office suite as the tests use it: with the shipped fonts and no others, so that no page depends on a machine's fonts."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import pytest

from docgen.resources import data_folder

ALIASES = ("Arial", "Arimo", "Helvetica", "sans-serif", "serif", "monospace")


@cache
def _fonts() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="fonts-")


@cache
def environment() -> dict[str, str]:
    """The environment with a fontconfig that knows the shipped folder alone, where every usual name is Liberation Sans."""
    folder = Path(_fonts().name)
    aliases = "\n".join(
        f'  <alias binding="same"><family>{name}</family><prefer><family>Liberation Sans</family></prefer></alias>'
        for name in ALIASES
    )
    lines = [
        '<?xml version="1.0"?>',
        '<!DOCTYPE fontconfig SYSTEM "fonts.dtd">',
        "<fontconfig>",
        f"  <dir>{data_folder('templates') / 'look' / 'fonts'}</dir>",
        f"  <cachedir>{folder / 'cache'}</cachedir>",
        aliases,
        "</fontconfig>",
    ]
    file = folder / "fonts.conf"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return {**os.environ, "FONTCONFIG_FILE": str(file)}


def run_office(folder: Path, *arguments: str) -> None:
    """Run LibreOffice with a profile of its own in that folder, or skip the test where it is missing."""
    program = shutil.which("soffice")
    if not program:
        pytest.skip("LibreOffice is not installed")
    profile = f"-env:UserInstallation=file://{folder}/profile"
    subprocess.run([program, profile, "--headless", *arguments], check=True, capture_output=True, timeout=180, env=environment())


def office(data: bytes, target: str, folder: Path) -> bytes:
    """A DOCX converted by LibreOffice."""
    source = folder / "file.docx"
    source.write_bytes(data)
    run_office(folder, "--convert-to", target, "--outdir", str(folder), str(source))
    return (folder / f"file.{target.split(':')[0]}").read_bytes()
