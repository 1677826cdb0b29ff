"""A page as its reader has it: its text, its links, its tables."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.links: list[str] = []
        self.rows: list[list[str]] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._silent += tag == "style"
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th") and self.rows:
            self.rows[-1].append("")
        self.links += [value or "" for name, value in attrs if name in ("href", "src")]

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag == "style"

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.said.append(data)
            if self.rows and self.rows[-1]:
                self.rows[-1][-1] += data


def _read(path: Path) -> _Reader:
    reader = _Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    return reader


def text(path: Path) -> str:
    """Return everything a reader sees, in single spaces."""
    return re.sub(r"\s+", " ", " ".join(_read(path).said))


def links(path: Path) -> list[str]:
    return _read(path).links


def rows(path: Path) -> list[list[str]]:
    """Return the cells of every table row."""
    return [[re.sub(r"\s+", " ", cell).strip() for cell in row] for row in _read(path).rows]
