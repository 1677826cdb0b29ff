"""Words for the standard's codes of emptiness, units and data types.

Source: NEMSIS v3.5.1 commonTypes (NV, PN), eMedications.06, eVitals.16 ETCO2Type, eCustomConfiguration.03.
"""

from __future__ import annotations

WHY_EMPTY = {
    "7701001": "not_applicable",
    "7701003": "not_recorded",
    "7701005": "not_reporting",
}
"""NV: the element holds no value."""

WHY_NEGATIVE = {
    "8801001": "contraindicated",
    "8801003": "denied_by_order",
    "8801005": "finding_not_present",
    "8801007": "allergy",
    "8801009": "already_taken",
    "8801013": "no_known_allergy",
    "8801015": "none_reported",
    "8801017": "not_performed_by_ems",
    "8801019": "refused",
    "8801021": "unresponsive",
    "8801023": "unable",
    "8801025": "not_immunized",
    "8801027": "criteria_not_met",
    "8801029": "approximate",
    "8801031": "symptom_absent",
}
"""PN: a pertinent negative."""

APPROXIMATE = "approximate"
"""The one PN that leaves its value in force."""

UNITS = {
    "3706001": "g",
    "3706003": "in",
    "3706005": "IU",
    "3706007": "keep vein open",
    "3706009": "L",
    "3706013": "metered dose",
    "3706015": "mcg",
    "3706017": "mcg/kg/min",
    "3706019": "mEq",
    "3706021": "mg",
    "3706023": "mg/kg/min",
    "3706025": "mL",
    "3706027": "mL/h",
    "3706029": "other",
    "3706031": "cm",
    "3706033": "drops",
    "3706035": "L/min",
    "3706037": "mcg/min",
    "3706039": "mg/kg",
    "3706041": "mg/min",
    "3706043": "puff",
    "3706045": "units/h",
    "3706047": "mcg/kg",
    "3706049": "units",
    "3706051": "units/kg/h",
    "3706053": "units/kg",
    "3706055": "mg/h",
}

TO_MMHG = {"3340001": 1.0, "3340003": 7.6, "3340005": 7.5006}
"""ETCO2Type: mmHg, percent (of 760 mmHg), kPa."""

DATA_TYPES = {
    "9902001": "binary",
    "9902003": "date_time",
    "9902005": "number",
    "9902007": "other",
    "9902009": "text",
    "9902011": "boolean",
}
BOOLEAN_WORDS = frozenset({"true", "false", "1", "0", "9923003", "9923001"})
"""The spellings of yes and no that agencies use; the standard leaves them open."""
