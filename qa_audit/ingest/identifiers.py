"""What happens to every element that could identify a person: one action for each (contract: five actions).

Source of the categories: HIPAA Safe Harbor, 45 CFR 164.514(b)(2); the mapping to elements is this package's own.
An element that is named neither here nor in `standard.elements` is dropped: it is never looked at.
"""

from __future__ import annotations

from typing import Literal

from qa_audit.ingest.standard.elements import ELEMENTS

Action = Literal["refuse", "pseudonymise", "drop", "keep", "scan"]

REFUSE = frozenset(
    {
        # names of patients, the insured, relatives, signers, clinicians
        *("ePatient.02", "ePatient.03", "ePatient.04", "ePatient.23"),
        *(
            "ePayment.06",
            "ePayment.07",
            "ePayment.19",
            "ePayment.20",
            "ePayment.21",
            "ePayment.23",
            "ePayment.24",
            "ePayment.25",
        ),
        *("eHistory.02", "eHistory.03", "eHistory.04", "eMedications.12", "eProcedures.12", "eOther.20", "eOther.21"),
        # street addresses, coordinates, facility names
        *("ePatient.05", "ePayment.12", "ePayment.26", "ePayment.34", "eDisposition.03"),
        *("eScene.13", "eScene.14", "eScene.15", "eScene.16", "eScene.20", "eDisposition.01"),
        *("eScene.11", "eScene.12", "eResponse.17", "eResponse.18", "eDisposition.09", "eDisposition.10", "eInjury.15"),
        # phone, fax, e-mail
        *("ePatient.18", "ePatient.19", "ePayment.31", "ePayment.39", "ePayment.59", "eInjury.13"),
        # social security, record, registry, insurance and account numbers, a patient's licence, dates of birth
        *("ePatient.12", "ePatient.01", "eOutcome.04", "ePatient.21", "ePatient.17", "ePayment.60"),
        *("ePayment.09", "ePayment.10", "ePayment.17", "ePayment.18", "ePayment.53", "ePayment.54", "ePayment.58"),
        # device serials, pictures and waveforms, file names
        *("eDevice.01", "eOther.11", "eOther.18", "eLabs.08", "eDevice.05", "eOther.16", "eOther.22"),
    }
)
"""A file in which one of these has content is refused; with de-identification the content is dropped and counted."""

REFUSED_ATTRIBUTE = "StreetAddress2"
"""An attribute of address elements that holds a second line of the address."""

SCAN = frozenset(
    {
        *("eNarrative.01", "eSituation.04", "eSituation.19", "eLabs.04", "eLabs.06", "eDevice.08", "eOutcome.05"),
        *("ePayment.45", "ePayment.46", "ePayment.55", "eProcedures.04", "eDispatch.03"),
    }
)
"""Free texts that are searched for identifiers; only eNarrative.01 is ever stored."""

NARRATIVE = "eNarrative.01"
CUSTOM_RESULT = "eCustomResults.01"

OWN_NUMBERS = frozenset({"eRecord.01", "eResponse.03", "eResponse.04"})
"""Numbers of the report itself, searched for in its free texts."""

PSEUDONYMISE = frozenset(
    {
        *(
            "PatientCareReport@UUID",
            "eRecord.01",
            "eResponse.01",
            "eResponse.03",
            "eResponse.04",
            "eResponse.13",
            "eResponse.14",
        ),
        *("dAgency.01", "dAgency.02"),
        *("eCrew.01", "eMedications.09", "eProcedures.09", "eAirway.07", "eOther.04", "eOther.08"),
    }
)
"""Stored as a pseudonym where a table needs it, otherwise not at all."""


def action(element: str) -> Action:
    """Return what happens to an element (`element@attribute` for an attribute)."""
    name, _, attribute = element.partition("@")
    if element in PSEUDONYMISE:
        return "pseudonymise"
    if attribute:
        return "refuse" if attribute == REFUSED_ATTRIBUTE else "drop"
    if name in REFUSE:
        return "refuse"
    if name in SCAN or name == CUSTOM_RESULT:
        return "scan"
    return "keep" if name in ELEMENTS else "drop"
