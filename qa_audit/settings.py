"""One agency's settings file: what people write in settings.yaml, checked, with its defaults."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from qa_audit import yaml_files
from qa_audit.errors import SettingsError

FILE_NAME = "settings.yaml"


def _known_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError(f"'{name}' is not a time zone of the IANA list; write one such as America/Chicago.") from None
    return name


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


class Agency(_Part):
    """The one agency whose reports a run may hold."""

    name: str = ""
    number: str | None = None


class PeerReview(_Part):
    """The agency's own words on a letter; without a statement no letter is written."""

    statement: str = Field(min_length=1)
    committee: str = ""
    reply_to: str = ""
    reply_within_days: int = Field(default=30, ge=1, le=365)


class EquipmentLists(_Part):
    """From which date one equipment list speaks for the whole crew."""

    crew_from: date | None = None


class CustomElement(_Part):
    """What an agency's own element means: coded values, or a date-time that is the fact's time."""

    concept: str
    values: dict[str, Literal["present", "negated"]] = Field(default_factory=dict)
    value: Literal["time"] | None = None

    @model_validator(mode="after")
    def _one_form(self) -> CustomElement:
        if bool(self.values) == (self.value is not None):
            raise ValueError(
                "write either `values:` (each present or negated) or `value: time`, not both and not neither."
            )
        return self


class GateSettings(_Part):
    """When a month is not fit to audit, and the thresholds of single checks."""

    stop_above_share: float = Field(default=0.2, ge=0, le=1)
    thresholds: dict[str, float] = Field(default_factory=dict)


class Settings(_Part):
    """Everything an agency sets; every field has a default that accuses nobody."""

    agency: Agency = Agency()
    time_zone: Annotated[str, AfterValidator(_known_zone)] | None = None
    ruleset: str | None = None
    recipient: Literal["ems_unit", "primary", "team"] = "ems_unit"
    labels: dict[str, str] = Field(default_factory=dict)
    key_file: Path | None = None
    peer_review: PeerReview | None = None
    narrative: Literal["keep", "drop"] = "keep"
    ppe_list_speaks_for: EquipmentLists = EquipmentLists()
    respirator_also: tuple[str, ...] = ()
    filter_on_cpap_from: date | None = None
    ppe_lists_complete_from: date | None = None
    custom_elements: dict[str, CustomElement] = Field(default_factory=dict)
    gate: GateSettings = GateSettings()
    intubation_also: tuple[str, ...] = ()

    @property
    def digest(self) -> str:
        """SHA-256 of every setting that can change a result (the key's path cannot)."""
        return hashlib.sha256(self.model_dump_json(exclude={"key_file"}).encode()).hexdigest()

    def label(self, pseudonym: str | None) -> str:
        """Return what pages call a vehicle or person; null is `not recorded`."""
        return "not recorded" if pseudonym is None else self.labels.get(pseudonym, pseudonym)


def load(path: Path) -> Settings:
    """Read a settings file; raises `SettingsError` with file and line, all faults at once.

    A relative `key_file` is taken from the settings file's own folder.
    """
    settings = yaml_files.read(path, Settings, SettingsError)
    if settings.key_file is not None and not settings.key_file.is_absolute():
        return settings.model_copy(update={"key_file": path.parent / settings.key_file})
    return settings


def find(given: Path | None, inputs: list[Path], working_directory: Path) -> Path | None:
    """Return the settings file: the given one, else the one beside the reports, else the one here, else none."""
    if given is not None:
        return given
    first_folder = next((path for path in inputs if path.is_dir()), None)
    for folder in filter(None, (first_folder, working_directory)):
        if (folder / FILE_NAME).is_file():
            return folder / FILE_NAME
    return None
