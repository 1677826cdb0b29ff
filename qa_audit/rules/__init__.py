"""What a rule is: concepts, editions, the kinds of check, and the examples that pin them.

Takes a ruleset folder, gives a `Ruleset`; never reads a report's file.
"""

from __future__ import annotations

from qa_audit.rules.concept import Concept, Concepts
from qa_audit.rules.edition import Edition, Ruleset, instant
from qa_audit.rules.loading import load
from qa_audit.rules.rule import Rule

__all__ = ["Concept", "Concepts", "Edition", "Rule", "Ruleset", "instant", "load"]
