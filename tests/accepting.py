"""Texts that are kept to be compared: what differs is printed, and taken only by somebody who says how many lines moved."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable

__all__ = ["difference", "settle"]


def difference(name: str, old: list[str], new: list[str], context: int) -> list[str]:
    """A unified diff, without line ends; empty where both are the same."""
    return list(difflib.unified_diff(old, new, f"{name} (kept)", f"{name} (now)", lineterm="", n=context))


def settle(
    arguments: list[str], what: str, rows: Iterable[tuple[str, list[str], list[str], Callable[[], None]]], context: int = 1
) -> int:
    """Print what differs; with `--write --lines N` take it, if N is the number of lines that differ. Exit code.

    A row is a name, the lines kept, the lines of now, and how to keep those.
    """
    texts, lines, take = 0, 0, []
    for name, old, new, keep in rows:
        told = difference(name, old, new, context)
        if not told:
            continue
        print("\n".join(told))
        texts += 1
        lines += sum(1 for row in told[2:] if row[:1] in "+-")
        take.append(keep)
    print(f"{texts} {what} differ" + (f" in {lines} lines" if texts else ""))
    if "--write" not in arguments or not texts:
        return 0 if not texts else 1
    named = arguments[arguments.index("--lines") + 1 :][:1] if "--lines" in arguments else []
    if named != [str(lines)]:
        print(f"nothing was written: read what is printed above, then give --write --lines and the number of lines that you read"
              f"{f', not {named[0]}' if named else ''}")  # fmt: skip
        return 1
    for keep in take:
        keep()
    print(f"{texts} {what} were written")
    return 0
