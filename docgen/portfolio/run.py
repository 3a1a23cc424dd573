"""Many jobs over any executor in the form of `concurrent.futures`: threads, processes, or those of a cluster. The results do not depend on which."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import AbstractContextManager
from itertools import islice
from typing import Any, TypeVar

from docgen.errors import UsageError

__all__ = ["cluster", "processes", "results"]

J = TypeVar("J")
R = TypeVar("R")
#: Jobs handed over at once for each worker: enough that none waits, so few that a stop is a stop.
AHEAD = 4
#: Sites after which a process is exchanged for a new one, so that memory stays flat.
MOST_SITES = 100


def processes(count: int | None = None) -> ProcessPoolExecutor:
    """Processes of this machine, by default one a core; each is exchanged after some sites."""
    import multiprocessing

    return ProcessPoolExecutor(
        max_workers=count or usable_cores(),
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_ends_with_the_command,
        max_tasks_per_child=MOST_SITES,
    )


def _ends_with_the_command() -> None:
    """A process whose command was killed would wait for work for ever: it ends too. What it was writing is whole or not there, as after any kill."""
    from multiprocessing import parent_process

    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def usable_cores() -> int:
    """The cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def cluster(address: str) -> AbstractContextManager[Executor]:
    """The workers of a scheduler of dask.distributed; they see the same folders under the same names. UsageError where it cannot be reached."""
    try:
        from distributed import Client
    except ImportError:
        raise UsageError("the workers of a cluster need a library that is not installed: pip install 'docgen[cluster]'") from None
    try:
        client: Any = Client(address, timeout="10s")  # type: ignore[no-untyped-call]
    except (OSError, ValueError, TimeoutError) as error:
        raise UsageError(f"nothing answers at {address} ({type(error).__name__}); write it as tcp://host:8786") from None
    return _Cluster(client)


class _Cluster(AbstractContextManager[Executor]):
    """A client of a scheduler for as long as its executor is used."""

    def __init__(self, client: Any) -> None:
        self.client = client

    def __enter__(self) -> Executor:
        executor: Executor = self.client.get_executor(pure=False, retries=3)
        return executor

    def __exit__(self, *_: object) -> None:
        self.client.close()


def results(executor: Executor, work: Callable[[J], R], jobs: Iterable[J], at_once: int) -> Iterator[tuple[J, R | BaseException]]:
    """Each job with what came of it, as it comes; no more than some are handed over ahead. What a worker raises is given, not raised."""
    waiting = iter(jobs)
    running: dict[Future[R], J] = {}
    try:
        while True:
            for job in islice(waiting, max(at_once * AHEAD - len(running), 0)):
                running[executor.submit(work, job)] = job
            if not running:
                return
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                job = running.pop(future)
                error = future.exception()
                yield job, error if error is not None else future.result()
    finally:
        for future in running:
            future.cancel()
