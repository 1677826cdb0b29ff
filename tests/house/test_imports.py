"""The import contracts of pyproject.toml hold, and --help imports nothing heavy."""

from __future__ import annotations

import subprocess
import sys

from charting import ROOT

HEAVY = ("polars", "pydantic", "great_expectations", "lxml", "jinja2", "pandas", "rich", "yaml")


def test_imports_run_one_way() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as lint; lint()", "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys; sys.argv = ['qa-audit', '--help']\n"
        "from qa_audit.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        f"print([name for name in {HEAVY} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_help_lists_the_commands_in_the_order_of_the_work() -> None:
    code = "import sys; sys.argv = ['qa-audit', '--help']\nfrom qa_audit.cli import main\nmain()"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    listed = done.stdout.partition("Commands:")[2]
    names = ["run", "held-back", "rules", "find"]
    places = [listed.index(f"\n  {name} ") for name in names]
    assert places == sorted(places)
    assert "never replaces, clinical judgement" in " ".join(done.stdout.split())
