"""Small charts for tests: reports, crew and facts written in a line each, turned into a real batch."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from qa_audit.tables import (
    DEFINITIONS,
    FACTS,
    HELD_BACK,
    MEMBERS,
    NARRATIVES,
    RECORDS,
    REMARKS,
    REPORTS,
    Batch,
)

ROOT = Path(__file__).parents[1]
RULESETS = ROOT / "rulesets"
SHARED = ROOT.parent / "shared"

OXYGEN = "eMedications.03=7806"
CANNULA = "eMedications.04=9927025"
NON_REBREATHER = "eMedications.04=9927031"
SATURATION = "eVitals.12"
BAG = "eProcedures.03=425447009"
SUPRAGLOTTIC = "eProcedures.03=450611000124100"
TUBE = "eProcedures.03=232674004"
NEBULIZER = "eMedications.04=9927071"
INFLUENZA = "eSituation.11=J11"
N95, SURGICAL_MASK, GLOVES, OTHER = (f"eOther.03={code}" for code in (4503015, 4503017, 4503003, 4503019))


def at(written: str) -> datetime:
    """Read `2026-01-10 10:05` (or with seconds) as an instant, UTC."""
    return datetime.fromisoformat(written).replace(tzinfo=UTC)


@dataclass
class Charts:
    """A month under construction."""

    reports: list[dict[str, Any]] = field(default_factory=list)
    facts: list[dict[str, Any]] = field(default_factory=list)
    members: list[dict[str, Any]] = field(default_factory=list)

    def report(self, day: str = "2026-01-10", **given: Any) -> int:
        """Add a transport notified 9:40, at the patient 9:55, left 10:20, arrived 10:40; `given` replaces."""
        number = len(self.reports)
        clocks = {"unit_notified": "09:40", "at_patient": "09:55", "left_scene": "10:20", "at_destination": "10:40"}
        row: dict[str, Any] = {
            "report": number,
            "report_id": f"R-{number:010d}",
            "recipient": "U-TESTVEHIC1",
            "offset_minutes": 0,
            "age_years": 60.0,
            "transported": True,
            "subset": "full",
            "standard_version": "3.5.1",
            "source": 0,
            "month": day[:7],
            "local_date": date.fromisoformat(day),
            **{name: at(f"{day} {clock}") for name, clock in clocks.items()},
        }
        self.reports.append({**row, **given})
        return number

    def fact(self, report: int, item: str, clock: str | None = None, **given: Any) -> None:
        """Add a fact of this crew at a clock time of the report's day."""
        day = self.reports[report]["local_date"]
        time = at(f"{day} {clock}") if clock else None
        row = {"status": "present", "origin": "coded", "by_others": False, "call_group": 1000 + len(self.facts)}
        self.facts.append({"report": report, "item": item, "time": time, **row, **given})

    def oxygen(
        self, report: int, clock: str | None, flow: float | None, route: str = NON_REBREATHER, **given: Any
    ) -> None:
        """Add oxygen: the drug with its flow, and its route, in one group."""
        group = 5000 + len(self.facts)
        self.fact(report, OXYGEN, clock, value=flow, unit="L/min", call_group=group, **given)
        self.fact(report, route, clock, call_group=group, **given)

    def saturation(self, report: int, clock: str, value: float, **given: Any) -> None:
        """Add an oximeter reading."""
        self.fact(report, SATURATION, clock, value=value, **given)

    def member(self, report: int, name: str, *roles: str) -> None:
        """Add a crew member with role codes."""
        self.members.append({"report": report, "member": name, "roles": list(roles), "ppe_recorded": False})

    def batch(self) -> Batch:
        """Return the month as a batch; facts sorted and numbered as in the store."""
        facts = FACTS.frame([{**fact, "fact": 0} for fact in self.facts])
        facts = facts.sort(facts["item"].cast(str), facts["report"], facts["time"], nulls_last=True)
        return Batch(
            reports=REPORTS.frame(self.reports).lazy(),
            facts=FACTS.conform(facts.drop("fact").with_row_index("fact").lazy()),
            members=MEMBERS.frame(self.members).lazy(),
            narratives=NARRATIVES.empty().lazy(),
            records=RECORDS.empty().lazy(),
            remarks=REMARKS.empty().lazy(),
            definitions=DEFINITIONS.empty(),
            held_back=HELD_BACK.empty(),
            sources=(),
        )
