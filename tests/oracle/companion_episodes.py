"""Kind `companion`, for episodes: is something needed charted with each episode of an anchor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from oracle.clock import local_date
from oracle.model import MINUTE, Opportunity
from oracle.view import Seen, View

PLACEMENTS = ("supraglottic", "intubation", "induction")
BY_SETTING = ("cpap", "bipap")


@dataclass
class Episode:
    """Anchor facts that make one opportunity."""

    facts: list[Seen]

    @property
    def times(self) -> list[int]:
        """The times of its timed facts, in order."""
        return sorted(seen.time for seen in self.facts if seen.time is not None)

    def is_near(self, time: int, gap: int) -> bool:
        """Whether an instant lies in the episode or within the gap of it."""
        times = self.times
        return bool(times) and times[0] - gap <= time <= times[-1] + gap


def opportunities(view: View, rule: dict[str, Any]) -> list[Opportunity]:
    """Return one opportunity for each episode, in time order, untimed last."""
    gap = rule["episode_gap"] * MINUTE
    episodes = grouped(view, [seen for seen in view.standing if is_anchor(view, rule, seen)], rule["anchor"], gap)
    contradicted = [
        seen
        for seen in view.conflicted
        if is_anchor(view, rule, seen) and not any(one.is_near(seen.time or 0, gap) for one in episodes)
    ]
    found = []
    for one in episodes:
        outcome, reason = judged(view, rule, one, gap)
        found.append(Opportunity(min(one.times, default=None), outcome, reason, touches=tuple(one.times)))
    alone = grouped(view, contradicted, rule["anchor"], gap)
    found += [Opportunity(min(one.times), "cannot_tell", "chart_conflict") for one in alone]
    return sorted(found, key=lambda one: (one.time is None, one.time or 0))


def is_anchor(view: View, rule: dict[str, Any], seen: Seen) -> bool:
    """Whether a fact of this crew opens or lengthens an episode."""
    if not seen.ours or seen.fact.status != "present":
        return False
    if any(name in seen.concepts for name in BY_SETTING):
        since = view.settings.filter_on_cpap_from
        return since is not None and local_date(view.report, view.report.unit_notified) >= since
    if any(name in seen.concepts for name in PLACEMENTS) and seen.fact.success is False:
        return False
    return rule["anchor"] in seen.concepts


def grouped(view: View, facts: list[Seen], anchor: str, gap: int) -> list[Episode]:
    """Make episodes: timed facts by the gap; an untimed one joins the first that holds its concept or a child."""
    episodes: list[Episode] = []
    for seen in sorted((one for one in facts if one.time is not None), key=lambda one: one.time or 0):
        if episodes and (seen.time or 0) - episodes[-1].times[-1] <= gap:
            episodes[-1].facts.append(seen)
        else:
            episodes.append(Episode([seen]))
    timed = [(one, list(one.facts)) for one in episodes]
    alone: dict[str, Episode] = {}
    for seen in (one for one in facts if one.time is None):
        concept = own_concept(view, seen, anchor)
        home = next((one for one, held in timed if any(concept in fact.concepts for fact in held)), None)
        if home is None:
            home = alone.setdefault(concept, Episode([]))
        home.facts.append(seen)
    return episodes + list(alone.values())


def own_concept(view: View, seen: Seen, anchor: str) -> str:
    """Return the anchor's child that a fact itself is."""
    under = [name for name in sorted(seen.direct) if anchor in view.concepts.line(name) or name in BY_SETTING]
    return under[0]


def judged(view: View, rule: dict[str, Any], episode: Episode, gap: int) -> tuple[str, str | None]:
    """Ask what is charted of the needed thing: any positive, any negative, or nothing."""
    said = {
        seen.fact.status for seen in view.standing if rule["needed"] in seen.concepts and speaks_for(seen, episode, gap)
    }
    if "present" in said:
        return "met", None
    return ("not_met", None) if "negated" in said else ("cannot_tell", "not_documented")


def speaks_for(seen: Seen, episode: Episode, gap: int) -> bool:
    """Whether a needed fact speaks for an episode; a tie decides, time is asked only where there is none."""
    if seen.fact.call_group is not None:
        return any(one.fact.call_group == seen.fact.call_group for one in episode.facts)
    return seen.time is None or episode.is_near(seen.time, gap)
