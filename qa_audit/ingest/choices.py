"""Choices: what a run tells the reading, small enough to be sent to another process."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from qa_audit.ingest.key import Key

if TYPE_CHECKING:
    from qa_audit.settings import Settings


@dataclass(frozen=True)
class Choices:
    """The key, whether identifiers are dropped, and what the agency's settings say about reading."""

    key: Key
    de_identify: bool
    keep_narrative: bool
    time_zone: str | None
    recipient: str
    mapped_values: Mapping[str, frozenset[str]]
    mapped_times: frozenset[str]


def choices(key: Key, settings: Settings, *, de_identify: bool) -> Choices:
    """Return the choices of one run."""
    custom = settings.custom_elements
    return Choices(
        key=key,
        de_identify=de_identify,
        keep_narrative=settings.narrative == "keep",
        time_zone=settings.time_zone,
        recipient=settings.recipient,
        mapped_values={name: frozenset(element.values) for name, element in custom.items() if element.values},
        mapped_times=frozenset(name for name, element in custom.items() if element.value == "time"),
    )
