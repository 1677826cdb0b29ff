"""The name a month goes by in paths and in the catalogue: `YYYY-MM`, or `undated`."""

from __future__ import annotations

import re
from pathlib import Path

from qa_audit.errors import CommandError

UNDATED = "undated"
"""Where held-back rows without a readable date are kept."""

_DATED = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])")


def month_key(text: str) -> str:
    """Return the text when it names a month; raises `CommandError` otherwise, so that no path is built from it."""
    if text == UNDATED or _DATED.fullmatch(text):
        return text
    raise CommandError(f"{text!r} is not a month; write YYYY-MM, such as 2026-01, or {UNDATED}.")


def month_folders(parent: Path) -> list[Path]:
    """Return the month folders in a folder, dated ones and `undated`, sorted; none when it does not exist."""
    if not parent.is_dir():
        return []
    named = (path for path in parent.iterdir() if path.name == UNDATED or _DATED.fullmatch(path.name))
    return sorted(path for path in named if path.is_dir())
