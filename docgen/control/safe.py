"""Files and folders that appear whole or not at all, and never on top of what is there.

Everything is written under a name that begins with a dot, forced to the disk, and then given its name in one step that
fails where the name is taken. A process that is killed at any point leaves the old state or the new one; what it leaves
behind begins with a dot and is not looked at. Who may read and write what is made here is for the user's umask to say.
"""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
import stat
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from docgen.errors import RecordError

__all__ = ["lock", "new_file", "new_folder", "put_file", "replace_file", "unlock"]

NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL
TAKEN = (errno.EEXIST, errno.ENOTEMPTY)


def new_file(target: Path, data: bytes) -> None:
    """Make a file that does not exist yet. FileExistsError if it does; RecordError where the folder cannot be written."""
    with _told_of(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        with _beside(target, data) as name:
            try:
                os.link(name, target)
            except FileExistsError:
                raise
            except OSError:  # a file system without links: renaming would overwrite, so look first
                if target.exists():
                    raise FileExistsError(str(target)) from None
                os.rename(name, target)


def new_folder(target: Path, contents: Mapping[str, bytes]) -> None:
    """Make a folder with files (names may hold `/`) that does not exist yet. FileExistsError if it does; RecordError as above."""
    with _told_of(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        draft = _hidden(target)
        os.mkdir(draft)
        try:
            folders = {draft}
            for name, data in contents.items():
                path = draft / name
                path.parent.mkdir(parents=True, exist_ok=True)
                folders.add(path.parent)
                _fill(os.open(path, NEW, 0o666), data)
            for folder in sorted(folders, reverse=True):
                _settle(folder)
            try:
                os.rename(draft, target)
            except OSError as error:
                if error.errno in TAKEN or target.exists():
                    raise FileExistsError(str(target)) from None
                raise
        except BaseException:
            shutil.rmtree(draft, ignore_errors=True)
            raise
        _settle(target.parent)


def replace_file(target: Path, old: bytes, data: bytes) -> None:
    """Put other contents into a file in one step; of a link into the file that it leads to. FileExistsError where it no longer holds `old`; RecordError as above."""
    target = Path(os.path.realpath(target))
    with _told_of(target), _beside(target, data) as name:
        os.chmod(name, target.stat().st_mode & 0o777)
        if target.read_bytes() != old:
            raise FileExistsError(str(target))
        os.replace(name, target)


def put_file(target: Path, data: bytes) -> None:
    """Make a file, or put other contents into it, in one step, whatever is there. RecordError where the folder cannot be written."""
    with _told_of(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        with _beside(target, data) as name:
            os.replace(name, target)


def _hidden(target: Path) -> Path:
    """A name beside the target that nobody has."""
    return target.parent / f".new-{secrets.token_hex(8)}"


@contextlib.contextmanager
def _beside(target: Path, data: bytes) -> Iterator[str]:
    """A hidden file with the data beside the target, on the disk, to be given its name inside; gone at the end."""
    name = str(_hidden(target))
    try:
        _fill(os.open(name, NEW, 0o666), data)
        yield name
    finally:
        with contextlib.suppress(OSError):
            os.unlink(name)
    _settle(target.parent)


@contextlib.contextmanager
def _told_of(target: Path) -> Iterator[None]:
    """A fault of the file system is told as one of the target, but for a name that is taken."""
    try:
        yield
    except FileExistsError:
        raise
    except OSError as error:
        raise _cannot(target, error) from error


def lock(folder: Path) -> None:
    """Take the right to write away from a file, or from every file below a folder and the folders that hold them."""
    _modes(folder, lambda mode: mode & ~0o222)


def unlock(folder: Path) -> None:
    """Give the right to write back to the owner."""
    _modes(folder, lambda mode: mode | stat.S_IWUSR)


def _modes(folder: Path, change: Callable[[int], int]) -> None:
    """Change the rights of a file, or of all below a folder and of itself; folders last, since what lies in one is reached through it."""
    with contextlib.suppress(OSError):
        below = sorted(folder.rglob("*"), reverse=True) if folder.is_dir() else []
        for path in (*below, folder):
            os.chmod(path, change(stat.S_IMODE(path.stat().st_mode)))


def _fill(handle: int, data: bytes) -> None:
    with os.fdopen(handle, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _settle(folder: Path) -> None:
    """Force the names in a folder to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _cannot(target: Path, error: OSError) -> RecordError:
    return RecordError("record-not-written", file=str(target), reason=error.strerror or str(error))
