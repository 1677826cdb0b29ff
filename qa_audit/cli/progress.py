"""Progress on a terminal; nothing where stderr is a file or a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_line(quiet: bool) -> Iterator[Callable[[str, int, int], None]]:
    """Give a callback (stage, done, to do) that draws one line on stderr."""
    if quiet or not sys.stderr.isatty():
        yield lambda _stage, _done, _total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<14}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting", total=None)
        yield lambda stage, done, total: bar.update(task, description=stage, completed=done, total=total or None)
