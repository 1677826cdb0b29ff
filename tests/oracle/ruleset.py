"""The shipped ruleset as the oracle's plain data: the same names and numbers, read from the loaded editions."""

from __future__ import annotations

from typing import Any

from oracle import model
from oracle.first_edition import DIAGNOSES
from qa_audit import rules
from qa_audit.settings import Settings

MINUTES = ("settle", "judge_at_least", "answer", "carry", "assumed_after", "tolerance", "persistent_over", "pause")


def editions_of(ruleset: rules.Ruleset) -> list[model.Edition]:
    """Return every edition of a loaded ruleset."""
    return [edition_of(edition) for edition in ruleset.editions]


def edition_of(edition: rules.Edition) -> model.Edition:
    """Return one edition with its concepts and parameters."""
    name, _, day = edition.label.partition("@")
    return model.Edition(
        name=name,
        date=day,
        from_local=edition.begins,
        until_local=edition.until,
        concepts=concepts_of(edition),
        rules={rule.id: parameters(edition, rule) for rule in edition.rules.values()},
        transition_until=edition.file.transition_until,
        made_known=edition.file.made_known,
        must_document_from=edition.file.must_document_from,
        suspected_everyone=edition.file.suspected_infection == "everyone",
    )


def concepts_of(edition: rules.Edition) -> model.Concepts:
    """Return the concepts: items, diagnosis codes wherever a chart holds one, parents, age limits."""
    direct: dict[str, set[str]] = {}
    for name, concept in edition.concepts.items():
        items = {f"{element}={code}" for element, codes in concept.items.items() for code in codes}
        items |= {element for element, codes in concept.items.items() if not codes}
        items |= {f"{element}={code}" for element in DIAGNOSES for code in concept.diagnoses}
        direct[name] = items
    parents = {name: list(concept.is_a) for name, concept in edition.concepts.items() if concept.is_a}
    days = {
        name: concept.at_most_days_old
        for name, concept in edition.concepts.items()
        if concept.at_most_days_old is not None
    }
    return model.Concepts(direct, parents, days)


def parameters(edition: rules.Edition, rule: rules.Rule) -> dict[str, Any]:
    """Return a rule's parameters under the oracle's own names."""
    check: Any = rule.check
    common = {"strength": rule.strength, "applies": list(rule.applies), "exclude": list(rule.exclude)}
    kind = check.form if check.kind == "companion" else check.kind
    own = {"within_band": within_band, "members": members, "episodes": episodes, "attempts": attempts}[kind]
    return {"kind": kind, **common, **own(edition, check)}


def within_band(_: rules.Edition, check: Any) -> dict[str, Any]:
    """Return the numbers of `within_band`."""
    (around,), (lasting,) = check.exempt.around, check.exempt.lasting
    return {
        **{name: getattr(check, name) for name in (*MINUTES, "reduction")},
        "assessed_by": check.reading,
        "therapy": check.therapy,
        "stopped": check.stopped,
        "devices": [list(alike) for alike in check.devices],
        "reading": check.reading,
        "readable": list(check.readable),
        "unobtainable": list(check.unobtainable),
        "bands": [{"cohort": one.cohort, "ceiling": one.ceiling, "exclude": one.exclude} for one in check.bands],
        "after_return": check.exempt.resuscitation.after_return,
        "before_placing": around.before,
        "after_placing": around.after,
        "nebulizer_lasts": lasting.minutes,
    }


def members(_: rules.Edition, check: Any) -> dict[str, Any]:
    """Return the concepts of `companion` for members."""
    return {
        "assessed_by": check.needed,
        "anchor": check.anchor,
        "needed": check.needed,
        "is_face_item": bool(check.instead),
        "accepted": list(check.accepts),
        "unclear": list(check.unclear),
        "face_coverings": list(check.instead),
        "lists": list(check.lists),
        "drives": check.drives,
        "cares": check.cares,
    }


def episodes(_: rules.Edition, check: Any) -> dict[str, Any]:
    """Return the concepts of `companion` for episodes."""
    return {
        "assessed_by": check.needed,
        "anchor": check.anchor,
        "needed": check.needed,
        "episode_gap": check.episode_gap,
    }


def attempts(edition: rules.Edition, check: Any) -> dict[str, Any]:
    """Return the concepts and numbers of `attempts`."""
    transfers = edition.concepts[check.not_expected_in].items
    return {
        "assessed_by": check.procedure,
        "procedure": check.procedure,
        "only_without_it": check.only_without_it,
        "reopened_by": list(check.reopened_by),
        "failed_effort": check.failed_effort,
        "confirmed": check.confirmed,
        "transfer_services": [code for codes in transfers.values() for code in codes],
        "at_most": check.at_most,
        "double_entry": check.double_entry_minutes,
    }


def settings_of(settings: Settings) -> model.Settings:
    """Return the part of the agency's settings that the oracle knows."""
    custom = {
        name: model.Mapping(one.concept, None if one.value == "time" else dict(one.values))
        for name, one in settings.custom_elements.items()
    }
    return model.Settings(
        custom=custom,
        respirator_also=settings.respirator_also,
        intubation_also=settings.intubation_also,
        crew_list_from=settings.ppe_list_speaks_for.crew_from,
        lists_complete_from=settings.ppe_lists_complete_from,
        filter_on_cpap_from=settings.filter_on_cpap_from,
    )
