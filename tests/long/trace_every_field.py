"""Change every field of two demos once and count the clauses that moved without a changed input.

    PYTHONPATH=tests .venv/bin/python tests/long/trace_every_field.py [demo ...]

Takes some minutes. Ends with 1 if any clause moved unexplained.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from test_trace import DEMOS
from tracing import Experiment, named


def main(demos: list[str]) -> int:
    unexplained = 0
    for name in demos or DEMOS:
        experiment = Experiment(name)
        skipped = []
        for leaf in experiment.leaves:
            clauses = experiment.unexplained(leaf)
            if clauses is None:
                skipped.append(named(leaf))
            for clause in clauses or ():
                unexplained += 1
                print(f"{name}: {named(leaf)} moves {clause}", flush=True)
        tried = len(experiment.leaves) - len(skipped)
        print(f"{name}: {tried} of {len(experiment.leaves)} fields changed, {experiment.moved} clause texts moved", flush=True)
        print(f"  no other value is right at: {', '.join(skipped) or 'none'}")
    print(f"{unexplained} unexplained")
    return 1 if unexplained else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
