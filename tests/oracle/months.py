"""Random months, bent toward what is hard: ties, exact limits, contradictions, gaps, others' acts, changeovers."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from random import Random
from typing import Any

from hypothesis import strategies as st

from oracle.frames import number_facts
from oracle.model import MINUTE, Fact, Member, Report

NOON = datetime(2026, 2, 17, 18, tzinfo=UTC)
DAYS = [
    NOON,
    NOON,
    datetime(2026, 2, 17, 6, tzinfo=UTC),
    datetime(2026, 2, 10, 6, tzinfo=UTC),
    datetime(2026, 1, 12, 15, tzinfo=UTC),
    datetime(2026, 3, 8, 8, tzinfo=UTC),
    datetime(2020, 1, 1, 6, tzinfo=UTC),
    datetime(2019, 12, 30, 15, tzinfo=UTC),
    *[datetime(2026, 1, day, 15, tzinfo=UTC) for day in range(5, 12)],
    *[datetime(2026, 2, day, 15, tzinfo=UTC) for day in range(18, 25)],
]
"""A changeover at noon, midnights at which something begins, a skipped hour, before all editions, plain days."""
LEVELS = [[0, 49, *range(91, 101)], [94, 95, 96, 97], [96, 97, 98, 99], [98, 99, 100], [97, 98, 99, 100, 100]]
"""The saturations of one call stay together, so that readings persist."""
CREW = ["P-A", "P-B", "P-C"]
ROUTES = ["9927001", "9927025", "9927057", "9927041", "9927031", "9927065", "9927067", "9927071", "9927051", "9927005"]
ROUTES += ["9927009", "9927031", "9927025"]
PROCEDURES = ["425447009", "243140006", "47545007", "243142003", "385857005", "56251003", "230040009", "424979004"]
PROCEDURES += ["45851008", "225718003", "89666000"]
TUBES = ["232674004", "232674004", "450601000124103", "241689008", "16883004"]
COHORTS = ["eSituation.11=J18.9", "eSituation.11=T58.01", "eSituation.12=T70.3XXA", "eHistory.08=J44.9"]
COHORTS += ["eSituation.11=J18.9", "eSituation.12=U07.1"]
COHORTS += ["eSituation.10=T58.01", "eProtocols.01=9914129", "eDispatch.01=2301055", "eSituation.11=J45.901"]
EQUIPMENT = ["4503015", "4503017", "4503017", "4503003", "4503019", "4503011", "4503021", "4503001"]
ARREST = ["eArrest.01=3001003", "eArrest.03=3003003", "eArrest.03=3003005", "eArrest.03=3003007"]
ARREST += ["eArrest.09=3009013", "eArrest.09=3009025", "eArrest.09=3009027", "eArrest.12=3012005", "eArrest.12=3012001"]
ARREST += ["eArrest.16=3016011", "eArrest.16=3016001"]


@dataclass
class Draft:
    """A report being written."""

    random: Random
    number: int
    start: int
    national: bool
    levels: list[int]
    facts: list[Fact] = field(default_factory=list)
    groups: list[tuple[int, bool | None]] = field(default_factory=list)

    def chance(self, percent: int) -> bool:
        """Return true so often."""
        return self.random.randrange(100) < percent

    def time(self, *, missing: int = 6, within: int = 70) -> int | None:
        """Return a time of the call: whole minutes, sometimes seconds, sometimes none."""
        if self.chance(missing):
            return None
        time = self.start + self.random.randrange(within) * MINUTE
        return time + self.random.choice([1_000, 30_000, 59_000, 1]) if self.chance(10) else time

    def owner(self) -> bool | None:
        """Return mostly ours."""
        return self.random.choice([False] * 8 + [True, None])

    def new_group(self, owner: bool | None) -> int:
        """Open a call group."""
        self.groups.append((len(self.groups), owner))
        return len(self.groups) - 1

    def add(self, item: str, **columns: Any) -> None:
        """Write a fact; now and then its contradiction at the same instant."""
        fact = replace(Fact(0, self.number, item), **columns)
        self.facts.append(fact)
        if item.startswith(("eMedications.03", "eProcedures.03")) and self.chance(4):
            opposite = "negated" if fact.status == "present" else "present"
            self.facts.append(replace(fact, status=opposite, call_group=self.new_group(fact.by_others)))


def oxygen(draft: Draft) -> None:
    """Write oxygen: as a drug with a route, or as a procedure; sometimes twice at one instant."""
    time, owner = draft.time(within=draft.random.choice([10, 10, 70])), draft.owner()
    for _ in range(2 if draft.chance(12) else 1):
        group = draft.new_group(owner)
        status = "negated" if draft.chance(5) else "present"
        common: dict[str, Any] = {"time": time, "by_others": owner, "call_group": group, "status": status}
        if draft.chance(15):
            draft.add(f"eProcedures.03={draft.random.choice(['57485005', '371907003', '371908008'])}", **common)
            continue
        flow = draft.random.choice([None, 0.0, 1.5, 2.0, 4.0, 6.0, 8.0, 10.0, 14.0, 15.0, 15.0])
        unit = draft.random.choice(["L/min", "L/min", "L/min", None, "mg"])
        draft.add("eMedications.03=7806", value=flow, unit=unit, **common)
        if draft.chance(85):
            draft.add(f"eMedications.04={draft.random.choice(ROUTES)}", **common)


def stop(draft: Draft) -> None:
    """Write that oxygen was stopped, tied to some group or to none."""
    tied = draft.random.choice(draft.groups) if draft.groups and draft.chance(60) else None
    draft.add(
        "custom:svc.oxygenOff",
        time=draft.time(missing=3),
        origin="custom",
        call_group=tied[0] if tied else None,
        by_others=tied[1] if tied else False,
    )


def reading(draft: Draft) -> None:
    """Write a saturation near some ceiling, or an empty entry with its reason."""
    group = draft.new_group(owner := draft.owner())
    time = draft.time(missing=2)
    value = draft.random.choice(draft.levels)
    why = None
    if draft.chance(10):
        why = draft.random.choice(["not_recorded", "unable", "refused", "finding_not_present"])
    draft.add(
        "eVitals.12",
        time=time,
        value=None if why else float(value),
        unit=None if why else "%",
        status="missing" if why else "present",
        why=why,
        by_others=owner,
        call_group=group,
    )
    if draft.chance(8):
        draft.add("eVitals.15=3315005", time=time, by_others=owner, call_group=group)


def procedure(draft: Draft, code: str, time: int | None) -> None:
    """Write a procedure, sometimes with a filter entry tied to it."""
    owner = draft.owner()
    group = draft.new_group(owner)
    draft.add(
        f"eProcedures.03={code}",
        time=time,
        by_others=owner,
        call_group=group,
        count=draft.random.choice([None, 1, 1, 1, 2, 3]),
        success=draft.random.choice([None, True, True, False]),
        member=draft.random.choice([None, *CREW]),
        status="negated" if draft.chance(6) else "present",
    )
    if draft.chance(30):
        answer(draft, group, owner)


def answer(draft: Draft, group: int | None, owner: bool | None) -> None:
    """Write an agency's own result on the filter."""
    item, time = draft.random.choice(["custom:svc.filter=1", "custom:svc.filter=0", "custom:svc.filter=9"]), None
    status = "present"
    if draft.chance(10):
        item, status = "custom:svc.filter", "negated"
    elif draft.chance(25):
        item, time = "custom:svc.filterAt", draft.time(missing=0)
    draft.add(item, time=time, origin="custom", status=status, call_group=group, by_others=owner)


