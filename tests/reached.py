"""Which calculations the demos reach: a formula that no site's paper uses is arithmetic kept for its own sake.

    .venv/bin/python tests/reached.py           how many of all, and the names that no demo reaches
    .venv/bin/python tests/reached.py --sites   how many each demo reaches

Every demo is checked and all its documents are composed; a formula counts where its code ran, called by another formula too.
A star marks one that the product calls and that no demo happens to need.
"""

import ast
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FrameType

sys.path.insert(0, str(Path(__file__).resolve().parent))

import yaml
from support import SITES, demo_anew

import docgen
from docgen.calc.catalogue import MODULES, catalogue
from docgen.pipeline import compared_site

__all__ = ["called", "reached", "used_by"]


@contextmanager
def _watched(codes: dict[CodeType, str], seen: set[str]) -> Iterator[None]:
    """Notes the name of each code that is entered."""

    def note(frame: FrameType, event: str, argument: object) -> None:
        if event == "call" and frame.f_code in codes:
            seen.add(codes[frame.f_code])

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        yield
    finally:
        sys.setprofile(before)


def used_by(work: Callable[[], object]) -> set[str]:
    """Names, as `module.function`, of the calculations that run while some work is done."""
    seen: set[str] = set()
    with _watched({function.__code__: name for name, function in catalogue().items()}, seen):
        work()
    return seen


def reached() -> dict[str, set[str]]:
    """Demo -> names of the calculations that its check and its documents reach."""
    names = sorted(p.name for p in SITES.iterdir() if (p / "profile.yaml").is_file())
    return {name: used_by(lambda name=name: compared_site(demo_anew(name))) for name in names}


def called() -> set[str]:
    """Names of the calculations that stand in the product's own code outside docgen/calc."""
    home = Path(docgen.__file__).parent
    trees = (ast.parse(p.read_text(encoding="utf-8")) for p in home.rglob("*.py") if home / "calc" not in p.parents)
    return {
        f"{node.value.id}.{node.attr}"
        for tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in MODULES
    } & set(catalogue())


def _worked() -> list[set[str]]:
    """For each published worked example the calculations that it tests."""
    files = sorted((Path(__file__).parent / "worked").glob("*.yaml"))
    examples = [e for path in files for e in yaml.safe_load(path.read_text(encoding="utf-8"))]
    return [{step["call"] for step in e["steps"] if "call" in step} for e in examples]


def main(arguments: list[str]) -> int:
    found = reached()
    if "--sites" in arguments:
        print("\n".join(f"{len(names):>3} {site}" for site, names in found.items()))
    every = set(catalogue())
    used, product, worked = set().union(*found.values()), called(), _worked()
    print(f"{len(used)} of {len(every)} calculations are reached by {len(found)} demos, {len(used | product)} by the product")
    print(
        f"{sum(bool(tested & (used | product)) for tested in worked)} of {len(worked)} published worked examples test one of these"
    )
    print("not reached by a demo (* by the product all the same):")
    print("\n".join(f"  {'*' if name in product else ' '} {name}" for name in sorted(every - used)))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
