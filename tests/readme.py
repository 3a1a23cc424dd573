"""The blocks of the README, run word for word: `python tests/readme.py` in a checkout with its virtual environment; `--write` puts what they print in.

A block `sh` is run by bash from the top of the checkout, with an empty home. A block `text` behind it is what it prints, its first lines where the
head of the block gives a number (`text 12`). The block that runs the tests is left to whoever calls this, and with `--installed` those that install. PowerShell
is not run.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
FENCE = re.compile(r"^```(\w+)(?: (\d+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)
MORE = "[...]"


@dataclass(frozen=True)
class Block:
    """A block of the README: its language, how many lines it shows, its text, and where it stands."""

    language: str
    lines: int | None
    text: str
    begin: int
    end: int


def blocks(text: str) -> list[Block]:
    """Every fenced block that names its language."""
    return [Block(m[1], int(m[2]) if m[2] else None, m[3], m.start(3), m.end(3)) for m in FENCE.finditer(text)]


def runs_the_tests(block: Block) -> bool:
    """Whether it runs the tests."""
    return "pytest" in block.text


def ran(block: Block, home: Path) -> str:
    """What a block prints, both streams; CalledProcessError where it does not end as a shell script should (1 is an answer of docgen)."""
    environment = {**os.environ, "HOME": str(home), "NO_COLOR": "1", "COLUMNS": "100"}
    done = subprocess.run(
        ["bash", "-uo", "pipefail", "-c", block.text], cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    if done.returncode not in (0, 1):
        raise subprocess.CalledProcessError(done.returncode, block.text, done.stdout)
    return done.stdout


def shown(printed: str, lines: int | None) -> str:
    """What the README shows of it: all, or the first lines; without the path of the checkout and blanks at the ends of lines."""
    told = [line.rstrip() for line in printed.replace(f"{ROOT}/", "").strip("\n").split("\n")]
    cut = told if lines is None or len(told) <= lines else [*told[:lines], MORE]
    return "\n".join(cut) + "\n"


def main() -> int:
    text, wrong = README.read_text(encoding="utf-8"), 0
    found = blocks(text)
    pieces: list[tuple[Block, str]] = []
    with tempfile.TemporaryDirectory() as home:
        for number, block in enumerate(found):
            if block.language != "sh" or runs_the_tests(block) or ("--installed" in sys.argv[1:] and "pip install" in block.text):
                continue
            print(f"== {block.text.splitlines()[0]}", flush=True)
            try:
                printed = ran(block, Path(home))
            except subprocess.CalledProcessError as error:
                print(error.output)
                print(f"README.md: this block ended with {error.returncode}")
                return 1
            after = found[number + 1] if number + 1 < len(found) else None
            if after is not None and after.language == "text":
                now = shown(printed, after.lines)
                pieces.append((after, now))
                if now != after.text:
                    wrong += 1
                    print(f"README.md shows something else than this prints:\n{now}")
    if "--write" in sys.argv[1:]:
        for block, now in reversed(pieces):
            text = text[: block.begin] + now + text[block.end :]
        README.write_text(text, encoding="utf-8", newline="\n")
        return 0
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
