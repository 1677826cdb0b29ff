"""What one stage hands to the next: one table per file, every column documented.

Takes nothing, gives schemas, never opens a file.
"""

from __future__ import annotations

from qa_audit.tables.batch import Batch
from qa_audit.tables.check_results import CHECK_RESULTS, RUN_CHECK_RESULTS
from qa_audit.tables.definitions import DEFINITIONS
from qa_audit.tables.determinations import DETERMINATIONS
from qa_audit.tables.facts import FACTS
from qa_audit.tables.figures import FIGURES
from qa_audit.tables.held_back import HELD_BACK
from qa_audit.tables.members import MEMBERS
from qa_audit.tables.month import Month
from qa_audit.tables.narratives import NARRATIVES
from qa_audit.tables.records import RECORDS
from qa_audit.tables.remarks import REMARKS
from qa_audit.tables.reports import REPORTS
from qa_audit.tables.table import Column, Table

__all__ = [
    "CHECK_RESULTS",
    "DEFINITIONS",
    "DETERMINATIONS",
    "FACTS",
    "FIGURES",
    "HELD_BACK",
    "MEMBERS",
    "NARRATIVES",
    "RECORDS",
    "REMARKS",
    "REPORTS",
    "RUN_CHECK_RESULTS",
    "Batch",
    "Column",
    "Month",
    "Table",
]
