"""Report: figures to pages.

Takes months, `Figures` and the ruleset, gives self-contained HTML files; never counts, judges or reads an input.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from qa_audit.errors import DiskError
from qa_audit.report import dashboard, data_quality, evidence, index, letters, reviewer, rulebook
from qa_audit.rules import Ruleset
from qa_audit.settings import Settings
from qa_audit.tables import Month
from qa_audit.tables.figures import Figures

__all__ = ["write"]


def write(months: Sequence[Month], figures: Figures, ruleset: Ruleset, settings: Settings, into: Path) -> list[Path]:
    """Write every page of the given months and `index.html` over all months; returns the paths.

    Drafts of letters and evidence that no longer follow from a given month are removed; released letters never are.
    Raises `DiskError` when a folder cannot be written.
    """
    written = [path for month in months for path in _month(month, figures, ruleset, settings, into / month.month)]
    return [*written, index.write_all([month.month for month in months], figures, ruleset, settings, into)]


def _month(month: Month, figures: Figures, ruleset: Ruleset, settings: Settings, folder: Path) -> list[Path]:
    try:
        drafts = letters.write(month, figures.counts, ruleset, settings, folder)
        behind = evidence.write(month, ruleset, settings, folder)
        pages = [
            dashboard.write(month, figures, ruleset, settings, folder),
            reviewer.write(month, figures, ruleset, settings, folder),
            data_quality.write(month, ruleset, settings, folder),
            rulebook.write(month, ruleset, settings, folder),
        ]
        pages.append(index.write_month(month, drafts, settings, folder))
        _remove_all_but(drafts, folder / "letters")
        _remove_all_but(behind, folder / "evidence")
    except OSError as fault:
        raise DiskError(
            f"{folder}: the pages cannot be written ({fault.strerror}); make room or check the folder's permissions."
        ) from None
    return [*pages, *drafts, *behind]


def _remove_all_but(kept: Iterable[Path], folder: Path) -> None:
    """Remove the pages directly in a folder that were not written now; what lies deeper is frozen."""
    for stale in set(folder.glob("*.html")) - set(kept):
        stale.unlink()
