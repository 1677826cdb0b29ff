"""The kinds of check: one way to check is one file, and this union is their register."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from qa_audit.rules.kinds.attempts import Attempts
from qa_audit.rules.kinds.check import OPPORTUNITIES, CheckKind
from qa_audit.rules.kinds.companion import Companion, CompanionForEpisodes, CompanionForMembers
from qa_audit.rules.kinds.within_band import WithinBand

Check = Annotated[Attempts | Companion | WithinBand, Field(discriminator="kind")]

__all__ = [
    "OPPORTUNITIES",
    "Attempts",
    "Check",
    "CheckKind",
    "CompanionForEpisodes",
    "CompanionForMembers",
    "WithinBand",
]
