"""The plain words that pages and letters use for outcomes, reasons, checks and dates; no page writes its own."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from qa_audit.rules import Concept, Rule

OUTCOME_NAMES = {
    "met": "As the guidance asks",
    "not_met": "Care finding",
    "cannot_tell": "Cannot be told",
    "excepted": "A documented reason",
    "excluded": "Not judged",
}
CHARTING_GAP = "Charting gap"
SILENT = "not_documented"

REASONS = {
    "not_documented": "The report does not say.",
    "time_missing": "A time that decides is not charted.",
    "time_precision": "The charted minutes lie too close together to say which came first.",
    "too_few_readings": "Too few readings are charted to say.",
    "therapy_end_unknown": "The report does not say when the treatment ended; what follows is only assumed.",
    "list_incomplete": "A list is charted that does not say what was used for this.",
    "chart_conflict": "Entries in the report contradict each other.",
    "no_edition": "No edition of the guidance that asks this was in force.",
    "not_assessable": "The records of this service have no field for it.",
    "too_short_to_judge": "The treatment was too short to judge.",
    "exempt": "All of it lies in a situation that the guidance sets apart.",
    "reading_unobtainable": "A reading was tried and could not be obtained.",
    "not_present": "The crew member is charted as driving while it was done.",
}
EXCEPTION_REASONS = {
    "medical": "A medical reason is charted.",
    "patient": "The patient's own wish is charted.",
    "system": "A reason outside the crew's reach is charted.",
}

STRENGTHS = {
    "must": "must: the guidance requires it",
    "should": "should: the guidance recommends it",
    "may": "may: advice without consensus",
}
SEVERITIES = {"safety": "safety", "quality": "quality of care", "record": "record keeping"}
ANSWERABLE_BY = {"crew": "the crew", "system": "the service (equipment, stock, training, records)"}

HELD_BACK = {
    "unreadable": "The report or its file cannot be read.",
    "not_emsdataset": "The file is not a set of patient-care reports in the open standard.",
    "version_not_supported": "The file is written in a version of the standard that is not read here.",
    "identifiers_refused": "The file names a person or holds another identifier; nothing of it was kept.",
    "no_uuid": "The report has no identifier of its own, so it cannot be told from another.",
    "no_unit_notified": "The report does not say when the unit was notified, so it has no date.",
    "superseded": "The same report was read again later; the later one counts.",
    "outside_month": "The report belongs to another month than the one asked for.",
    "other_agency": "The report belongs to another agency.",
}
VERDICTS = {
    "hold_back": "the report is held back",
    "strip": "the value is left out and listed",
    "warn": "it is noted, nothing is changed",
}
REMARKS = {
    "unknown_code": "A code that the standard does not know was left out.",
    "not_a_number": "A value that is no number was left out.",
    "not_a_time": "A time that cannot be read was left out.",
    "value_beside_nil": "A value stands beside a statement that there is none.",
    "code_type_contradicts": "A code and its stated code system contradict each other; the code was kept.",
    "offset_unknown": "A time does not say its distance from universal time; it was read as universal time.",
    "performer_not_on_crew_list": "The one named is not on the crew list; the entry was set aside as others' work.",
    "ownership_unknown": "The report does not say whether this crew did it; it counts against nobody.",
    "tie_to_nothing": "An entry of the service's own field is tied to nothing and speaks for nothing.",
    "identifier_dropped": "An identifier was dropped while reading.",
    "unit_missing": "A measurement of exhaled carbon dioxide names no unit, so its value is of unknown size.",
    "diagnosis_respelled": "A diagnosis code without its dot, or in lower case, was read as the dotted code.",
    "impossible_value": "A value that cannot be was left out.",
    "unknown_tube_code": "A confirmed tube is tied to a procedure whose code no concept names as an intubation.",
    "text_dropped": "A free text that held an identifier was dropped whole.",
}

OXIMETER_NOTE = (
    "An oximeter may be several points off: a reading of 90 can stand for a true value of 86 to 94 "
    "(US Food and Drug Administration, 2021). Read the course, not the single figure."
)
"""Source: FDA safety communication on pulse oximeters, February 2021 (a reading of 90 may be 86 to 94)."""
AMEND_ONLY_IF_WRONG = (
    "Amend a report only if it is wrong, by the usual late-entry procedure, never because of this letter."
)
LIMITED_DATA_SET = (
    "Dates and times are kept as they were charted, so this is a limited data set and is still to be protected."
)


def outcome_name(outcome: str, reason: str | None) -> str:
    """Return what pages call an outcome; a cannot-tell for silence is a charting gap, never a care finding."""
    return CHARTING_GAP if (outcome, reason) == ("cannot_tell", SILENT) else OUTCOME_NAMES[outcome]


def reason_sentence(reason: str, concepts: Mapping[str, Concept]) -> str:
    """Return a reason as a sentence; a cohort's name is explained by the edition's own words."""
    if reason in REASONS:
        return REASONS[reason]
    if reason in concepts:
        return f"Set apart by the guidance: {concepts[reason].sentence}"
    kind, _, name = reason.partition(":")
    return f"{EXCEPTION_REASONS.get(kind, 'A reason is charted.')} ({spaced(name)})" if name else f"{spaced(reason)}."


def feedback(rule: Rule, outcome: str, reason: str | None, amount: float | None) -> str:
    """Return what a letter says of an outcome: the rule's own words, else the general sentence for the reason."""
    said = rule.feedback
    if outcome in ("met", "not_met"):
        sentence = said.met if outcome == "met" else said.not_met
    elif reason == SILENT:
        sentence = said.not_documented
    else:
        sentence = said.cannot_tell.get(reason or "", REASONS.get(reason or "", REASONS[SILENT]))
    return sentence.replace("{amount}", "some" if amount is None else number(amount))


def number(value: float) -> str:
    """Return a number without needless decimals: 20, 19.5."""
    return f"{value:.1f}".removesuffix(".0")


def counted(many: int, one: str, more: str | None = None) -> str:
    """Return `1 call`, `3 calls`."""
    return f"{many} {one if many == 1 else more or one + 's'}"


def spaced(word: str) -> str:
    """Return an id as words: `too_short` and `too-short` become `too short`."""
    return word.replace("_", " ").replace("-", " ")


def capital(words: str) -> str:
    """Return the words with a capital at the head."""
    return words[:1].upper() + words[1:]


def joined(parts: list[str]) -> str:
    """Return `a`, `a and b`, `a, b and c`."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def local(moment: datetime, time_zone: str | None, offset_minutes: int | None) -> datetime:
    """Return an instant as the wall clock of the service's zone, else of the report's own offset."""
    if time_zone:
        return moment.astimezone(ZoneInfo(time_zone))
    return moment + timedelta(minutes=offset_minutes or 0)


def day(when: date) -> str:
    """Return a date in words: 3 January 2026."""
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def month_name(month: str) -> str:
    """Return `2026-01` as January 2026."""
    year, number_of_month = month.split("-")
    return f"{MONTHS[int(number_of_month) - 1]} {year}"


MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
"""Written out, since a page must not depend on the locale of the machine that renders it."""
