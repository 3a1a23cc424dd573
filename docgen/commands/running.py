"""Many sites of one command gone through: where they lie, by which workers, and what is said meanwhile."""

from __future__ import annotations

import argparse
import contextlib
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, CancelledError
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from docgen.errors import UsageError

if TYPE_CHECKING:
    from docgen.portfolio.build import Built
    from docgen.portfolio.sites import Spot

__all__ = ["answers", "done", "found_sites", "lost", "progress"]

J = TypeVar("J")
R = TypeVar("R")
Answer = dict[str, Any]


class Asked(Protocol):
    """What is asked of one site."""

    @property
    def spot(self) -> Spot: ...


A = TypeVar("A", bound=Asked)


def found_sites(options: argparse.Namespace) -> tuple[Spot, ...]:
    """The sites below the folder of the command line. UsageError where there is none."""
    from docgen.portfolio.sites import spots

    folder = options.folder.resolve()
    if not folder.is_dir():
        raise UsageError(f"{options.folder}: no such folder; give one with sites below it")
    if not (found := spots(folder)):
        raise UsageError(f"{options.folder}: no folder below it holds a profile.yaml")
    return found


def done(options: argparse.Namespace, work: Callable[[J], R], jobs: list[J]) -> Iterator[tuple[J, R | BaseException]]:
    """Each job with what came of it: here, in processes of this machine, or at the workers of a cluster."""
    from docgen.portfolio.run import cluster, processes, results, usable_cores

    at_once = min(options.workers or usable_cores(), len(jobs))
    if options.scheduler is None and at_once <= 1:
        for job in jobs:
            try:
                came: R | BaseException = work(job)
            except Exception as error:
                if options.trace:
                    raise
                came = error
            yield job, came
        return
    with cluster(options.scheduler) if options.scheduler is not None else processes(at_once) as executor:
        yield from results(executor, work, jobs, at_once)


def answers(options: argparse.Namespace, work: Callable[[A], Answer], asks: list[A], empty: Answer) -> list[Answer]:
    """What each site answers, in the order of the asks; one whose job did not come to an end has that as its fault, and else what is `empty`."""
    came: dict[str, Answer] = {}
    with progress(options, len(asks)) as tell:
        for ask, result in done(options, work, asks):
            name = ask.spot.name
            came[name] = {"name": name, **empty, "fault": lost(result)} if isinstance(result, BaseException) else result
            tell(None)
    return [came[ask.spot.name] for ask in asks]


def lost(error: BaseException) -> str:
    """What is said of a site whose job did not come to an end."""
    if isinstance(error, BrokenExecutor | CancelledError):
        return f"the worker that had this site ended ({type(error).__name__}); run the command again"
    return f"internal fault ({type(error).__name__}: {error}); run again with --workers 1 --trace to see where, and report it"


@contextlib.contextmanager
def progress(options: argparse.Namespace, count: int) -> Iterator[Callable[[Built | None], None]]:
    """What is said while sites are gone through: a bar on a terminal, else a line a site that is built where --why asks for it; nothing with --quiet."""

    def said(built: Built | None) -> None:
        if built is None:
            return
        if options.why and built.moved:
            print(f"{built.name}: {', '.join(built.moved)}", file=sys.stderr)
        for note in built.notes:
            print(f"{built.name}: note: {note}", file=sys.stderr)

    if options.quiet or not count or not sys.stderr.isatty() or options.format == "json":
        yield said
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("{task.fields[rate]}"),
        TimeRemainingColumn(),
    )
    console = Console(stderr=True, no_color=options.no_color)
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task("sites", total=count, rate="")

        def tell(built: Built | None) -> None:
            said(built)
            speed = bar.tasks[0].speed
            bar.update(task, advance=1, rate=f"{speed:.1f} a second" if speed else "")

        yield tell
