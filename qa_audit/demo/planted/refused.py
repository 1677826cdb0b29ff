"""The case that must never be read: a test writes it to a folder of its own, and no sample month holds it."""

from __future__ import annotations

from qa_audit.demo import complaints
from qa_audit.demo.call import Call
from qa_audit.demo.case import Case
from qa_audit.demo.service import local


def narrative_with_a_phone_number() -> Case:
    """Return a fall with an identifier in its narrative; the number is one of those kept free for fiction."""
    call = Call("a phone number in a narrative", "Ostrel 3", local(2026, 1, 20, 9, 0), complaints.FALL)
    call.narrative = "Daughter asks to be called back at 202-555-0143."
    call.reads({0: 97})
    return call.case()
