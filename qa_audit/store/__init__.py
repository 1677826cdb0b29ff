"""The months that came before: immutable Parquet for each month and version, one catalogue that says which is current.

Takes: the tables of one run, a month at a time, and the identity of that run.
Gives: stored months as lazy tables, and the determinations of all months at once.
Never: changes a stored version, lets two runs write at once, deletes what no run of its own left unfinished.
"""

from __future__ import annotations

from qa_audit.store.catalogue import RunIdentity
from qa_audit.store.durable import write_atomically
from qa_audit.store.month_key import UNDATED
from qa_audit.store.store import MONTH_DETERMINATIONS, Store
from qa_audit.store.stored import MonthToSave, Stored

__all__ = ["MONTH_DETERMINATIONS", "UNDATED", "MonthToSave", "RunIdentity", "Store", "Stored", "write_atomically"]
