"""Letters as they are rendered. F-09 names the 15 suggestions of Brehaut et al., Ann Intern Med 2016;164:435."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from report.browser import axe_violations, chromium, overflows_at, pages_on_paper
from report.charted_month import UNIT_7, UNIT_9, charted_month, figures_of, ruleset, settings

from qa_audit.report import letters
from qa_audit.rules import Ruleset
from qa_audit.settings import Settings
from qa_audit.tables import Month

__all__ = ["chromium"]

BANNED = (
    *(
        "failed",
        "violated",
        "breach",
        "deficient",
        "non-compliant",
        "compliance",
        "score",
        "error",
        "unsafe",
        "refused",
    ),
    *("not met", "care gap", "you did not", "should have", "not worn", "negligent", "careless"),
)
"""Words that no letter says of a crew (design of the letter; F-09 suggestion 14)."""


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.hidden = False

    def handle_starttag(self, tag: str, attrs: Any) -> None:  # noqa: ARG002 - the parser calls it so
        self.hidden = tag == "style"

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.parts.append(data)


def text_of(html: str) -> str:
    parser = _Text()
    parser.feed(html)
    return re.sub(r" ([.,:;])", r"\1", " ".join(" ".join(parser.parts).split()))


@cache
def month(finding_calls: int = 1) -> Month:
    return charted_month(finding_calls=finding_calls)


def write(
    folder: Path,
    written: Month | None = None,
    figures: pl.DataFrame | None = None,
    chosen: Settings | None = None,
    rules: Ruleset | None = None,
) -> dict[str, str]:
    written = written or month()
    figures = figures_of(written) if figures is None else figures
    paths = letters.write(written, figures, rules or ruleset(), chosen or settings(), folder)
    return {path.stem: path.read_text(encoding="utf-8") for path in paths}


def letter(folder: Path, *arguments: Any, recipient: str = UNIT_7, **named: Any) -> str:
    return text_of(write(folder, *arguments, **named)[recipient])


def with_other_crews(figures: pl.DataFrame, times: int = 3) -> pl.DataFrame:
    mine = figures.filter(pl.col("recipient") == UNIT_7)
    others = [mine.with_columns(recipient=pl.lit(f"U-{number}")) for number in range(times)]
    service = figures.filter(pl.col("recipient").is_null()).with_columns(pl.col("met") + 20)
    return pl.concat([mine, service, *others])


def three_months() -> pl.DataFrame:
    return figures_of(*(replace(month(), month=name) for name in ("2025-11", "2025-12", "2026-01")))


def weakened(rule_id: str, **changes: Any) -> Ruleset:
    def edit(edition: Any) -> Any:
        return replace(edition, rules=edition.rules | {rule_id: edition.rules[rule_id].model_copy(update=changes)})

    shipped = ruleset()
    return replace(shipped, editions=tuple(edit(edition) for edition in shipped.editions))


def test_every_recipient_with_a_report_gets_one_letter_named_by_pseudonym(tmp_path: Path) -> None:
    assert sorted(write(tmp_path)) == [UNIT_7, UNIT_9]
    assert sorted(path.name for path in (tmp_path / "letters").iterdir()) == [f"{UNIT_7}.html", f"{UNIT_9}.html"]


def test_without_a_peer_review_statement_there_is_no_letter_at_all(tmp_path: Path) -> None:
    assert write(tmp_path, chosen=settings(peer_review=None)) == {}
    assert not (tmp_path / "letters").exists()


def test_a_draft_says_so_at_its_head_above_the_agencys_own_statement(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert said.index("Draft") < said.index("Prepared for the invented review committee") < said.index("What went well")


def test_the_order_is_what_went_well_then_what_was_looked_at_findings_numbers_answer_and_limits(tmp_path: Path) -> None:
    said = letter(tmp_path)
    heads = [
        "What went well",
        "What was looked at",
        "Findings",
        "Your own numbers",
        "To answer",
        "What this screen cannot see",
    ]
    places = [said.index(head) for head in heads]
    assert places == sorted(places)


def test_f09_1_each_finding_cites_rule_edition_strength_and_since_when_it_is_in_force(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert "oxygen-kept-within-target, respiratory-precautions@2020-01-01" in said
    assert (
        "Respiratory precautions, base edition, from 1 January 2020 (must): saturation on oxygen at most 96 %" in said
    )


def test_f09_2_a_finding_that_only_the_service_can_answer_stands_in_no_letter(tmp_path: Path) -> None:
    by_system = month().determinations.with_columns(
        answerable_by=pl.when(pl.col("rule") == "one-intubation-attempt").then(pl.lit("system"))
        .otherwise(pl.col("answerable_by").cast(pl.String)).cast(month().determinations.schema["answerable_by"])
    )  # fmt: skip
    said = letter(tmp_path, replace(month(), determinations=by_system))
    assert "one-intubation-attempt" not in said
    assert "attempts at intubation" not in said


def test_f09_3_every_finding_has_exactly_one_next_step(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert said.count("Next step") == said.count("Charted") == 4
    assert "After one attempt that does not succeed, place a supraglottic airway or go back to the bag." in said


def test_f09_4_earlier_months_stand_beside_this_one_and_are_counted(tmp_path: Path) -> None:
    said = letter(tmp_path, month(), three_months())
    assert "Nov 2025 Dec 2025 Jan 2026 Together" in said
    assert "In these 3 months together" in said


def test_f09_5_the_delay_since_the_month_ended_is_printed(tmp_path: Path) -> None:
    assert "Audited on 10 February 2026, 10 days after the month ended" in letter(tmp_path)


def test_f09_6_own_counts_are_shown_and_not_only_the_services(tmp_path: Path) -> None:
    assert "Oxygen is kept within the target saturation. 3 of 4" in letter(tmp_path).split("Your own numbers")[1]


def test_f09_7_the_comparator_is_the_whole_service_and_never_another_crew_or_a_rank(tmp_path: Path) -> None:
    said = letter(tmp_path, month(), with_other_crews(figures_of(month()))).split("This screen supports")[0]
    assert "Whole service" in said
    for word in ("Unit 9", UNIT_9, "rank", "best", "worst", "top ", "league", "percentile", "than other"):
        assert word not in said


def test_the_services_number_is_left_out_where_it_would_tell_about_one_other_crew(tmp_path: Path) -> None:
    assert "too few others" in letter(tmp_path)
    assert "too few others" not in letter(tmp_path, month(), with_other_crews(figures_of(month())))


def test_f09_8_the_sentence_beside_the_table_adds_up_its_own_numbers(tmp_path: Path) -> None:
    numbers = letter(tmp_path).split("Your own numbers")[1].split("To answer")[0]
    assert "In this month 4 of 8 as the guidance asks" in numbers
    assert sum(int(met) for met in re.findall(r"\. (\d+) of \d+", numbers)) == 4


def test_f09_9_the_calls_are_shown_in_words_a_table_and_a_picture(tmp_path: Path) -> None:
    html = write(tmp_path)[UNIT_7]
    assert "<table>" in html
    assert html.count('<svg class="strip"') == 4 + 3


def test_f09_10_at_most_five_findings_are_printed_and_the_rest_is_counted(tmp_path: Path) -> None:
    said = letter(tmp_path, month(2))
    assert said.count("Next step") == 5
    assert "3 further ones are not printed here" in said


def test_f09_11_there_is_room_and_a_road_for_the_crews_own_reason(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert "To answer, to object, or to talk it over" in said
    assert "Our reason:" in said
    assert "there was a clinical reason" in said


def test_f09_12_the_message_comes_first_in_at_most_two_sentences(tmp_path: Path) -> None:
    html = write(tmp_path)[UNIT_7]
    headline = re.search(r'<p class="headline">(.*?)</p>', html)
    assert headline is not None
    assert headline[1].count(".") == 2
    assert html.index('class="headline"') < html.index("What went well")


def test_f09_13_sources_limits_and_what_cannot_be_told_are_shown(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert "from the charts of 8 calls" in said
    assert "Oxygen is charted, and the report holds no saturation reading while it ran. 12 Jan 10:00." in said
    assert "What this screen cannot see" in said


def test_f09_14_strengths_come_first_and_no_word_blames(tmp_path: Path) -> None:
    for html in write(tmp_path, month(2)).values():
        said = text_of(html).lower()
        assert [word for word in BANNED if re.search(rf"\b{re.escape(word)}\b", said)] == []
        assert said.index("what went well") < said.index("what was looked at")


def test_f09_15_somebody_to_talk_to_is_named_with_a_date_to_reply_by(tmp_path: Path) -> None:
    assert "Write or speak to the review desk, second floor by 12 March 2026." in letter(tmp_path)


def test_no_sentence_that_any_shipped_rule_puts_into_a_letter_blames() -> None:
    for edition in ruleset().editions:
        for rule in edition.rules.values():
            words = rule.feedback
            said = [rule.title, rule.check.sentence(), words.met, words.not_met, words.not_documented, words.next_step]
            joined = " ".join([*said, *words.cannot_tell.values()]).lower()
            assert [word for word in BANNED if re.search(rf"\b{re.escape(word)}\b", joined)] == []


def test_a_finding_gives_local_date_and_time_vehicle_times_and_values(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert "3 January 2026, 10:00, Unit 7: Oxygen is kept within the target saturation." in said
    readings = "saturation above 96 % 10:25 (99 %), 10:32 (99 %), 10:38 (98 %)"
    assert f"Oxygen by non-rebreathing mask 10:15 (15 L/min); {readings}" in said
    assert (
        "Placing a tracheal tube by mouth 10:20 (1 attempt, without success), 10:27 (1 attempt, with success)" in said
    )


def test_a_quoted_saturation_carries_how_far_an_oximeter_may_be_off(tmp_path: Path) -> None:
    # FDA safety communication 2021: a reading of 90 may be a true 86 to 94.
    assert "a reading of 90 can stand for a true value of 86 to 94" in letter(tmp_path)
    assert "oximeter" not in letter(tmp_path, recipient=UNIT_9)


def test_a_member_is_one_member_and_never_named(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert "for one member. The same is charted for 2 members of the crew." in said
    assert "P-" not in said


def test_a_charting_gap_asks_nobody_to_amend_a_report_because_of_the_letter(tmp_path: Path) -> None:
    said = letter(tmp_path)
    assert (
        "Amend a report only if it is wrong, by the usual late-entry procedure, never because of this letter." in said
    )
    assert "Amend a report" not in letter(tmp_path, recipient=UNIT_9)


def test_a_month_without_findings_is_a_good_letter(tmp_path: Path) -> None:
    said = letter(tmp_path, recipient=UNIT_9)
    assert "There is no finding." in said
    assert "3 of 3 calls: 7 Jan 10:00, 9 Jan 10:00, 11 Jan 10:00" in said
    assert "Next step" not in said


def test_calls_that_no_standard_speaks_of_get_a_letter_with_nothing_to_answer(tmp_path: Path) -> None:
    quiet = replace(month(), determinations=month().determinations.clear())
    assert "Of 8 calls, none needed what the standards speak of." in letter(tmp_path, quiet, figures_of(quiet))


def test_below_ten_calls_there_is_no_percentage_and_from_ten_on_there_is_one(tmp_path: Path) -> None:
    numbers = letter(tmp_path).split("Your own numbers")[1].split("To answer")[0].replace("95 %", "")
    assert "%" not in numbers
    many = letter(tmp_path, month(), three_months()).split("Your own numbers")[1]
    # Wilson 9/12: 0.468 to 0.911, computed with scipy.stats.binomtest(9, 12).proportion_ci(method="wilson").
    assert "9 of 12 (75 %, 47 to 91)" in many


def test_what_is_only_recommended_stands_as_a_suggestion_behind_what_is_required(tmp_path: Path) -> None:
    said = letter(tmp_path, rules=weakened("oxygen-kept-within-target", strength="should"))
    assert said.index("Findings 4 January") < said.index("Suggestions 3 January")
    assert "3 findings and 1 suggestion below" in said


def test_what_this_services_records_have_no_field_for_stands_on_no_letter(tmp_path: Path) -> None:
    without = settings(custom_elements={})
    said = letter(tmp_path, charted_month(chosen=without), chosen=without)
    assert "viral filter" not in said


def test_labels_in_any_script_and_with_markup_survive_and_stay_text(tmp_path: Path) -> None:
    label = 'سيارة 7 "A" <b>&'
    html = write(tmp_path, chosen=settings(labels={UNIT_7: label}))[UNIT_7]
    assert "<b>&" not in html.split("</style>")[1].replace("<b>A gap", "")
    assert f"To the crew of {label}: your calls in January 2026" in text_of(html)


def test_writing_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    assert write(tmp_path / "a") == write(tmp_path / "b")


@pytest.mark.parametrize("recipient", [UNIT_7, UNIT_9])
def test_axe_finds_nothing_and_a_narrow_screen_needs_no_sideways_scrolling(
    chromium: Any, tmp_path: Path, recipient: str
) -> None:
    write(tmp_path, month(), three_months())
    path = tmp_path / "letters" / f"{recipient}.html"
    assert axe_violations(chromium, path) == []
    assert not overflows_at(chromium, path, 360)


@pytest.mark.parametrize(("paper", "finding_calls"), [("A4", 1), ("Letter", 1), ("A4", 2)])
def test_a_normal_month_prints_on_one_sheet(chromium: Any, tmp_path: Path, paper: str, finding_calls: int) -> None:
    written = month(finding_calls)
    figures = figures_of(*(replace(written, month=name) for name in ("2025-11", "2025-12", "2026-01")))
    write(tmp_path, written, with_other_crews(figures))
    assert pages_on_paper(chromium, tmp_path / "letters" / f"{UNIT_7}.html", paper) == 1
