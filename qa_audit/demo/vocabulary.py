"""The standard's codes that invented charts are written with, each under a plain name.

Source: NEMSIS v3.5.1 code lists, RxNorm and SNOMED codes of its defined lists, ICD-10-CM.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

YES: Final = "9923003"
NO: Final = "9923001"


class Empty(StrEnum):
    """Why an element holds no value (the standard's NV)."""

    NOT_APPLICABLE = "7701001"
    NOT_RECORDED = "7701003"


class Negative(StrEnum):
    """A pertinent negative (the standard's PN)."""

    NOT_PRESENT = "8801005"
    REFUSED = "8801019"
    UNABLE = "8801023"


class Route(StrEnum):
    """How a medication is given; for oxygen, by which device (eMedications.04)."""

    CANNULA = "9927025"
    NON_REBREATHER = "9927031"
    BAG = "9927065"
    CPAP = "9927067"
    NEBULIZER = "9927071"
    INTRAMUSCULAR = "9927015"
    INTRANASAL = "9927017"
    INTRAVENOUS = "9927023"
    INTRAOSSEOUS = "9927021"
    ORAL = "9927035"
    SUBLINGUAL = "9927047"


class Unit(StrEnum):
    """Units of a dose (eMedications.06)."""

    LITRES_PER_MINUTE = "3706035"
    LITRES = "3706009"
    MILLIGRAMS = "3706021"
    MICROGRAMS = "3706015"


class Drug(StrEnum):
    """Medications (eMedications.03, RxNorm)."""

    OXYGEN = "7806"
    ALBUTEROL = "435"
    ALBUTEROL_IPRATROPIUM = "214199"
    ASPIRIN = "1191"
    DEXAMETHASONE = "3264"
    EPINEPHRINE_FOR_MUSCLE = "328316"
    EPINEPHRINE_FOR_VEIN = "317361"
    FENTANYL = "4337"
    KETAMINE = "6130"
    NALOXONE = "7242"
    NITROGLYCERIN = "4917"
    ROCURONIUM = "68139"


class Act(StrEnum):
    """Procedures (eProcedures.03, SNOMED)."""

    BAG_VALVE_MASK = "425447009"
    BAG_ON_TUBE = "243140006"
    CPAP = "47545007"
    VENTILATOR = "385857005"
    SUCTION = "230040009"
    SUPRAGLOTTIC = "450611000124100"
    TUBE = "232674004"
    TUBE_OVER_BOUGIE = "450601000124103"
    INDUCTION = "241689008"
    COMPRESSIONS = "89666000"
    TWELVE_LEAD = "268400002"
    VENOUS_ACCESS = "392230005"


class Wear(StrEnum):
    """Protective equipment of a crew member (eOther.03)."""

    EYES = "4503001"
    GLOVES = "4503003"
    RESPIRATOR = "4503015"
    SURGICAL_MASK = "4503017"
    OTHER = "4503019"


class CarbonDioxide(StrEnum):
    """What an end-tidal value is measured in (ETCO2Type)."""

    MMHG = "3340001"
    PERCENT = "3340003"
    KPA = "3340005"


class Effort(StrEnum):
    """Respiratory effort (eVitals.15)."""

    APNEIC = "3315001"
    LABORED = "3315003"
    ASSISTED = "3315005"


class Service(StrEnum):
    """Type of service requested (eResponse.05)."""

    EMERGENCY = "2205001"
    BETWEEN_HOSPITALS = "2205005"


class CrewRole(StrEnum):
    """What a crew member did on the call (eCrew.03)."""

    DRIVES_TO_SCENE = "2403001"
    DRIVES_IN_TRANSPORT = "2403003"
    HELPS_AT_SCENE = "2403007"
    HELPS_IN_TRANSPORT = "2403009"
    LEADS_AT_SCENE = "2403011"
    LEADS_IN_TRANSPORT = "2403013"


@dataclass(frozen=True)
class Level:
    """A level of certification: its code on the crew list, and as the role of a performer."""

    on_crew_list: str
    as_performer: str


PARAMEDIC: Final = Level("9925007", "9905007")
TECHNICIAN: Final = Level("9925005", "9905005")
STUDENT: Final = Level("9925031", "9905029")

VIDEO_LARYNGOSCOPE: Final = "3914011"
DIRECT_LARYNGOSCOPE: Final = "3914005"

TRACHEAL_TUBE: Final = "4003003"
SUPRAGLOTTIC_OTHER: Final = "4003013"
BY_WAVEFORM: Final = "4004019"
BY_AUSCULTATION: Final = "4004001"
TUBE_DISLODGED: Final = "4008021"
