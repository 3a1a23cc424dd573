"""Reads a file of a look: it lies in the folder of the site, is a regular file and no link, and has a most size."""

from __future__ import annotations

import os
import re
import stat
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["Unfit", "read_inside"]

_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._ -]*")


class Unfit(Exception):
    """A file that cannot be used: what is wrong with it, and what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


def read_inside(folder: Path, name: str, most: int) -> bytes:
    """The bytes of `folder/name`. Unfit for a name that leads outside, a link on the way, what is no file, or more than `most` bytes."""
    steps = name.split("/")
    if not all(_NAME.fullmatch(step) for step in steps):
        raise Unfit(
            f"'{name}' does not name a file inside the folder of the site",
            "write it from the folder of the profile, with plain names and forward slashes, such as look/logo.svg",
        )
    path = folder
    for step in steps:
        path = path / step
        if path.is_symlink():
            raise Unfit(f"'{name}' is or lies behind a link", "put the file itself into the folder of the site")
    how = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(path, how), "rb") as stream:
            if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
                raise Unfit(f"'{name}' is no file", "name a file, not a folder or a device")
            data = stream.read(most + 1)
    except FileNotFoundError:
        raise Unfit(f"there is no file '{name}' in the folder of the site", "put it there, or take the line out") from None
    except OSError as error:
        raise Unfit(f"'{name}' cannot be read ({error.strerror})", "make it readable, or take the line out") from None
    if not data:
        raise Unfit(f"'{name}' is empty", "save it again")
    if len(data) > most:
        raise Unfit(f"'{name}' has more than {most // 1024:,} KiB", "save a smaller one")
    return data
