"""Every table of one task, made from its cells."""

from __future__ import annotations

import polars as pl

from qa_audit.ingest.cells import Cells
from qa_audit.ingest.choices import Choices
from qa_audit.ingest.tabling.facts import facts
from qa_audit.ingest.tabling.groups import share
from qa_audit.ingest.tabling.members import members
from qa_audit.ingest.tabling.remarks import remarks
from qa_audit.ingest.tabling.reports import reports, walked_frame, with_recipient
from qa_audit.ingest.tabling.understanding import understand
from qa_audit.tables import NARRATIVES, RECORDS

NAMES = ("reports", "facts", "members", "narratives", "records", "remarks")


def tables(cells: Cells, choices: Choices) -> dict[str, pl.DataFrame]:
    """Return the tables by name, each with all its columns but those that only the whole run or file knows."""
    # A task is small: its many short sorts and joins take half as long in memory as streamed.
    with pl.Config(engine_affinity="in-memory"):
        return _tables(cells, choices)


def _tables(cells: Cells, choices: Choices) -> dict[str, pl.DataFrame]:
    understood = understand(cells.cell_frame(), choices.key)
    rows = reports(cells.reports, understood, choices)
    groups = share(cells.group_frame(), understood, rows)
    crew = members(understood, groups)
    stated = facts(understood, groups, cells.custom)
    return {
        "reports": with_recipient(rows, crew, choices),
        "facts": stated,
        "members": crew,
        "narratives": pl.DataFrame(cells.narratives, schema=NARRATIVES.schema, orient="row"),
        "records": RECORDS.conform(walked_frame(cells.reports, choices.key).lazy()).collect(),
        "remarks": remarks(understood, groups, stated, cells.custom, cells.remarks),
    }
