"""Every mistake a user can make, and the exit code each one sets.

A message says where, what was found, what is allowed and what to do; it never
holds a value from a record. Anything that is not a `QaAuditError` is our bug.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import IntEnum


class ExitCode(IntEnum):
    """What a command's exit code means (the README repeats this list)."""

    DONE = 0
    OUR_BUG = 1
    COMMAND_SETTINGS_OR_RULES = 2
    SOME_INPUT_REFUSED = 3
    NOTHING_ADMITTED = 4
    STORE = 5
    DISK_OR_PERMISSION = 6
    INTERRUPTED = 130
    TERMINATED = 143


class QaAuditError(Exception):
    """A mistake the user can mend; the command line prints it without a traceback."""

    exit_code = ExitCode.COMMAND_SETTINGS_OR_RULES


class CommandError(QaAuditError):
    """The command line asks for something that cannot be done."""


class SettingsError(QaAuditError):
    """The settings file or the key is wrong."""


class RulesetError(QaAuditError):
    """A ruleset, rule, concept or example is wrong."""


class NothingAdmittedError(QaAuditError):
    """No report passed the gate, or too large a share was held back."""

    exit_code = ExitCode.NOTHING_ADMITTED


class StoreError(QaAuditError):
    """The memory under `records/` cannot be used as it stands."""

    exit_code = ExitCode.STORE


class DiskError(QaAuditError):
    """A folder cannot be read or written, or the disk is full."""

    exit_code = ExitCode.DISK_OR_PERMISSION


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong in a file that people write: where, what, and the remedy in one sentence."""

    file: str
    line: int
    sentence: str

    def __str__(self) -> str:
        """Return `file:line: sentence`."""
        return f"{self.file}:{self.line}: {self.sentence}"


def all_at_once(kind: type[QaAuditError], faults: Iterable[Fault]) -> QaAuditError:
    """Make one error of every fault found, in file and line order, a line each."""
    return kind("\n".join(str(fault) for fault in sorted(set(faults))))


def nearest(word: str, allowed: Iterable[str]) -> str:
    """Return ` Did you mean 'x'?` for the closest allowed word, or an empty string."""
    close = get_close_matches(word, list(allowed), n=1)
    return f" Did you mean '{close[0]}'?" if close else ""