def tubes(draft: Draft) -> None:
    """Write tube rows close together: running numbers, double entries, other codes, failures."""
    time = draft.time(missing=10)
    running = draft.chance(30)
    for number in range(draft.random.choice([1, 1, 2, 2, 3, 4])):
        owner = draft.random.choice([False] * 12 + [True, None])
        draft.add(
            f"eProcedures.03={draft.random.choice(TUBES)}",
            time=None if draft.chance(6) else time,
            by_others=owner,
            call_group=draft.new_group(owner),
            count=number + 1 if running else draft.random.choice([None, 1, 1, 1, 2]),
            success=draft.random.choice([None, True, False, False]),
            member=draft.random.choice([None, "P-A", "P-B"]),
            status="negated" if draft.chance(4) else "present",
        )
        if time is not None:
            time += draft.random.choice([0, 1, 2, 2, 3, 20]) * MINUTE + draft.random.choice([0, 0, 0, 1_000])
    if draft.chance(30):
        draft.add(f"eAirway.08={draft.random.choice(['4008021', '4008011', '4008005'])}")
    if draft.chance(10):
        draft.add("custom:svc.tubeOut=1", origin="custom")


def arrest(draft: Draft) -> None:
    """Write parts of an arrest, most of them without a time."""
    for item in draft.random.sample(ARREST, draft.random.randrange(1, 7)):
        draft.add(item)
    for element in ("eArrest.14", "eArrest.15", "eArrest.19"):
        if draft.chance(50):
            draft.add(element, time=draft.time(missing=0, within=40))


