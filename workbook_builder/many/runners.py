"""Running the work: in this process, in several, or on a cluster."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from typing import Any, TypeVar

from workbook_builder.interruption import GRACE, serve
from workbook_builder.many.work import FAILED, Outcome, Task, build_client

Work = TypeVar("Work")
Made = TypeVar("Made")

#: Seconds after which is looked whether anybody is still at work.
PATIENCE = 5.0
#: Seconds within which a scheduler must answer.
ANSWER = 10.0
ENDED = "The process that worked on it was ended, perhaps for want of memory."


class ClusterMissing(RuntimeError):
    """The cluster cannot be reached, or the extra that talks to it is not installed."""


def usual_jobs() -> int:
    """Return how many processes there are processors for."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def lost_client(task: Task) -> Outcome:
    """Return the outcome of a client whose process was ended."""
    return Outcome(task, FAILED, (ENDED,))


def run_here(tasks: Sequence[Task], jobs: int) -> Iterator[Outcome]:
    """Yield outcomes of clients as they come, from `jobs` processes."""
    return work_here(tasks, jobs, build_client, lost_client)


def work_here(tasks: Sequence[Work], jobs: int, work: Callable[[Work], Made],
              lost: Callable[[Work], Made]) -> Iterator[Made]:
    """Yield what `work` makes of tasks as it comes, from `jobs` processes.

    One that dies takes no other task with it, and `lost` stands for it.
    """
    if jobs == 1 or len(tasks) == 1:
        yield from map(work, tasks)
        return
    broken: list[Work] = []
    with _pool(min(jobs, len(tasks))) as pool:
        with _deaf():
            futures = {pool.submit(work, task): task for task in tasks}
        for future in _as_they_come(futures):
            outcome = _outcome(future)
            if outcome is None:
                broken.append(futures[future])
            else:
                yield outcome
    for task in broken:
        # A dead process breaks its whole pool, so each client left over gets one of its own.
        with _pool(1) as alone:
            [future] = _as_they_come([alone.submit(work, task)])
            yield _outcome(future) or lost(task)


def _as_they_come(futures: Iterable[Future[Made]]) -> Iterator[Future[Made]]:
    """Yield futures as they are done.

    Raises
    ------
    MemoryError
        When nobody is left who could finish them: the thread that hears from the processes dies without a
        word for want of memory.
    """
    waiting = set(futures)
    while waiting:
        done, waiting = wait(waiting, PATIENCE, FIRST_COMPLETED)
        yield from done
        heard = any(type(thread).__name__ == "_ExecutorManagerThread" for thread in threading.enumerate())
        if waiting and not done and not (heard and multiprocessing.active_children()):
            raise MemoryError


@contextmanager
def _pool(jobs: int) -> Iterator[ProcessPoolExecutor]:
    """Give a pool that begins no further client once the run is stopped."""
    # Fresh processes, not copies of this one: they behave alike on every system.
    fresh = multiprocessing.get_context("spawn")
    stopped = fresh.Event()
    with ProcessPoolExecutor(jobs, mp_context=fresh, initializer=serve, initargs=(stopped,)) as pool:
        try:
            yield pool
        except BaseException:
            stopped.set()
            pool.shutdown(wait=False, cancel_futures=True)
            # Stop what is still at work after a moment: Ctrl-C reaches all processes of a terminal, other
            # signals one alone.
            until = time.monotonic() + GRACE
            while multiprocessing.active_children() and time.monotonic() < until:
                time.sleep(0.05)
            for child in multiprocessing.active_children():
                if child.pid is not None:
                    with suppress(OSError):
                        os.kill(child.pid, signal.SIGINT)
            pool.shutdown(wait=True)
            raise


@contextmanager
def _deaf() -> Iterator[None]:
    """Let processes that start inside ignore Ctrl-C until they can end in silence."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _outcome(future: Future[Made]) -> Made | None:
    try:
        return future.result()
    except BrokenProcessPool:
        return None


def run_on_cluster(tasks: Sequence[Task], address: str) -> Iterator[Outcome]:
    """Yield outcomes of clients as they come from a cluster; see :func:`work_on_cluster`."""
    return work_on_cluster(tasks, address, build_client, lost_client)


def work_on_cluster(tasks: Sequence[Work], address: str, work: Callable[[Work], Made],
                    lost: Callable[[Work], Made]) -> Iterator[Made]:
    """Yield what `work` makes of tasks as it comes from a Dask cluster that shares our files.

    Parameters
    ----------
    tasks : sequence
        With paths that are the same on every worker.
    address : str
        Of the scheduler, such as ``tcp://10.0.0.5:8786``.

    Raises
    ------
    ClusterMissing
        When Dask is not installed or the scheduler does not answer.
    """
    try:
        import distributed
    except ImportError:
        missing = "Dask is not installed; install the extra: pip install 'workbook_builder[dask]'"
        raise ClusterMissing(missing) from None
    # The library carries no types.
    connect: Any = distributed.Client
    as_finished: Any = distributed.as_completed
    try:
        cluster = connect(address, timeout=ANSWER, set_as_default=False)
    except (OSError, ValueError) as failure:
        told = " ".join(str(failure).split())[:120]
        raise ClusterMissing(f"no scheduler answers at {address} ({told})") from failure
    with cluster:
        futures = {cluster.submit(work, task, pure=False, retries=1): task for task in tasks}
        for future in as_finished(list(futures), loop=cluster.loop):
            yield future.result() if future.status == "finished" else lost(futures[future])
