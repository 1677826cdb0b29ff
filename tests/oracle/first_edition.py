"""The first edition, written out by hand: four rules, their concepts and numbers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from oracle.model import Concepts, Edition

OXYGEN = "oxygen-kept-within-target"
RESPIRATOR = "respirator-for-aerosol-procedures"
ATTEMPTS = "one-intubation-attempt"
FILTER = "viral-filter-on-positive-pressure"

DIAGNOSES = ("eSituation.09", "eSituation.10", "eSituation.11", "eSituation.12", "eHistory.08")


def diagnosed(*codes: str) -> set[str]:
    """Return the items of diagnosis codes in every place where a chart holds one."""
    return {f"{element}={code}" for element in DIAGNOSES for code in codes}


def coded(**items: str) -> set[str]:
    """Return items from `eProcedures_03="1 2"`."""
    return {f"{element.replace('_', '.')}={code}" for element, codes in items.items() for code in codes.split()}


DEVICES = {
    "oxygen_by_blow_by": coded(eMedications_04="9927001"),
    "oxygen_by_cannula": coded(eMedications_04="9927025", eProcedures_03="371907003"),
    "oxygen_by_simple_mask": coded(eProcedures_03="371908008"),
    "oxygen_by_venturi": coded(eMedications_04="9927057"),
    "oxygen_by_partial_rebreather": coded(eMedications_04="9927041"),
    "oxygen_by_non_rebreather": coded(eMedications_04="9927031"),
    "oxygen_by_bag_valve_mask": coded(eMedications_04="9927065"),
    "oxygen_by_cpap": coded(eMedications_04="9927067"),
    "oxygen_by_tracheostomy": coded(eMedications_04="9927051"),
    "oxygen_by_tube": coded(eMedications_04="9927005 9927029"),
    "oxygen_by_nebulizer": coded(eMedications_04="9927071"),
}

AIRWAY = {
    "bag_valve_mask": coded(eProcedures_03="425447009", eMedications_04="9927065", eArrest_09="3009013"),
    "tube_ventilation": coded(eProcedures_03="243140006", eArrest_09="3009025"),
    "intubation": coded(eProcedures_03="232674004 450601000124103"),
    "induction": coded(eProcedures_03="241689008"),
    "supraglottic": coded(eProcedures_03="424979004 450611000124100 427753009 429705000"),
    "cpap": coded(eProcedures_03="47545007", eMedications_04="9927067"),
    "bipap": coded(eProcedures_03="243142003"),
    "ventilator": coded(eProcedures_03="385857005"),
    "mechanically_assisted": coded(eVitals_15="3315005"),
    "nebulizer": coded(eProcedures_03="56251003", eMedications_04="9927071"),
    "suction": coded(eProcedures_03="230040009"),
    "airway_confirmed_tube": coded(eAirway_03="4003003"),
    "dislodgement": coded(eAirway_08="4008021"),
    "failed_effort": coded(eAirway_08="4008011"),
}

RESUSCITATION = {
    "resuscitation": coded(
        eArrest_03="3003003 3003005", eArrest_09=" ".join(str(code) for code in range(3009001, 3009027, 2))
    ),
    "cpr_procedure": coded(eProcedures_03="89666000 429283006"),
    "arrest_time": {"eArrest.14"},
    "cpr_started_time": {"eArrest.19"},
    "resuscitation_ended_time": {"eArrest.15"},
    "return_of_circulation": coded(eArrest_12="3012003 3012005 3012007"),
    "cpr_ended": {"eArrest.16=*"},
    "cpr_ended_by_circulation": coded(eArrest_16="3016011"),
}

EQUIPMENT = {
    "respirator": coded(eOther_03="4503015 4503021 4503007 4503009"),
    "level_c": coded(eOther_03="4503011"),
    "surgical_mask": coded(eOther_03="4503017"),
    "other_ppe": coded(eOther_03="4503019") | {"eOther.03"},
    "equipment": coded(eOther_03="4503001 4503003 4503005 4503013 4503023"),
    "driver_in_transport": coded(eCrew_03="2403003"),
    "caregiver_in_transport": coded(eCrew_03="2403009 2403013"),
}

COHORTS = {
    "carbon_monoxide": diagnosed("T58*"),
    "decompression": diagnosed("T70.3*"),
    "hypercapnia_risk": diagnosed("J43*", "J44*", "E84*", "E66.2*", "G12.2*", "G70.0*", "G71.0*"),
    "suspected_infection": diagnosed(
        "J00*", *(f"J{number:02}*" for number in [*range(9, 19), 20, 21, 22]), "B97.2*", "U07.1", "Z20.8*", "Z20.9"
    )
    | coded(eProtocols_01="9914129 9914035", eDispatch_01="2301055"),
    "newborn": set(),
}

DIRECT: dict[str, set[str]] = {
    "oxygen": coded(eMedications_03="7806", eProcedures_03="57485005 371907003 371908008"),
    "oxygen_stopped": set(),
    "oxygen_saturation": {"eVitals.12"},
    "viral_filter": set(),
    "extubation": set(),
    "airway_placement": set(),
    "positive_pressure": set(),
    "aerosol_procedure": set(),
    **DEVICES,
    **AIRWAY,
    **RESUSCITATION,
    **EQUIPMENT,
    **COHORTS,
}

PLACEMENT = ["tube_ventilation", "airway_placement"]
PUSHED_IN = ["positive_pressure", "aerosol_procedure"]
PARENTS = {
    "bag_valve_mask": PUSHED_IN,
    "tube_ventilation": PUSHED_IN,
    "ventilator": PUSHED_IN,
    "intubation": PLACEMENT,
    "induction": PLACEMENT,
    "supraglottic": PLACEMENT,
    "cpr_procedure": ["resuscitation"],
    **{
        name: ["aerosol_procedure"]
        for name in ("cpap", "bipap", "mechanically_assisted", "nebulizer", "suction", "resuscitation")
    },
    **{name: ["equipment"] for name in ("respirator", "level_c", "surgical_mask", "other_ppe")},
}

RULES: dict[str, dict[str, Any]] = {
    OXYGEN: {
        "kind": "within_band",
        "assessed_by": "oxygen_saturation",
        "therapy": "oxygen",
        "stopped": "oxygen_stopped",
        "devices": [
            ["oxygen_by_blow_by"],
            ["oxygen_by_cannula"],
            ["oxygen_by_simple_mask", "oxygen_by_venturi"],
            ["oxygen_by_partial_rebreather"],
            ["oxygen_by_non_rebreather"],
            [
                "oxygen_by_bag_valve_mask",
                "oxygen_by_cpap",
                "oxygen_by_tracheostomy",
                "oxygen_by_tube",
                "oxygen_by_nebulizer",
            ],
        ],
        "reading": "oxygen_saturation",
        "readable": [50, 100],
        "unobtainable": ["finding_not_present", "refused", "unable"],
        "bands": [
            {"cohort": "carbon_monoxide", "exclude": True},
            {"cohort": "decompression", "exclude": True},
            {"cohort": "newborn", "exclude": True},
            {"cohort": "hypercapnia_risk", "ceiling": 92},
            {"cohort": "suspected_infection", "ceiling": 96},
            {"ceiling": 98},
        ],
        "settle": 5,
        "judge_at_least": 5,
        "answer": 5,
        "carry": 15,
        "assumed_after": 30,
        "tolerance": 5,
        "persistent_over": 10,
        "pause": 3,
        "reduction": 1,
        "after_return": 10,
        "before_placing": 5,
        "after_placing": 5,
        "nebulizer_lasts": 15,
    },
    RESPIRATOR: {
        "kind": "members",
        "assessed_by": "respirator",
        "anchor": "aerosol_procedure",
        "needed": "respirator",
        "is_face_item": True,
        "accepted": [],
        "unclear": ["other_ppe"],
        "face_coverings": ["surgical_mask"],
        "lists": ["equipment"],
        "drives": "driver_in_transport",
        "cares": "caregiver_in_transport",
    },
    ATTEMPTS: {
        "kind": "attempts",
        "assessed_by": "intubation",
        "procedure": "intubation",
        "only_without_it": "induction",
        "reopened_by": ["dislodgement", "extubation"],
        "failed_effort": "failed_effort",
        "confirmed": "airway_confirmed_tube",
        "transfer_services": ["2205005", "2205015", "2205017", "2205019"],
        "at_most": 1,
        "double_entry": 2,
    },
    FILTER: {
        "kind": "episodes",
        "assessed_by": "viral_filter",
        "anchor": "positive_pressure",
        "needed": "viral_filter",
        "episode_gap": 15,
    },
}

FIRST = Edition(
    name="respiratory-precautions",
    date="2020-01-01",
    from_local=datetime(2020, 1, 1),  # noqa: DTZ001 -- a local wall-clock time, by its nature
    until_local=None,
    concepts=Concepts(DIRECT, PARENTS, {"newborn": 28}),
    rules=RULES,
)
