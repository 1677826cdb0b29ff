"""A small EMSDataSet document for tests: one crew, oxygen, a bag; only what ingest reads."""

from __future__ import annotations

from uuid import NAMESPACE_OID, uuid5

HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<EMSDataSet xmlns="http://www.nemsis.org" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
    'xsi:schemaLocation="http://www.nemsis.org https://nemsis.org/3.5.1.250403CP1/XSDs/EMSDataSet_v3.xsd">\n'
    "<Header><DemographicGroup><dAgency.01>A1</dAgency.01><dAgency.02>900</dAgency.02>"
    "<dAgency.04>12</dAgency.04></DemographicGroup>\n"
)
TAIL = "</Header></EMSDataSet>\n"


def report(number: int, *, day: str = "2026-01-10", narrative: str = "", extra: str = "") -> str:
    """Return one report: oxygen at 10:00, two readings, a bag at 10:05, one crew member with a respirator."""

    def at(clock: str) -> str:
        return f"{day}T{clock}:00-06:00"

    told = f"<eNarrative><eNarrative.01>{narrative}</eNarrative.01></eNarrative>" if narrative else ""
    readings = "".join(
        f"<eVitals.VitalGroup><eVitals.01>{at(clock)}</eVitals.01><eVitals.02>9923001</eVitals.02>"
        f"<eVitals.12>{value}</eVitals.12></eVitals.VitalGroup>"
        for clock, value in (("10:10", 95), ("10:20", 96))
    )
    return (
        f'<PatientCareReport UUID="{uuid5(NAMESPACE_OID, str(number))}">'
        f"<eRecord><eRecord.01>chart-{number:05d}</eRecord.01></eRecord>"
        f"<eResponse><eResponse.03>call-{number:05d}</eResponse.03><eResponse.05>2205001</eResponse.05>"
        "<eResponse.14>Medic 1</eResponse.14></eResponse>"
        "<eCrew><eCrew.CrewGroup><eCrew.01>crew-one</eCrew.01><eCrew.03>2403011</eCrew.03></eCrew.CrewGroup></eCrew>"
        f"<eTimes><eTimes.03>{at('09:40')}</eTimes.03><eTimes.07>{at('09:55')}</eTimes.07>"
        f"<eTimes.09>{at('10:20')}</eTimes.09><eTimes.11>{at('10:40')}</eTimes.11></eTimes>"
        f"{extra}{told}<eVitals>{readings}</eVitals>"
        f"<eMedications><eMedications.MedicationGroup><eMedications.01>{at('10:00')}</eMedications.01>"
        "<eMedications.02>9923001</eMedications.02><eMedications.03>7806</eMedications.03>"
        "<eMedications.04>9927025</eMedications.04><eMedications.DosageGroup><eMedications.05>2</eMedications.05>"
        "<eMedications.06>3706035</eMedications.06></eMedications.DosageGroup></eMedications.MedicationGroup></eMedications>"
        f"<eProcedures><eProcedures.ProcedureGroup><eProcedures.01>{at('10:05')}</eProcedures.01>"
        "<eProcedures.02>9923001</eProcedures.02><eProcedures.03>425447009</eProcedures.03>"
        "</eProcedures.ProcedureGroup></eProcedures>"
        "<eDisposition><eDisposition.27>4227001</eDisposition.27><eDisposition.28>4228001</eDisposition.28>"
        "<eDisposition.30>4230001</eDisposition.30></eDisposition>"
        "<eOther><eOther.EMSCrewMemberGroup><eOther.03>4503015</eOther.03><eOther.04>crew-one</eOther.04>"
        "</eOther.EMSCrewMemberGroup></eOther></PatientCareReport>\n"
    )


def document(*reports: str) -> str:
    """Return a whole file of reports."""
    return HEAD + "".join(reports) + TAIL
