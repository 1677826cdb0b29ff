"""How long reading takes beside a bare parse of the same file, and how much memory; run by hand.

    python tests/benchmarks/ingest.py [MEGABYTES] [ROUNDS]

Bodies are the official samples when they lie at ../shared, else the sample reports, each with a UUID of its own.
Every figure comes from a process of its own; use the ratio.
"""

from __future__ import annotations

import json
import re
import resource
import subprocess
import sys
import tempfile
import time
import uuid
from pathlib import Path
from statistics import median

REPOSITORY = Path(__file__).parents[2]
OFFICIAL = REPOSITORY.parent / "shared" / "reference" / "nemsis" / "samples"
OPENING = (
    '<EMSDataSet xmlns="http://www.nemsis.org" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><Header><DemographicGroup>'
    "<dAgency.01>A</dAgency.01><dAgency.02>1</dAgency.02><dAgency.04>49</dAgency.04></DemographicGroup>"
)
REPORT = re.compile(r"<PatientCareReport.*?</PatientCareReport>", re.DOTALL)
UUID = re.compile(r'UUID="[^"]*"')


def grow(file: Path, megabytes: int) -> int:
    """Write a file of about that size and return how many reports it holds."""
    folder = OFFICIAL if OFFICIAL.is_dir() else REPOSITORY / "sample_reports"
    bodies = [
        body for path in sorted(folder.rglob("*.xml")) for body in REPORT.findall(path.read_text(encoding="utf-8"))
    ]
    written = reports = 0
    with file.open("w", encoding="utf-8") as opened:
        opened.write(OPENING)
        while written < megabytes << 20:
            name = uuid.uuid5(uuid.NAMESPACE_OID, str(reports))
            written += opened.write(UUID.sub(f'UUID="{name}"', bodies[reports % len(bodies)], count=1) + "\n")
            reports += 1
        opened.write("</Header></EMSDataSet>")
    return reports


def bare(file: Path) -> None:
    """Parse with one process and extract nothing: what every figure is compared with."""
    from lxml import etree  # noqa: PLC0415 - each process loads only what it measures

    for _, report in etree.iterparse(str(file), events=("end",), tag="{http://www.nemsis.org}PatientCareReport"):
        report.clear()


def whole(file: Path, workers: int) -> None:
    """Read into stored parts."""
    from qa_audit import ingest  # noqa: PLC0415 - as above
    from qa_audit.settings import Settings  # noqa: PLC0415

    with tempfile.TemporaryDirectory() as scratch:
        ingest.read(
            [file],
            key=ingest.Key(b"x" * 32),
            settings=Settings(),
            scratch=Path(scratch),
            de_identify=True,
            workers=workers,
        )


def one(what: str, file: Path) -> None:
    """Measure one thing and print it."""
    begun = time.perf_counter()
    if what == "bare":
        bare(file)
    else:
        whole(file, int(what))
    seconds = time.perf_counter() - begun
    own, child = (resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print(json.dumps({"seconds": seconds, "own": own, "child": child}))


def main() -> None:
    """Grow a file, measure each way in turn, print medians."""
    megabytes, rounds = (int(given) for given in (*sys.argv[1:3], *("60", "3")[len(sys.argv) - 1 :]))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "grown.xml"
        reports = grow(file, megabytes)
        print(f"{reports} reports, {file.stat().st_size / 1e6:.0f} MB")
        found: dict[str, list[dict[str, float]]] = {"bare": [], "1": [], "2": []}
        for _ in range(rounds):
            for what, figures in found.items():
                run = subprocess.run(
                    [sys.executable, __file__, "--one", what, str(file)], check=True, capture_output=True, text=True
                )
                figures.append(json.loads(run.stdout))
    floor = median(each["seconds"] for each in found["bare"])
    for what, figures in found.items():
        seconds = median(each["seconds"] for each in figures)
        own, child = (max(each[who] for each in figures) for who in ("own", "child"))
        name = what if what == "bare" else f"{what} process(es)"
        print(
            f"{name:14} {seconds:6.2f} s  {seconds / floor:5.2f} x bare  {reports / seconds:8.0f} reports/s"
            f"  peak {own:.0f} MB, largest child {child:.0f} MB"
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], Path(sys.argv[3]))
    else:
        main()
