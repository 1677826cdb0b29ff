"""What an agency's settings add to an edition's concepts and change about its checks."""

from __future__ import annotations

from qa_audit.errors import SettingsError, nearest
from qa_audit.rules.charts import known_items
from qa_audit.rules.concept import CUSTOM, Concepts, Meaning
from qa_audit.rules.edition import Edition, Ruleset
from qa_audit.rules.view import AgencyChoices
from qa_audit.settings import Settings
from qa_audit.tables import Batch

PROCEDURE = "eProcedures.03"
INTUBATION, RESPIRATOR = "intubation", "respirator"
"""The concepts that the settings `intubation_also` and `respirator_also` widen, by contract."""


def check_settings(settings: Settings, ruleset: Ruleset) -> None:
    """Raise `SettingsError` for every concept that the settings name and no edition defines."""
    defined = {name for edition in ruleset.editions for name in edition.concepts}
    named = {f"custom_elements.{key}": custom.concept for key, custom in settings.custom_elements.items()}
    named |= {f"respirator_also.{place}": name for place, name in enumerate(settings.respirator_also)}
    faults = [
        f"settings: `{where}` names the concept '{name}', which no edition of {ruleset.name} defines."
        f"{nearest(name, defined)}"
        for where, name in named.items()
        if name not in defined
    ]
    if faults:
        raise SettingsError("\n".join(faults))


def concepts_for(edition: Edition, settings: Settings) -> Concepts:
    """Return the edition's concepts with what the agency maps onto them."""
    custom: dict[str, tuple[str, Meaning]] = {}
    for name, element in settings.custom_elements.items():
        if element.concept in edition.concepts:
            custom[f"{CUSTOM}{name}"] = (element.concept, "present")
            custom |= {
                f"{CUSTOM}{name}={value}": (element.concept, meaning) for value, meaning in element.values.items()
            }
    if INTUBATION in edition.concepts:
        custom |= {f"{PROCEDURE}={code}": (INTUBATION, "present") for code in settings.intubation_also}
    also = {name: RESPIRATOR for name in settings.respirator_also if name in edition.concepts}
    return Concepts(edition.concepts, custom, also)


def choices_for(settings: Settings) -> AgencyChoices:
    """Return what the settings change about equipment lists and filter anchors."""
    return AgencyChoices(
        equipment_speaks_for_crew_from=settings.ppe_list_speaks_for.crew_from,
        equipment_lists_complete_from=settings.ppe_lists_complete_from,
        filter_on_cpap_from=settings.filter_on_cpap_from,
    )


def concept_items(edition: Edition, settings: Settings, batch: Batch) -> dict[str, frozenset[str]]:
    """Return the items of each concept that occur in a batch: what the gate's checks speak of."""
    concepts, items = concepts_for(edition, settings), known_items(batch.facts)
    return {name: frozenset(concepts.items(items, name)) for name in edition.concepts}
