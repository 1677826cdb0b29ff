"""Importing great-expectations beside the parsing: it takes seconds, and the parent process only waits then."""

from __future__ import annotations

import importlib
import threading
from contextlib import suppress

_WARMING = threading.Lock()


def _import() -> None:
    # A library that cannot be imported is reported where it is needed, not in a thread.
    with _WARMING, suppress(Exception):
        importlib.import_module("great_expectations.expectations")


def warm_up() -> threading.Thread:
    """Begin importing great-expectations in a thread of its own; returns the thread and never raises."""
    thread = threading.Thread(target=_import, name="gate-warm-up", daemon=True)
    thread.start()
    return thread


def wait_until_warm() -> None:
    """Wait for a warm-up that runs, so that nothing else imports while it does; return at once when none does."""
    with _WARMING:
        return
