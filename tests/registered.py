"""Lines of a register: those of demos, as often as one likes, each under a name of its own."""

from itertools import cycle, islice

from support import demo

from docgen.portfolio.row import Row, of_fault, of_site

__all__ = ["SHOWN", "lines"]

#: Demos that give a line: open, closed, with faults, with hardly anything known.
SHOWN = ("harrow-ridge", "pellan-creek", "thornmere", "cormorant-quay", "sable-point")


def lines(count: int) -> list[Row]:
    """So many lines, of thirty-seven clients; the last is that of a site which could not be read."""
    known = [of_site(demo(name), name, None, "en", None) for name in SHOWN]
    several = enumerate(islice(cycle(known), count - 1))
    found = [
        {**row, "name": f"client-{n % 37:02d}/site-{n:04d}", "client": f"client-{n % 37:02d}", "site": f"site-{n:04d}", "called": f"{row['called']} {n}"}
        for n, row in several
    ]  # fmt: skip
    return [*found, of_fault("client-00/broken", "client-00", "log.yaml:3:1: the file cannot be read")]
