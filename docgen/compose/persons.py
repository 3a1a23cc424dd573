"""Persons as limbs and a head, in metres outward and upward: plain, and true in the heights of feet and D-ring."""

from __future__ import annotations

__all__ = ["Pose", "at_the_edge", "hanging"]

Place = tuple[float, float]
Pose = tuple[list[list[Place]], Place]
HEAD = 0.18  # m from the shoulders up to the middle of the head
STANDS, KNEELS = 1.2, 0.5  # m, least height of the D-ring above the surface in these postures


def at_the_edge(edge: float, deck: float, x: float, ring: float) -> Pose:
    """A person on the surface at its edge whose D-ring is `x` outward and `ring` above the surface [m]."""
    feet, sole, top = edge - 0.12, deck + 0.09, deck + ring
    lean = x - feet
    arm = [(x, top), (x + 0.16, top - 0.3), (x + 0.36, top - 0.42)]
    if ring >= STANDS:
        hip = (feet + lean * 0.3, deck + ring * 0.57)
        limbs = [
            [(feet, sole), (feet + lean * 0.2 + 0.08, deck + ring * 0.3), hip],
            [(feet - 0.28, sole), (feet - 0.1 + lean * 0.1, deck + ring * 0.3), hip],
        ]
    elif ring >= KNEELS:
        hip = (feet - 0.12, deck + ring * 0.48)
        limbs = [[(feet - 0.6, sole), (feet, sole), hip]]
    else:
        hip = (feet - 0.55, sole + 0.02)
        limbs = [[(feet - 1.4, sole), hip], [hip, (x, top)], [(x, top), (x + 0.2, top - 0.3)]]
        return limbs, (x + 0.3, top + 0.02)
    return [*limbs, [hip, (x, top)], arm], (x + 0.06, top + HEAD + 0.06)


def hanging(x: float, ring: float, feet: float, stretch: float) -> Pose:
    """A person who hangs by the D-ring at the height `ring`; the shoulders lie lower by most of the stretch [m]."""
    shoulder = ring - min(stretch, (ring - feet) * 0.3) * 0.8
    body = shoulder - feet
    hip = (x + 0.05, shoulder - body * 0.42)
    limbs = [
        [(x, ring), (x, shoulder)],
        [(x, shoulder), hip],
        [hip, (x + 0.16, shoulder - body * 0.7), (x + 0.02, feet)],
        [hip, (x + 0.02, shoulder - body * 0.72), (x - 0.14, feet + 0.06)],
        [(x, shoulder), (x + 0.22, shoulder - body * 0.22), (x + 0.2, shoulder - body * 0.42)],
        [(x, shoulder), (x - 0.18, shoulder - body * 0.22), (x - 0.16, shoulder - body * 0.4)],
    ]
    return limbs, (x + 0.08, shoulder + HEAD)
