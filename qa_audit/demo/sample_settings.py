"""The settings file of the sample months, commented for people."""

from __future__ import annotations

from qa_audit.demo.pseudonyms import pseudonym
from qa_audit.demo.service import AGENCY, FILTER, FILTER_IN_LINE, NAME, NO_FILTER, OXYGEN_OFF, TIME_ZONE, VEHICLES

KEY_FILE_NAME = "demo.key"

_TEXT = """\
# Settings of an invented service. Nothing and nobody here is real; airway calls are far more frequent than anywhere.

agency:
  name: {name}
  number: {number}          # compared with the files: reports of another agency are held back

time_zone: {time_zone}   # turns the hour at which guidance changes into one instant
ruleset: respiratory-precautions
recipient: ems_unit         # a letter goes to each vehicle

# What pages call the vehicles: files hold call signs, this program only pseudonyms of them.
labels:
{labels}

key_file: {key_file}          # invented, published, and good for nothing but these samples

# Without a statement no letter is written. A real one is the agency's own, agreed with its counsel.
peer_review:
  statement: >-
    Invented statement of an invented service: this letter belongs to the quality review of {name}.
    It is written to learn from.
  committee: Quality review group of {name}
  reply_to: the quality desk at any of the three stations
  reply_within_days: 30

narrative: keep

# The standard has no field for either; both are defined by the service and explained here.
custom_elements:
  {filter}: {{concept: viral_filter, values: {{"{in_line}": present, "{not_in_line}": negated}}}}
  {oxygen_off}: {{concept: oxygen_stopped, value: time}}

# From which day one equipment list speaks for the whole crew; empty: each member's own list counts.
ppe_list_speaks_for: {{crew_from: null}}
# From which day an item that is missing from a recorded list was not worn; empty: a list may be incomplete.
ppe_lists_complete_from: null
# From which day the CPAP circuit takes a filter; empty: it has none, and nobody is asked.
filter_on_cpap_from: null

gate: {{stop_above_share: 0.2}}   # more held back than this, and the month is not fit to audit
"""


def settings_text() -> str:
    """Return the file's text; labels in the order of the vehicles."""
    labels = "\n".join(f"  {pseudonym('U', vehicle)}: {vehicle}" for vehicle in VEHICLES)
    return _TEXT.format(
        name=NAME,
        number=AGENCY.number,
        time_zone=TIME_ZONE,
        labels=labels,
        key_file=KEY_FILE_NAME,
        filter=FILTER,
        in_line=FILTER_IN_LINE,
        not_in_line=NO_FILTER,
        oxygen_off=OXYGEN_OFF,
    )
