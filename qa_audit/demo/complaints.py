"""What invented calls are for: dispatch, symptom, impression, history and protocol that belong together."""

from __future__ import annotations

from typing import Final

from qa_audit.demo.case import Complaint

PULMONARY, HEART, NERVES, GLANDS, GUT, GENERAL, BONES = (
    "2808019",
    "2808003",
    "2808005",
    "2808007",
    "2808009",
    "2808011",
    "2808015",
)
CRITICAL, LOWER = "2813001", "2813005"
BREATHING_PROTOCOL, INFLUENZA_PROTOCOL = "9914139", "9914129"

INFLUENZA: Final = Complaint("2301013", "R50.9", "J11", PULMONARY, protocol=INFLUENZA_PROTOCOL)
PNEUMONIA: Final = Complaint("2301013", "R06.02", "J18.9", PULMONARY, protocol=BREATHING_PROTOCOL)
OBSTRUCTIVE: Final = Complaint("2301013", "R06.02", "J44.1", PULMONARY, history=("J44.9",), protocol=BREATHING_PROTOCOL)
ASTHMA: Final = Complaint("2301013", "R06.2", "J45", PULMONARY, history=("J45",), protocol=BREATHING_PROTOCOL)
ASTHMA_WITH_INFLUENZA: Final = Complaint(
    "2301013", "R06.2", "J45", PULMONARY, also=("J11",), protocol=BREATHING_PROTOCOL
)
HEART_FAILURE: Final = Complaint("2301013", "R06.02", "I50.9", HEART, protocol="9914137")
CHEST_PAIN: Final = Complaint("2301021", "R07.9", "I20.9", HEART)
ARREST: Final = Complaint("2301019", "R09.2", "I46.9", HEART, protocol="9914055", acuity=CRITICAL)
RESPIRATORY_FAILURE: Final = Complaint("2301077", "R09.2", "J96.9", PULMONARY, protocol="9914001", acuity=CRITICAL)
OVERDOSE: Final = Complaint("2301053", "R06.89", "T40.2", NERVES, protocol="9914001", acuity=CRITICAL)
CARBON_MONOXIDE: Final = Complaint("2301017", "R51", "T58", GENERAL, protocol="9914167")
ANAPHYLAXIS: Final = Complaint("2301003", "R06.02", "T78.2", GENERAL, protocol="9914111", acuity=CRITICAL)
TRANSFER: Final = Complaint("2301071", "R06.89", "J96.9", PULMONARY, acuity=CRITICAL)
SEIZURE: Final = Complaint("2301025", "R56.9", "R56.9", NERVES)
STROKE: Final = Complaint("2301067", "R47.81", "I63.9", NERVES)
LOW_SUGAR: Final = Complaint("2301027", "R41.82", "E16.2", GLANDS, history=("E11.9",))
BELLY_PAIN: Final = Complaint("2301001", "R10.9", "R10.9", GUT, acuity=LOWER)
FALL: Final = Complaint("2301033", "M25.5", "S72.0", BONES, acuity=LOWER)
FAINTING: Final = Complaint("2301077", "R55", "R55", GENERAL, acuity=LOWER)
SEPSIS: Final = Complaint("2301061", "R50.9", "A41.9", GENERAL)
UNKNOWN: Final = Complaint("2301079", "R69", "R69", GENERAL, acuity=LOWER)
