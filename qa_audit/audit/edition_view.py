"""EditionView: one edition beside its view of a chunk of charts."""

from __future__ import annotations

from dataclasses import dataclass

from qa_audit.rules import Edition
from qa_audit.rules.view import ChartView


@dataclass(frozen=True)
class EditionView:
    """One edition's view of a chunk, with the edition's place in the calendar."""

    place: int
    edition: Edition
    view: ChartView
