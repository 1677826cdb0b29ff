from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from gate.building import report, saturation

from qa_audit.gate import warm_up

ROOT = Path(__file__).parents[2]


def python(program: str) -> str:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = subprocess.run([sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=True)
    return run.stdout.strip()


def test_the_gate_imports_the_library_only_when_it_is_warmed_up_or_needed() -> None:
    program = "import sys, qa_audit.gate as gate; cold = 'great_expectations' in sys.modules; gate.warm_up().join();"
    assert python(program + "print(cold, 'great_expectations.expectations' in sys.modules)") == "False True"


def test_an_empty_batch_does_not_import_the_library() -> None:
    program = (
        "import sys; sys.path.insert(0, 'tests'); from gate.building import CONCEPTS, batch;"
        "from qa_audit.gate import admit; from qa_audit.settings import Settings;"
        "admit(batch(), Settings(), concepts=CONCEPTS); print('great_expectations' in sys.modules)"
    )
    environment_root = f"import os; os.chdir({str(ROOT)!r});"
    assert python(environment_root + program) == "False"


def test_a_warm_up_never_raises(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(name: str) -> None:
        raise ImportError(name)

    complaints: list[object] = []
    monkeypatch.setattr("threading.excepthook", complaints.append)
    monkeypatch.setattr("importlib.import_module", broken)
    warm_up().join()

    assert complaints == []


def test_judging_waits_for_a_warm_up_that_runs(failed: Callable[..., dict[str, list[int]]]) -> None:
    warm_up()

    assert failed(report(saturation(40))) == {"saturation_not_too_low": [1]}
