"""The sentences for whole files that are refused: where, what was found, what is allowed, what to do; never a value."""

from __future__ import annotations

from collections.abc import Sequence

from qa_audit.ingest.blocks import Refusal
from qa_audit.ingest.standard.versions import NEW_IN_3_5_0, REMOVED_AFTER_3_4, Marks, shown

NAMED_AT_MOST = 6
WHAT_TO_DO = "remove it from the export, or run with --de-identify, which drops and counts it"


def identifiers_sentence(position: int, refusals: Sequence[Refusal]) -> str:
    """Say which elements identify somebody in this report, or else in the first such report of its file."""
    here = next((refusal for refusal in refusals if refusal.position == position), None)
    if here:
        return (
            f"The report at byte {position} holds identifiers: {_elements(here.elements)}; none is allowed,"
            f" so its whole file is refused: {WHAT_TO_DO}."
        )
    first = min(refusals, key=lambda refusal: refusal.position)
    return (
        f"The report at byte {position} stands in a file with identifiers (first in the report at byte"
        f" {first.position}: {_elements(first.elements)}); none is allowed, so the whole file is refused: {WHAT_TO_DO}."
    )


def version_sentence(marks: Marks) -> str:
    """Say that a file is written in a version before 3.5."""
    found = shown(marks.elements & REMOVED_AFTER_3_4)
    lacking = "" if marks.elements & NEW_IN_3_5_0 else "; none of the elements that came with 3.5"
    return (
        f"The file is written in a version of the NEMSIS standard before 3.5 (found: {found}{lacking}); 3.5.0 and 3.5.1"
        " are allowed: export it again in 3.5.1."
    )


def _elements(counts: dict[str, int]) -> str:
    most = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    named = ", ".join(f"{element} ({count} time{'s' if count > 1 else ''})" for element, count in most[:NAMED_AT_MOST])
    rest = len(most) - NAMED_AT_MOST
    return f"{named} and {rest} more elements" if rest > 0 else named
