"""The numbers that checks compare with, each with its default; settings may change any of them."""

from __future__ import annotations

from collections.abc import Mapping

from qa_audit.errors import SettingsError, nearest
from qa_audit.settings import Settings

DEFAULTS: Mapping[str, float] = {
    # Percent: common practice, no source (NEMSIS v3.5.1 allows 0 to 100 in eVitals.12).
    "saturation_lowest": 50,
    # Litres per minute: BTS 2017 oxygen guideline (cannula, simple mask) and printed device tables.
    "cannula_flow_highest": 6,
    "simple_mask_flow_lowest": 5,
    "non_rebreather_flow_lowest": 10,
    "oxygen_flow_highest": 60,
    # Attempts: common practice, no source.
    "attempts_highest": 5,
    # Minutes that an entry charted to the minute may stand outside the call: common practice, no source.
    "outside_call_minutes": 2,
    # Hours from unit notified to back in service: common practice, no source.
    "call_hours_highest": 24,
    # Years: HIPAA Safe Harbor, 45 CFR 164.514(b)(2)(i)(C), puts 90 and over into one group.
    "age_lowest": 0,
    "age_highest": 90,
}


def thresholds(settings: Settings) -> dict[str, float]:
    """Return every threshold, the agency's own where it set one; raises `SettingsError` for a name no check uses."""
    own = settings.gate.thresholds
    unknown = sorted(set(own) - set(DEFAULTS))
    if unknown:
        raise SettingsError(
            "\n".join(
                f"settings, gate.thresholds: '{name}' is no threshold of any check.{nearest(name, DEFAULTS)}"
                f" Allowed are {', '.join(sorted(DEFAULTS))}; correct or remove the line."
                for name in unknown
            )
        )
    return {**DEFAULTS, **own}
