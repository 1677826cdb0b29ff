"""Tables and editions to determinations.

Takes the admitted tables, a ruleset and the settings.
Gives one row for each opportunity of each rule (tables/determinations.py).
Never opens a file, and never lets silence count against anyone.
"""

from __future__ import annotations

from qa_audit.audit.judgement import judge

__all__ = ["judge"]
