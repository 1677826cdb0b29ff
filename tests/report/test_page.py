"""The base of every page: escaped, self-contained, whole or untouched."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import jinja2
import pytest
from hypothesis import given
from hypothesis import strategies as some

from qa_audit.errors import DiskError
from qa_audit.report.page import environment, percent, render, write_page

NOON = datetime(2026, 1, 3, 18, 5, tzinfo=UTC)


def filtered(expression: str, **context: object) -> str:
    return environment().from_string("{{ " + expression + " }}").render(**context)


def test_what_comes_from_outside_is_escaped() -> None:
    assert filtered("label", label='<b>وحدة "7"</b>') == "&lt;b&gt;وحدة &#34;7&#34;&lt;/b&gt;"


def test_a_name_that_a_template_was_not_given_is_our_bug() -> None:
    with pytest.raises(jinja2.UndefinedError):
        filtered("nothing_of_the_kind")


def test_a_page_says_what_the_screen_is_not_and_loads_nothing() -> None:
    page = render("index.html.j2", agency="", months=[], answers=[])
    assert "never replaces, clinical judgement, local protocol, the medical director and the law" in page
    assert "limited data set" in page
    assert not [word for word in ("<script", "<link", "http:", "https:", "url(", "@import") if word in page]


@pytest.mark.parametrize(
    ("share", "judged", "words"),
    [
        (0, 9, "0 %"),
        (1, 9, "100 %"),
        (0.125, 8, "13 %"),
        (299 / 300, 300, "99.6 %"),
        (1 / 300, 300, "0.4 %"),
        (0.5, 1000, "50.0 %"),
    ],
)
def test_a_share_is_whole_percent(share: float, judged: int, words: str) -> None:
    assert percent(share, judged).replace("\N{NO-BREAK SPACE}", " ") == words


@given(some.integers(1, 100_000), some.data())
def test_only_none_and_all_read_as_0_and_100_percent(judged: int, data: some.DataObject) -> None:
    met = data.draw(some.integers(0, judged))
    words = percent(met / judged)
    assert (words.split("\N{NO-BREAK SPACE}")[0] in ("0", "0.0")) == (met == 0)
    assert words.startswith("100") == (met == judged)


def test_an_instant_is_shown_in_the_services_zone_else_at_the_reports_offset() -> None:
    assert filtered("moment | clock('America/Chicago')", moment=NOON) == "12:05"
    assert filtered("moment | clock(none, -300)", moment=NOON) == "13:05"
    assert filtered("moment | day_and_clock('America/Chicago')", moment=NOON) == "3 January 2026, 12:05"
    assert filtered("when | day", when=date(2026, 1, 3)) == "3 January 2026"


def test_a_page_that_says_the_same_is_left_untouched(tmp_path: Path) -> None:
    path = tmp_path / "folder" / "page.html"
    assert write_page(path, "one")
    before = path.stat().st_mtime_ns
    assert not write_page(path, "one")
    assert path.stat().st_mtime_ns == before
    assert write_page(path, "two")
    assert [each.name for each in path.parent.iterdir()] == ["page.html"]


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(DiskError, match=r"page\.html: the page cannot be written \(.+\); make room or check"):
        write_page(tmp_path / "file" / "page.html", "one")
