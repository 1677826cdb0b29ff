"""The gate: tables -> admitted and held back.

Takes a batch as ingest read it, the settings and the newest edition's concepts. Gives the admitted reports with
impossible values stripped, every other report as a row of `held_back`, and what each check found. Never judges
care, never holds a report back for the way it is charted, never opens a file.
"""

from __future__ import annotations

from qa_audit.gate.admission import Gated, admit
from qa_audit.gate.fitness import refuse_if_unfit
from qa_audit.gate.warming import warm_up

__all__ = ["Gated", "admit", "refuse_if_unfit", "warm_up"]
