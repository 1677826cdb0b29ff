"""Plausibility: values that a patient, a device or a form can have."""

from __future__ import annotations

import polars as pl

from qa_audit.gate.check import COMMON_PRACTICE, Answers, AtLeast, AtMost, Between, Check, Family, Holds, Verdict
from qa_audit.gate.flows import device_flows, oxygen_flows
from qa_audit.gate.sheet import Sheet, every

DEVICE_BASIS = "BTS oxygen guideline 2017 and printed device tables"


def _saturations(sheet: Sheet) -> pl.LazyFrame:
    return sheet.done("oxygen_saturation").filter(pl.col("value").is_not_null())


def lowest_saturation(sheet: Sheet) -> pl.LazyFrame:
    """Give the lowest saturation of this crew."""
    return _saturations(sheet).group_by("report").agg(value=pl.col("value").min())


def impossible_saturation() -> pl.Expr:
    """Say of a saturation fact that no oximeter shows its value (NEMSIS v3.5.1: eVitals.12 is 0 to 100)."""
    return ~pl.col("value").is_between(0, 100)


def saturations_possible(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every saturation, whoever took it, is a percentage."""
    taken = sheet.entries("oxygen_saturation").filter(pl.col("value").is_not_null())
    return taken.group_by("report").agg(every(~impossible_saturation()))


def is_dose() -> pl.Expr:
    """Say of a fact that it is a medication, whose value is a dose."""
    return pl.col("item").cat.starts_with("eMedications.")


def impossible_dose() -> pl.Expr:
    """Say of a medication fact that its dose is below nothing (the standard's schema sets no minimum)."""
    return pl.col("value") < 0


def doses_possible(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether no dose or flow is negative."""
    dosed = sheet.facts.filter(is_dose(), pl.col("value").is_not_null())
    return dosed.group_by("report").agg(every(~impossible_dose()))


def oxygen_unit_is_flow(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every oxygen dose that has a unit is in litres per minute; others are no known flow."""
    with_unit = sheet.done("oxygen").filter(pl.col("value").is_not_null(), pl.col("unit").is_not_null())
    return with_unit.group_by("report").agg(every(pl.col("unit") == "L/min"))


def highest_oxygen_flow(sheet: Sheet) -> pl.LazyFrame:
    """Give the highest oxygen flow of this crew."""
    return oxygen_flows(sheet).group_by("report").agg(value=pl.col("flow").max())


def cannula_flow(sheet: Sheet) -> pl.LazyFrame:
    """Give the highest flow through a cannula, which may be high before an intubation: those reports are not asked."""
    tubes = sheet.entries("intubation", "induction").filter(pl.col("status") == "present").select("report")
    flows = device_flows(sheet, "oxygen_by_cannula").join(tubes, on="report", how="anti")
    return flows.group_by("report").agg(value=pl.col("flow").max())


def lowest_flow(device: str) -> Answers:
    """Give the lowest running flow through the device; a flow of nothing is a stop, not a flow."""

    def of(sheet: Sheet) -> pl.LazyFrame:
        running = device_flows(sheet, device).filter(pl.col("flow") > 0)
        return running.group_by("report").agg(value=pl.col("flow").min())

    return of


def attempts(sheet: Sheet) -> pl.LazyFrame:
    """Give the largest number of attempts one intubation entry of this crew carries."""
    return sheet.done("intubation").group_by("report").agg(value=pl.col("count").max().cast(pl.Float64))


def carbon_dioxide_has_unit(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every end-tidal carbon dioxide has a unit; without one it may be percent, kPa or mmHg."""
    measured = sheet.of_elements("eVitals.16").filter(pl.col("value").is_not_null())
    return measured.group_by("report").agg(every(pl.col("unit").is_not_null()))


def _check(  # noqa: PLR0913 - a check has this many parts
    name: str,
    sentence: str,
    basis: str,
    asks: Between | AtLeast | AtMost | Holds,
    concepts: tuple[str, ...] = (),
    *,
    verdict: Verdict = "warn",
    family: Family = "plausibility",
) -> Check:
    return Check(name, family, verdict, sentence, basis, asks, concepts)


CHECKS = (
    _check(
        "saturations_possible",
        "Every saturation is 0 to 100 %; any other value is stripped.",
        "NEMSIS v3.5.1: eVitals.12 is 0 to 100",
        Holds(saturations_possible),
        ("oxygen_saturation",),
        verdict="strip",
    ),
    _check(
        "doses_possible",
        "No dose or flow is negative; a negative one is stripped.",
        "NEMSIS v3.5.1: eMedications.05 has no minimum",
        Holds(doses_possible),
        verdict="strip",
    ),
    _check(
        "saturation_not_too_low",
        "No saturation of this crew is below {saturation_lowest:g} %.",
        COMMON_PRACTICE,
        AtLeast(lowest_saturation, "saturation_lowest"),
        ("oxygen_saturation",),
    ),
    _check(
        "oxygen_unit_is_flow",
        "Every oxygen dose is in litres per minute.",
        "NEMSIS v3.5.1: litres per minute is the unit of a gas flow in eMedications.06",
        Holds(oxygen_unit_is_flow),
        ("oxygen",),
    ),
    _check(
        "oxygen_flow_possible",
        "No oxygen flow of this crew is above {oxygen_flow_highest:g} L/min.",
        DEVICE_BASIS,
        AtMost(highest_oxygen_flow, "oxygen_flow_highest"),
        ("oxygen",),
    ),
    _check(
        "cannula_flow_plausible",
        "No flow through a cannula is above {cannula_flow_highest:g} L/min, calls with an intubation left out.",
        DEVICE_BASIS,
        AtMost(cannula_flow, "cannula_flow_highest"),
        ("oxygen", "oxygen_by_cannula", "intubation", "induction"),
    ),
    _check(
        "simple_mask_flow_plausible",
        "No flow through a simple mask is below {simple_mask_flow_lowest:g} L/min.",
        DEVICE_BASIS,
        AtLeast(lowest_flow("oxygen_by_simple_mask"), "simple_mask_flow_lowest"),
        ("oxygen", "oxygen_by_simple_mask"),
    ),
    _check(
        "non_rebreather_flow_plausible",
        "No flow through a non-rebreathing mask is below {non_rebreather_flow_lowest:g} L/min.",
        DEVICE_BASIS,
        AtLeast(lowest_flow("oxygen_by_non_rebreather"), "non_rebreather_flow_lowest"),
        ("oxygen", "oxygen_by_non_rebreather"),
    ),
    _check(
        "attempts_plausible",
        "No intubation entry carries more than {attempts_highest:g} attempts.",
        COMMON_PRACTICE,
        AtMost(attempts, "attempts_highest"),
        ("intubation",),
    ),
    _check(
        "carbon_dioxide_has_unit",
        "Every end-tidal carbon dioxide has a unit.",
        "NEMSIS Schematron e131 to e134",
        Holds(carbon_dioxide_has_unit),
    ),
    _check(
        "age_in_one_top_group",
        "Every age is {age_lowest:g} to {age_highest:g} years: 90 and over are one group.",
        "HIPAA Safe Harbor, 45 CFR 164.514(b)(2)",
        Between("age_years", "age_lowest", "age_highest"),
        family="identifiers",
    ),
)
