"""Examples: small timelines with the expected outcome; they test a rule and explain it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Clock = Annotated[str, Field(pattern=r"^\d{1,2}:\d{2}(:\d{2})?$")]
"""A time on the example's own day, h:mm or h:mm:ss."""

Outcome = Literal["met", "not_met", "cannot_tell", "excluded", "excepted"]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


class ExampleFact(_Part):
    """One documented thing, named by concept; `and` names further concepts of the same group (a device)."""

    concept: str
    also: tuple[str, ...] = Field(default=(), alias="and")
    at: Clock | None = None
    value: float | None = None
    unit: str | None = None
    count: int | None = None
    success: bool | None = None
    member: str | None = None
    negated: bool = False
    by_others: bool | None = False
    group: int | None = None
    """Ties facts of one group; without it each entry is a group of its own, and an agency field is tied to nothing."""
    missing: str | None = None
    """The element stands empty for this reason (`refused`, `unable`, ...)."""


class ExampleMember(_Part):
    """One entry of the crew list; `drives` and `cares` stand for the transport roles."""

    id: str
    roles: tuple[Literal["drives", "cares"], ...] = ()


class ExampleReport(_Part):
    """The milestones and traits of the report that differ from an ordinary transport."""

    at_patient: Clock | None = "9:55"
    left_scene: Clock | None = "10:20"
    at_destination: Clock | None = "10:40"
    transfer_of_care: Clock | None = None
    transported: bool | None = True
    age_years: float | None = 60
    subset: Literal["full", "national"] = "full"


class Example(_Part):
    """One case: what is documented, and what the rule makes of it."""

    case: str = Field(min_length=1)
    report: ExampleReport = ExampleReport()
    crew: tuple[ExampleMember, ...] = ()
    facts: tuple[ExampleFact, ...] = ()
    with_agency_fields: bool = False
    """Judged as for an agency whose settings map the rule's agency fields."""
    expect: Outcome
    reason: str | None = None
    amount: float | None = None
    because: str = Field(min_length=1)

    def model_post_init(self, _context: Any) -> None:
        """Refuse an expectation that says no reason where one is due."""
        if (self.expect in ("met", "not_met")) == (self.reason is not None):
            raise ValueError("`reason` belongs to cannot_tell, excluded and excepted, and only to them.")