def equipment(draft: Draft) -> None:
    """Write equipment lists of every shape."""
    for _ in range(draft.random.choice([0, 1, 1, 2, 3])):
        member = draft.random.choice([None, None, *CREW, "P-STRANGER"])
        common: dict[str, Any] = {"member": member, "call_group": draft.new_group(False)}
        for code in draft.random.sample(EQUIPMENT, draft.random.randrange(4)):
            draft.add(f"eOther.03={code}", **common)
        if draft.chance(10):
            draft.add("eOther.03", status="missing", why="unknown_code", **common)
        if draft.chance(15):
            value = draft.random.choice(["0", "1", "7"])
            draft.add(f"custom:svc.face={value}", origin="custom", **common)


def airway(draft: Draft) -> None:
    """Write procedures on the airway."""
    for _ in range(draft.random.choice([1, 1, 2, 3, 4])):
        procedure(draft, draft.random.choice(PROCEDURES), draft.time())
    if draft.chance(30):
        answer(draft, None, owner=False)


def crew(draft: Draft) -> tuple[Member, ...]:
    """Return a crew list: drivers, entries without id, the same person twice, or none."""
    roles = [(), ("2403003",), ("2403003", "2403013"), ("2403001", "2403003"), ("2403009",), ("2403011",)]
    names = [*CREW[: draft.random.randrange(4)], *([None] if draft.chance(8) else [])]
    if names and draft.chance(5):
        names.append(names[0])
    return tuple(Member(name, None, draft.random.choice(roles)) for name in names)


def report(random: Random, number: int, zone: str | None) -> Report:
    """Return one random report."""
    day = random.choice(DAYS)
    start = round(day.timestamp() * 1000) + random.randrange(-90, 60) * MINUTE
    draft = Draft(random, number, start, random.randrange(15) == 0, random.choice(LEVELS))
    for part, percent in ((oxygen, 75), (airway, 40), (tubes, 25), (arrest, 12), (equipment, 60)):
        if draft.chance(percent):
            for _ in range(random.choice([1, 1, 2, 3, 4]) if part is oxygen else 1):
                part(draft)
    for _ in range(random.choice([0, 1, 2, 4, 6, 8, 10])):
        reading(draft)
    for _ in range(random.choice([0, 0, 0, 1, 2])):
        stop(draft)
    if draft.chance(40):
        draft.add(random.choice(COHORTS), status="negated" if draft.chance(10) else "present")
    if draft.chance(12):
        draft.add("eAirway.03=4003003", time=draft.time())
    service = random.choice([None, "2205001", "2205001", "2205005"])
    if service:
        draft.add(f"eResponse.05={service}")
    return finished(draft, service, zone)


def finished(draft: Draft, service: str | None, zone: str | None) -> Report:
    """Give a draft its milestones and crew; a national-subset export has lost most sections."""
    random, start = draft.random, draft.start
    clock = [start + random.randrange(low, high) * MINUTE for low, high in ((0, 15), (10, 40), (15, 70), (20, 75))]
    patient, left, arrived, handed = (None if draft.chance(15) else one for one in clock)
    facts = tuple(fact for fact in draft.facts if not (draft.national and is_lost(fact)))
    return Report(
        draft.number,
        unit_notified=start - random.randrange(15) * MINUTE,
        at_patient=patient,
        left_scene=left,
        at_destination=arrived,
        transfer_of_care=handed,
        age_years=random.choice([None, 28 / 365.25, 30 / 365.25, *[45.0] * 9, 60.0, 90.0]),
        transported=random.choice([True, True, True, False, None]),
        subset="national" if draft.national else "full",
        standard_version=random.choice(["3.5.0", "3.5.1", "3.5.1"]),
        service_type=service,
        zone=-360 if zone is None else zone,
        facts=facts,
        members=() if draft.national else crew(draft),
    )


def is_lost(fact: Fact) -> bool:
    """Whether a national-subset export does not carry a fact."""
    return fact.item.startswith(("custom:", "eOther.", "eAirway.", "eVitals.15"))


def month(random: Random, size: int, zone: str | None = "America/Chicago") -> list[Report]:
    """Return a month of random reports, facts numbered as the table numbers them."""
    return number_facts([report(random, number, zone) for number in range(size)])


def months(size: int, zone: str | None = "America/Chicago") -> st.SearchStrategy[list[Report]]:
    """Return a hypothesis strategy of such months."""
    return st.builds(lambda random: month(random, size, zone), st.randoms(use_true_random=False))
