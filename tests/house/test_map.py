"""DEVELOPERS.md and README.md say what is there."""

from __future__ import annotations

import re

from charting import ROOT
from click import Group

from qa_audit.cli import whole_command


def test_the_map_names_every_package_and_module_of_the_top_level() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    shown = text.partition("qa_audit/\n")[2].partition("rulesets/<name>")[0]
    named = set(re.findall(r"^  ([a-z_]+(?:/|\.py))", shown, re.MULTILINE))
    package = ROOT / "qa_audit"
    there = {f"{path.name}/" for path in package.iterdir() if (path / "__init__.py").exists()}
    there |= {path.name for path in package.glob("*.py")} - {"__init__.py", "__main__.py"}
    assert named == there


def test_the_readme_names_every_command_and_every_exit_code() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    command = whole_command()
    for name, found in command.commands.items():
        names = [f"{name} {below}" for below in found.commands] if isinstance(found, Group) else [name]
        assert all(f"`qa-audit {one}" in text for one in names), names
    assert "Exit codes: 0 done" in text


def test_every_picture_of_the_readme_is_there() -> None:
    pictures = re.findall(r"!\[[^]]+]\(([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert len(pictures) == 6
    assert all((ROOT / picture).is_file() for picture in pictures)
