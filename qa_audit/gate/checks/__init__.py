"""Every check that is asked of admitted reports, one file a family; `hold_back` decides which are admitted."""

from __future__ import annotations

from qa_audit.gate.checks import chronology, coherence, completeness, plausibility, remarks

CHECKS = (
    *completeness.CHECKS,
    *plausibility.CHECKS,
    *chronology.CHECKS,
    *coherence.CHECKS,
    *remarks.CHECKS,
)
