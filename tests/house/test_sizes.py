"""Files and functions stay readable; the limits are the project's own (DEVELOPERS.md), common practice, no source."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from charting import ROOT

FILES = sorted((ROOT / "qa_audit").rglob("*.py"))
LINES_OF_A_FILE = 300
LINES_OF_A_FUNCTION = 45


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_file_holds_one_idea(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LINES_OF_A_FILE


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_function_fits_a_screen(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    too_long = {node.name: length for node in functions if (length := body_lines(node)) > LINES_OF_A_FUNCTION}
    assert too_long == {}


def body_lines(function: ast.FunctionDef) -> int:
    """Lines of a function without its docstring."""
    first = function.body[0]
    documented = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    docstring = (first.end_lineno or 0) - first.lineno + 1 if documented else 0
    return (function.end_lineno or 0) - function.lineno + 1 - docstring
