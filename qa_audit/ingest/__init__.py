"""Ingest: files to tables.

Takes: files and folders of EMSDataSet XML (NEMSIS 3.5.0 and 3.5.1), the agency's key and settings, a folder for parts.
Gives: a `Batch` whose facts know elements and codes only; what cannot be read or names a person stands in `held_back`.
Never: knows a rule or concept, stores an identifier, follows a DOCTYPE or an address, holds a whole file in memory.
"""

from __future__ import annotations

from qa_audit.ingest.finding import Standing, find
from qa_audit.ingest.key import Key, create_key
from qa_audit.ingest.listing import Listing, files_of, inputs_digest, list_files
from qa_audit.ingest.reading import read

__all__ = ["Key", "Listing", "Standing", "create_key", "files_of", "find", "inputs_digest", "list_files", "read"]
