"""A call written down as it runs: minutes from a first moment, one line for each thing charted, frozen into a case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from qa_audit.demo.case import (
    Arrest,
    Case,
    Complaint,
    Confirmation,
    Disposition,
    EquipmentList,
    Medication,
    Member,
    Milestones,
    OwnResult,
    Patient,
    Procedure,
    Reading,
)
from qa_audit.demo.service import FILTER, FILTER_IN_LINE, NO_FILTER, OXYGEN_OFF, crew_of
from qa_audit.demo.vocabulary import Act, Drug, Negative, Route, Service, Unit, Wear

STEADY = Reading(None, heart_rate=92, systolic=128, diastolic=76, breaths=20, coma_scale=(4, 5, 6), alertness="3326001")
"""The signs of somebody awake and not in danger."""

PROTECTED = (Wear.GLOVES, Wear.EYES, Wear.RESPIRATOR)


@dataclass
class Call:
    """One call under way; every number of minutes counts from `start`."""

    name: str
    vehicle: str
    start: datetime
    complaint: Complaint
    patient: Patient = field(default_factory=lambda: Patient(60))
    notified: float = -20
    at_patient: float = -5
    left: float | None = 15
    arrived: float | None = 40
    service: Service = Service.EMERGENCY
    disposition: Disposition = field(default_factory=Disposition)
    arrest: Arrest | None = None
    narrative: str | None = None
    written_at_offset: timedelta | None = None
    airway_complications: tuple[str | Negative, ...] = ()
    crew: tuple[Member, ...] = ()
    equipment: list[EquipmentList] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    medications: list[Medication] = field(default_factory=list)
    procedures: list[Procedure] = field(default_factory=list)
    confirmations: list[Confirmation] = field(default_factory=list)
    own_results: list[OwnResult] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Put the vehicle's crew of the day on the call, unless another is given."""
        self._origin = self.start.astimezone(UTC)
        self.crew = self.crew or crew_of(self.vehicle, self.start.date())

    @property
    def lead(self) -> Member:
        """Return who leads the care."""
        return self.crew[0]

    @property
    def partner(self) -> Member:
        """Return who helps at the scene and drives."""
        return self.crew[1]

    def at(self, minutes: float) -> datetime:
        """Return the moment so many minutes after the start; counted in real time, also over a change of the clocks."""
        return self._origin + timedelta(minutes=minutes)

    def reads(self, saturations: Mapping[float, int | Negative | None], like: Reading = STEADY) -> None:
        """Chart one set of vital signs for each minute: its saturation, and the other signs of `like`."""
        self.readings += [replace(like, at=self.at(minute), saturation=value) for minute, value in saturations.items()]

    def gives(
        self, minute: float | None, drug: Drug, route: Route, dose: tuple[str, Unit], *, tie: str | None = None
    ) -> None:
        """Chart a medication given by the lead."""
        moment = None if minute is None else self.at(minute)
        amount, unit = dose
        self.medications.append(Medication(moment, drug, route, amount, unit, self.lead, tie=tie))

    def oxygen(self, minute: float | None, device: Route, flow: int, tie: str | None = None) -> None:
        """Chart oxygen, begun or changed, by device and litres per minute."""
        self.gives(minute, Drug.OXYGEN, device, (str(flow), Unit.LITRES_PER_MINUTE), tie=tie)

    def oxygen_off(self, minute: float, tie: str | None = None) -> None:
        """Chart in the agency's own element when oxygen was stopped."""
        self.own_results.append(OwnResult(OXYGEN_OFF, self.at(minute), tie))

    def does(  # noqa: PLR0913 - a procedure has this many columns on a chart
        self,
        minute: float,
        act: Act,
        by: Member | None = None,
        *,
        attempts: int | None = 1,
        success: bool | None = True,
        negative: Negative | None = None,
        technique: str | None = None,
        tie: str | None = None,
    ) -> None:
        """Chart a procedure, by the lead unless another is named."""
        row = Procedure(self.at(minute), act, by or self.lead, attempts, success, negative)
        self.procedures.append(replace(row, technique=technique, tie=tie))

    def filter_charted(self, tie: str | None, *, in_line: bool = True) -> None:
        """Chart in the agency's own element whether a viral filter was in line."""
        self.own_results.append(OwnResult(FILTER, FILTER_IN_LINE if in_line else NO_FILTER, tie))

    def confirms(self, minute: float, device: str, method: str, of: str | None = None) -> None:
        """Chart that a device's place was confirmed."""
        self.confirmations.append(Confirmation(self.at(minute), device, method, self.lead, of))

    def wears(self, member: Member | None, *items: Wear) -> None:
        """Chart what a member wore; `None` for a list that names nobody."""
        self.equipment.append(EquipmentList(member.id if member else None, items))

    def all_protected(self) -> None:
        """Chart gloves, eye protection and a respirator for everyone."""
        for member in self.crew:
            self.wears(member, *PROTECTED)

    def case(self) -> Case:
        """Freeze the call."""
        return Case(
            name=self.name,
            vehicle=self.vehicle,
            milestones=self._milestones(),
            crew=self.crew,
            complaint=self.complaint,
            patient=self.patient,
            disposition=self.disposition,
            service=self.service,
            equipment=tuple(self.equipment),
            readings=tuple(sorted(self.readings, key=lambda reading: (reading.at is None, reading.at))),
            medications=tuple(self.medications),
            procedures=tuple(self.procedures),
            arrest=self.arrest,
            confirmations=tuple(self.confirmations),
            airway_complications=self.airway_complications,
            own_results=tuple(self.own_results),
            narrative=self.narrative,
            written_at_offset=self.written_at_offset,
        )

    def _milestones(self) -> Milestones:
        """Return the times of the call: a minute to answer it, a minute on foot, six minutes to hand over."""
        arrived = None if self.arrived is None else self.at(self.arrived)
        seen = self.disposition.care is not None
        last = self.arrived or self.left or self.at_patient + 20
        return Milestones(
            called=self.at(self.notified - 1),
            notified=self.at(self.notified),
            en_route=self.at(self.notified + 1),
            on_scene=self.at(self.at_patient - 1) if seen else None,
            at_patient=self.at(self.at_patient) if seen else None,
            left_scene=None if self.left is None else self.at(self.left),
            arrived=arrived,
            handed_over=arrived and arrived + timedelta(minutes=6),
            back_in_service=self.at(last + 25),
        )
