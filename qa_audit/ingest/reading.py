"""Reading: every file of a run into one batch, on one or two processes; the parent keeps only small things."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from qa_audit.errors import DiskError
from qa_audit.ingest.batching import Gathered, batch
from qa_audit.ingest.blocks import Block, Outcome, read_blocks
from qa_audit.ingest.choices import Choices, choices
from qa_audit.ingest.key import Key
from qa_audit.ingest.listing import list_files
from qa_audit.ingest.tasks import Tasks
from qa_audit.tables import Batch

if TYPE_CHECKING:
    from qa_audit.settings import Settings

WORKERS = 2
WORTH_TWO_PROCESSES = 8 << 20
THREADS = "POLARS_MAX_THREADS"
AHEAD = 2
"""Tasks handed out beyond those being worked on."""

Progress = Callable[[int, int], None]


def read(  # noqa: PLR0913 - the door: everything a run may choose about reading
    inputs: Sequence[Path],
    *,
    key: Key,
    settings: Settings,
    scratch: Path,
    de_identify: bool = False,
    workers: int | None = None,
    progress: Progress | None = None,
) -> Batch:
    """Read files and folders of EMSDataSet XML into a batch whose tables lie as Parquet in `scratch`.

    `workers` is 1 or 2 processes; by default 2 when there are more than 8 MB to read. `progress` is called with the
    bytes done and in all. What cannot be read or is refused stands in `held_back`; raises `DiskError` and
    `CommandError` only.
    """
    files = list_files(inputs).files
    total = sum(file.stat().st_size for file in files)
    processes = workers or (WORKERS if total > WORTH_TWO_PROCESSES else 1)
    tasks = Tasks(files)
    chosen = choices(key, settings, de_identify=de_identify)
    gathered = Gathered()
    done = 0
    try:
        for outcome in _outcomes(tasks, chosen, scratch, processes):
            gathered.add(outcome)
            done += outcome.length
            if progress:
                progress(min(done, total), total)
        read_batch = batch(tasks.files, gathered)
    except OSError as fault:
        raise DiskError(
            f"{fault.filename or scratch}: cannot be read or written ({fault.strerror}); check disk and permissions."
        ) from None
    if progress:
        progress(total, total)
    return read_batch


def _outcomes(tasks: Iterable[list[Block]], chosen: Choices, scratch: Path, processes: int) -> Iterator[Outcome]:
    if processes == 1:
        for number, task in enumerate(tasks):
            yield read_blocks(number, task, chosen, scratch)
        return
    with _one_thread_each(), ProcessPoolExecutor(processes, mp_context=multiprocessing.get_context("spawn")) as pool:
        try:
            yield from _from_pool(pool, tasks, chosen, scratch, processes)
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Let polars in the workers use one thread each: a process for each core leaves no core for more."""
    before = os.environ.get(THREADS)
    os.environ[THREADS] = "1"
    try:
        yield
    finally:
        os.environ.pop(THREADS)
        if before is not None:
            os.environ[THREADS] = before


def _from_pool(
    pool: ProcessPoolExecutor, tasks: Iterable[list[Block]], chosen: Choices, scratch: Path, processes: int
) -> Iterator[Outcome]:
    waiting: set[Future[Outcome]] = set()
    for number, task in enumerate(tasks):
        waiting.add(pool.submit(read_blocks, number, task, chosen, scratch))
        while len(waiting) >= processes + AHEAD:
            finished, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            yield from (future.result() for future in finished)
    while waiting:
        finished, waiting = wait(waiting, return_when=FIRST_COMPLETED)
        yield from (future.result() for future in finished)
