"""Planted cases of respirators and of the viral filter. Minutes count from the first procedure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Arrest, Complaint
from qa_audit.demo.planted.row import FILTER, FILTERED, LEAD, OXYGEN, PARTNER, RESPIRATOR, Planted, Row, protected
from qa_audit.demo.service import local
from qa_audit.demo.vocabulary import SUPRAGLOTTIC_OTHER, Act, Drug, Negative, Route, Service, Unit, Wear

NO_FILTER_ASKED = Row(
    FILTER, None, "No bag, tube, ventilator or placement: a CPAP circuit opens no filter episode here."
)


def cases() -> Iterator[Planted]:
    """Yield the planted cases."""
    yield _surgical_masks_at_a_supraglottic()
    yield _gloves_alone()
    yield _mask_beside_other()
    yield _driver_in_transport()
    yield _charted_once_by_the_lead()
    yield _one_list_for_all()
    yield _cpap_refused()
    yield _cpap_without_a_filter()
    yield _filter_six_minutes_after_the_bag()
    yield _no_filter()
    yield _filter_not_charted()
    yield _arrest()
    yield _met_on_a_ventilator()


def _call(name: str, vehicle: str, start: datetime, complaint: Complaint = complaints.OVERDOSE) -> Call:
    return Call(name, vehicle, start, complaint)


def _both(outcome: str, working: str, reason: str | None = None) -> tuple[Row, Row]:
    return (
        Row(RESPIRATOR, outcome, working, reason, member=LEAD),
        Row(RESPIRATOR, outcome, working, reason, member=PARTNER),
    )


def _surgical_masks_at_a_supraglottic() -> Planted:
    call = _call("surgical masks only at a supraglottic", "Ostrel 6", local(2026, 1, 13, 2, 15))
    call.does(0, Act.BAG_VALVE_MASK, tie="bag-1")
    call.does(4, Act.SUPRAGLOTTIC, tie="airway-1")
    call.confirms(5, SUPRAGLOTTIC_OTHER, "4004019", of="airway-1")
    call.filter_charted("bag-1")
    for member in call.crew:
        call.wears(member, Wear.GLOVES, Wear.SURGICAL_MASK)
    call.reads({-4: 80, 8: 94, 20: 96})
    rows = _both("not_met", "Another face covering stands on the member's own list, and no respirator.")
    return Planted(call.name, call.case(), (*rows, FILTERED))


def _gloves_alone() -> Planted:
    call = _call("gloves alone", "Ostrel 11", local(2026, 1, 16, 18, 30), complaints.HEART_FAILURE)
    call.does(0, Act.CPAP)
    for member in call.crew:
        call.wears(member, Wear.GLOVES)
    call.reads({-4: 86, 10: 93, 25: 95})
    rows = _both("cannot_tell", "The list names no face item, and lists are not declared complete.", "list_incomplete")
    return Planted(call.name, call.case(), (*rows, NO_FILTER_ASKED))


def _mask_beside_other() -> Planted:
    call = _call(
        "a surgical mask beside an item named other", "Ostrel 13", local(2026, 3, 3, 7, 5), complaints.HEART_FAILURE
    )
    call.does(0, Act.CPAP)
    for member in call.crew:
        call.wears(member, Wear.SURGICAL_MASK, Wear.OTHER)
    call.reads({-4: 87, 10: 94})
    rows = _both("cannot_tell", "`Other` may be the respirator, also beside a surgical mask.", "list_incomplete")
    return Planted(call.name, call.case(), (*rows, NO_FILTER_ASKED))


def _driver_in_transport() -> Planted:
    name = "a driver during an aerosol procedure in transport"
    call = _call(name, "Ostrel 1", local(2026, 1, 22, 20, 40), complaints.ASTHMA)
    call.gives(20, Drug.ALBUTEROL_IPRATROPIUM, Route.NEBULIZER, ("3", Unit.MILLIGRAMS))
    call.wears(call.lead, Wear.GLOVES, Wear.RESPIRATOR)
    call.reads({0: 93, 25: 95})
    rows = (
        *protected(LEAD),
        Row(
            RESPIRATOR,
            "excluded",
            "Drives; minute 20 lies between leaving (15) and arrival (40).",
            "not_present",
            member=PARTNER,
        ),
    )
    return Planted(call.name, call.case(), rows)


def _charted_once_by_the_lead() -> Planted:
    call = _call("equipment charted once by the lead", "Ostrel 3", local(2026, 1, 26, 5, 50), complaints.HEART_FAILURE)
    call.does(0, Act.CPAP)
    call.wears(call.lead, Wear.GLOVES, Wear.RESPIRATOR)
    call.reads({-4: 84, 10: 93, 22: 95})
    silent = "The only list names the lead, and no setting lets it speak for the crew."
    rows = (*protected(LEAD), Row(RESPIRATOR, "cannot_tell", silent, "not_documented", member=PARTNER))
    return Planted(call.name, call.case(), (*rows, NO_FILTER_ASKED))


def _one_list_for_all() -> Planted:
    call = _call(
        "one equipment list that names nobody", "Ostrel 6", local(2026, 2, 10, 15, 25), complaints.HEART_FAILURE
    )
    call.does(0, Act.CPAP)
    call.wears(None, Wear.GLOVES, Wear.RESPIRATOR)
    call.reads({-4: 85, 12: 92})
    rows = _both("met", "The report's only list has no id and satisfies: it speaks for all.")
    return Planted(call.name, call.case(), (*rows, NO_FILTER_ASKED))


def _cpap_refused() -> Planted:
    call = _call("CPAP offered and refused", "Ostrel 8", local(2026, 2, 11, 23, 10), complaints.HEART_FAILURE)
    call.does(0, Act.CPAP, negative=Negative.REFUSED)
    call.reads({-4: 88, 12: 90})
    row = Row(RESPIRATOR, None, "A procedure that was refused is documented as not done and opens nothing.")
    return Planted(call.name, call.case(), (row, NO_FILTER_ASKED))


def _cpap_without_a_filter() -> Planted:
    call = _call("CPAP without a filter", "Ostrel 11", local(2026, 2, 13, 10, 20), complaints.HEART_FAILURE)
    call.does(0, Act.CPAP, tie="cpap-1")
    call.filter_charted("cpap-1", in_line=False)
    call.all_protected()
    call.reads({-4: 83, 10: 92, 24: 94})
    return Planted(call.name, call.case(), (*protected(), NO_FILTER_ASKED))


def _filter_six_minutes_after_the_bag() -> Planted:
    call = _call("a filter charted six minutes after the bag", "Ostrel 1", local(2026, 2, 16, 3, 35))
    call.does(0, Act.BAG_VALVE_MASK)
    call.does(6, Act.BAG_VALVE_MASK, call.partner, tie="bag-2")
    call.filter_charted("bag-2")
    call.all_protected()
    call.reads({-4: 78, 6: 93, 18: 96})
    row = Row(FILTER, "met", "Both bag entries are one episode (gap 6 of 15 min); the field is tied to the second.")
    return Planted(call.name, call.case(), (*protected(), row))


def _no_filter() -> Planted:
    call = _call("no filter on the bag", "Ostrel 13", local(2026, 2, 20, 21, 5))
    call.does(0, Act.BAG_VALVE_MASK, tie="bag-1")
    call.filter_charted("bag-1", in_line=False)
    call.all_protected()
    call.reads({-4: 81, 9: 95})
    row = Row(
        FILTER, "not_met", "The field tied to the bag says that no filter was in line, and nothing says otherwise."
    )
    return Planted(call.name, call.case(), (*protected(), row))


def _filter_not_charted() -> Planted:
    call = _call("filter not charted", "Ostrel 3", local(2026, 3, 10, 16, 15))
    call.does(0, Act.BAG_VALVE_MASK)
    call.all_protected()
    call.reads({-4: 79, 9: 94})
    row = Row(FILTER, "cannot_tell", "An episode without a word on the filter.", "not_documented")
    return Planted(call.name, call.case(), (*protected(), row))


def _arrest() -> Planted:
    call = _call("oxygen during a resuscitation", "Ostrel 6", local(2026, 3, 12, 6, 55), complaints.ARREST)
    call.arrest = Arrest(
        when="3001003",
        attempted=("3003003", "3003005"),
        methods=("3009001", "3009013"),
        at=call.at(-6),
        outcome="3018005",
        first_rhythm="3011005",
    )
    call.does(0, Act.COMPRESSIONS)
    call.oxygen(2, Route.BAG, 15, tie="oxygen-1")
    call.filter_charted("oxygen-1")
    call.all_protected()
    call.reads({12: 100, 25: 100})
    exempt = (
        "Circulation did not return: exempt from the arrest to the end, nothing is judged; the therapy is not short."
    )
    oxygen = Row(OXYGEN, "excluded", exempt, "exempt")
    return Planted(call.name, call.case(), (oxygen, *protected(), FILTERED))


def _met_on_a_ventilator() -> Planted:
    call = _call("a patient met on a ventilator", "Ostrel 8", local(2026, 3, 17, 13, 0), complaints.TRANSFER)
    call.service = Service.BETWEEN_HOSPITALS
    call.does(0, Act.VENTILATOR, tie="ventilator-1")
    call.filter_charted("ventilator-1")
    call.reads({2: 97, 15: 97, 30: 98})
    closed = Row(RESPIRATOR, None, "A closed circuit: this crew placed no airway and used no bag.")
    return Planted(call.name, call.case(), (closed, FILTERED))
