"""Concepts: the named sets of items that rules speak of, and which data elements a report can carry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

DIAGNOSIS_ELEMENTS = ("eSituation.09", "eSituation.10", "eSituation.11", "eSituation.12", "eHistory.08")
"""Symptoms, impressions and history: where a diagnosis code may stand (NEMSIS v3.5.1 data dictionary)."""

CUSTOM = "custom:"

Code = Annotated[str, BeforeValidator(lambda code: str(code) if isinstance(code, int) else code)]


class Concept(BaseModel):
    """One concept of an edition, as written in concepts/*.yaml.

    `items` maps an element to its codes (`J44*` matches by prefix), or to an empty list for a measurement.
    `diagnoses` are ICD-10-CM codes wherever a diagnosis may stand. `at_most_days_old` makes it an age cohort.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    sentence: str = Field(min_length=1)
    items: dict[str, tuple[Code, ...]] = Field(default_factory=dict)
    diagnoses: tuple[Code, ...] = ()
    at_most_days_old: int | None = Field(default=None, ge=0)
    is_a: tuple[str, ...] = ()
    agency_field: bool = False
    source: str = ""

    @model_validator(mode="after")
    def _agency_field_has_no_items(self) -> Concept:
        if self.agency_field and (self.items or self.diagnoses):
            raise ValueError(
                "an agency_field concept has no codes of the standard; remove `agency_field` or the codes."
            )
        return self

    def patterns(self) -> set[str]:
        """Return the items of this concept alone, each exact or ending in `*`."""
        exact = {f"{element}={code}" for element, codes in self.items.items() for code in codes}
        alone = {element for element, codes in self.items.items() if not codes}
        named = {f"{element}={code}" for element in DIAGNOSIS_ELEMENTS for code in self.diagnoses}
        return exact | alone | named


Meaning = Literal["present", "negated"]


@dataclass(frozen=True)
class Concepts:
    """The concepts of one edition, with what the settings map onto them.

    `custom` maps an item (`custom:ID=value`, `custom:ID`, or a further code) to a concept and to what it says of it.
    `also` names concepts that the agency counts under another (`level_c` under `respirator`).
    """

    named: Mapping[str, Concept]
    custom: Mapping[str, tuple[str, Meaning]] = field(default_factory=dict)
    also: Mapping[str, str] = field(default_factory=dict)

    def family(self, name: str) -> frozenset[str]:
        """Return a concept and every concept below it."""
        found = {name}
        while True:
            below = {
                child for child, concept in self.named.items() if found & {*concept.is_a, self.also.get(child)}
            } - found
            if not below:
                return frozenset(found)
            found |= below

    def own_patterns(self, name: str) -> frozenset[str]:
        """Return the patterns that a concept names itself, without its children."""
        mapped = {item for item, (concept, _) in self.custom.items() if concept == name}
        return frozenset(self.named[name].patterns() | mapped)

    def patterns(self, *names: str) -> frozenset[str]:
        """Return every item pattern of the concepts and their children, custom items included."""
        family = frozenset().union(*(self.family(name) for name in names)) if names else frozenset[str]()
        return frozenset[str]().union(*(self.own_patterns(name) for name in family))

    def items(self, known: Iterable[str], *names: str) -> list[str]:
        """Return which of the known items belong to the concepts or their children, sorted."""
        patterns = self.patterns(*names)
        prefixes = tuple(pattern[:-1] for pattern in patterns if pattern.endswith("*"))
        return sorted(item for item in known if item in patterns or (bool(prefixes) and item.startswith(prefixes)))

    def elements(self, name: str) -> frozenset[str]:
        """Return the standard's elements that can carry the concept."""
        return frozenset(pattern.split("=")[0] for pattern in self.patterns(name) if not pattern.startswith(CUSTOM))

    def is_mapped(self, name: str) -> bool:
        """Say whether the agency's own fields can carry the concept."""
        return any(pattern.startswith(CUSTOM) for pattern in self.patterns(name))
