"""Names: clinical codes stand in concept files only, files and words are what the house says they are."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from charting import ROOT

PACKAGE = ROOT / "qa_audit"
CODES_ALLOWED = ("ingest", "demo")
"""The standard's own machinery, and the invented service that writes reports."""
CODE = re.compile(r"(?<![\w.-])\d{6,18}(?![\w-])|\b[A-TV-Z]\d\d\.\d|\bU07")
FORBIDDEN_MODULES = {"utils", "common", "helpers", "misc", "core"}


def strings(path: Path) -> list[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)]


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: str(path.relative_to(ROOT)))
def test_no_clinical_code_stands_in_python(path: Path) -> None:
    if path.relative_to(PACKAGE).parts[0] in CODES_ALLOWED:
        pytest.skip("the standard's own codes live here")
    tables_say = "tables" in path.parts  # column meanings name the standard's codes they stand for
    found = [] if tables_say else [text for text in strings(path) if CODE.search(text)]
    assert found == []


def test_no_module_is_a_drawer_for_everything() -> None:
    assert FORBIDDEN_MODULES.isdisjoint(path.stem for path in PACKAGE.rglob("*.py"))


def test_every_kind_of_check_is_in_the_register() -> None:
    from qa_audit.rules import kinds  # noqa: PLC0415 - the register under test

    registered = {kind.__module__.rpartition(".")[2] for kind in kinds.CheckKind.__subclasses__()}
    registered |= {
        kind.__module__.rpartition(".")[2]
        for middle in kinds.CheckKind.__subclasses__()
        for kind in middle.__subclasses__()
    }
    files = {path.stem for path in (PACKAGE / "rules/kinds").glob("*.py")} - {"__init__", "check"}
    assert files == registered
