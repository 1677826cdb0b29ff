"""Reading a ruleset folder; every fault of every file at once, and nothing is judged with a faulty set."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from pydantic import ValidationError

from qa_audit.errors import Fault, QaAuditError, RulesetError, all_at_once, nearest
from qa_audit.rules.concept import Concept, Concepts
from qa_audit.rules.edition import Edition, EditionFile, Ruleset
from qa_audit.rules.rule import Rule
from qa_audit.yaml_files import Document

FOLDER = re.compile(r"\d{4}-\d{2}-\d{2}$")
COMMON_PRACTICE = "common practice"


def load(rulesets: Path, name: str | None) -> Ruleset:
    """Read every edition of one ruleset; raises `RulesetError` with all faults, each with file and line.

    `name` may be left out when only one ruleset stands under the folder.
    """
    folder = rulesets / _choose(rulesets, name)
    dated = sorted(path for path in folder.iterdir() if path.is_dir())
    if not dated:
        raise RulesetError(f"{folder}: holds no edition; add a folder such as {folder.name}/2020-01-01/.")
    faults: list[Fault] = []
    editions = [edition for path in dated if (edition := _read_edition(path, faults)) is not None]
    if faults:
        raise all_at_once(RulesetError, faults)
    return Ruleset(folder.name, _tiled(folder, editions))


def _choose(rulesets: Path, name: str | None) -> str:
    names = sorted(path.name for path in rulesets.iterdir() if path.is_dir()) if rulesets.is_dir() else []
    if not names:
        raise RulesetError(f"{rulesets}: holds no ruleset; give a folder with --rulesets.")
    if name is None and len(names) > 1:
        raise RulesetError(
            f"{rulesets}: holds {', '.join(names)}; say in the settings which one: `ruleset: {names[0]}`."
        )
    if name is not None and name not in names:
        raise RulesetError(
            f"{rulesets}: holds no ruleset '{name}'; allowed are {', '.join(names)}.{nearest(name, names)}"
        )
    return name or names[0]


def _read_edition(folder: Path, faults: list[Fault]) -> Edition | None:
    shown = Path(*folder.parts[-3:])
    if not FOLDER.match(folder.name):
        faults.append(
            Fault(str(shown), 1, "an edition's folder is named by its first day, such as 2026-02-17; rename it.")
        )
        return None
    found = len(faults)
    file = _one(folder / "edition.yaml", shown / "edition.yaml", EditionFile, faults)
    concepts, concept_lines = _concepts(folder, shown, faults)
    rules = _rules(folder, shown, faults)
    if file is None or len(faults) > found:
        return None
    edition = Edition(
        file[1],
        folder.name,
        concepts,
        {rule.id: rule for _, rule in rules},
        places={rule.id: document for document, rule in rules},
    )
    faults.extend(_edition_faults(file[0], edition, folder))
    for document, rule in rules:
        faults.extend(_rule_faults(document, rule, edition))
    faults.extend(_concept_faults(concept_lines, edition))
    return edition


def _one(path: Path, shown: Path, model: type[EditionFile], faults: list[Fault]) -> tuple[Document, EditionFile] | None:
    try:
        document = Document(path, str(shown), RulesetError)
        return document, model.model_validate(document.data)
    except ValidationError as invalid:
        faults.extend(document.faults(invalid, model))
    except QaAuditError as fault:
        faults.append(_as_fault(str(shown), fault))
    return None


def _concepts(folder: Path, shown: Path, faults: list[Fault]) -> tuple[dict[str, Concept], dict[str, Fault]]:
    """Read concepts/*.yaml; the second mapping keeps where each concept stands."""
    concepts: dict[str, Concept] = {}
    places: dict[str, Fault] = {}
    for path in sorted((folder / "concepts").glob("*.yaml")):
        name_of_file = str(shown / "concepts" / path.name)
        try:
            document = Document(path, name_of_file, RulesetError)
        except QaAuditError as fault:
            faults.append(_as_fault(name_of_file, fault))
            continue
        for name, written in document.data.items():
            place = document.fault((name,), "")
            if name in concepts:
                faults.append(
                    replace(place, sentence=f"concept '{name}' stands also in {places[name].file}; keep one.")
                )
            try:
                concepts[name] = Concept.model_validate(written)
            except ValidationError as invalid:
                faults.extend(document.faults(invalid, Concept, (name,)))
            places[name] = place
    return concepts, places


def _rules(folder: Path, shown: Path, faults: list[Fault]) -> list[tuple[Document, Rule]]:
    rules: list[tuple[Document, Rule]] = []
    for path in sorted((folder / "rules").glob("*/*.yaml")):
        name_of_file = str(shown / "rules" / path.parent.name / path.name)
        try:
            document = Document(path, name_of_file, RulesetError)
            rule = Rule.model_validate(document.data)
        except ValidationError as invalid:
            faults.extend(document.faults(invalid, Rule))
            continue
        except QaAuditError as fault:
            faults.append(_as_fault(name_of_file, fault))
            continue
        if rule.id != path.stem:
            faults.append(
                document.fault(
                    ("id",), f"the id '{rule.id}' and the file name '{path.stem}' differ; a rule's id is its file name."
                )
            )
        twin = next((other for other, seen in rules if seen.id == rule.id), None)
        if twin is not None:
            faults.append(
                document.fault(("id",), f"the id '{rule.id}' stands also in {twin.shown_as}; a rule has one file.")
            )
        rules.append((document, rule))
    if not rules and not faults:
        faults.append(Fault(str(shown), 1, "holds no rule; add one under rules/<topic>/<rule-id>.yaml."))
    return rules


def _edition_faults(document: Document, edition: Edition, folder: Path) -> Iterator[Fault]:
    file = edition.file
    if file.name != folder.parent.name:
        yield document.fault(
            ("name",), f"the name '{file.name}' and the folder '{folder.parent.name}' differ; make them one."
        )
    if file.in_force_from.date().isoformat() != folder.name:
        yield document.fault(
            ("in_force_from",),
            f"begins on {file.in_force_from:%Y-%m-%d}, but the folder says {folder.name}; make them one.",
        )
    for field in ("in_force_until", "transition_until"):
        moment = getattr(file, field)
        if moment is not None and moment <= file.in_force_from:
            yield document.fault((field,), f"`{field}` lies at or before `in_force_from`; write a later moment.")


def _rule_faults(document: Document, rule: Rule, edition: Edition) -> Iterator[Fault]:
    for name in sorted(rule.concepts() - set(edition.concepts)):
        yield document.fault(
            _place_of(document.data, name),
            f"names the concept '{name}', which this edition does not define.{nearest(name, edition.concepts)}",
        )
    for source in rule.basis:
        if source != COMMON_PRACTICE and source not in edition.file.sources:
            known = [*edition.file.sources, COMMON_PRACTICE]
            yield document.fault(
                ("basis",),
                f"rests on '{source}', which edition.yaml does not list under `sources`.{nearest(source, known)}",
            )
    yield from _example_faults(document, rule, edition)


def _example_faults(document: Document, rule: Rule, edition: Edition) -> Iterator[Fault]:
    outcomes = {example.expect for example in rule.examples}
    against = "not_met" if rule.strength != "may" else "cannot_tell"
    if "met" not in outcomes:
        yield document.fault(("examples",), "has no example that is met; add one.")
    if against not in outcomes:
        yield document.fault(("examples",), f"has no example that is {against}; add one.")
    if not outcomes & {"excluded", "cannot_tell"}:
        yield document.fault(("examples",), "has no example that is excluded or cannot be told; add one.")
    for place, example in enumerate(rule.examples):
        named = {name for fact in example.facts for name in (fact.concept, *fact.also)}
        for name in sorted(named - set(edition.concepts)):
            yield document.fault(
                ("examples", place),
                f"the example '{example.case}' names the concept '{name}', {_undefined(name, edition)}",
            )


def _undefined(name: str, edition: Edition) -> str:
    return f"which this edition does not define.{nearest(name, edition.concepts)}"


def _concept_faults(places: dict[str, Fault], edition: Edition) -> Iterator[Fault]:
    named = Concepts(edition.concepts)
    for name, concept in edition.concepts.items():
        for parent in concept.is_a:
            if parent not in edition.concepts:
                yield replace(
                    places[name],
                    sentence=f"'{name}' is_a '{parent}', {_undefined(parent, edition)}",
                )
    used = {
        member
        for rule in edition.rules.values()
        for top in rule.concepts() & set(edition.concepts)
        for member in named.family(top)
    }
    for name in sorted(set(edition.concepts) - used):
        yield replace(
            places[name], sentence=f"no rule of this edition uses the concept '{name}'; use it or take it out."
        )


def _tiled(folder: Path, editions: list[Edition]) -> tuple[Edition, ...]:
    """Give each edition its end: the next one's beginning; raises when two overlap or leave a gap."""
    ordered = sorted(editions, key=lambda edition: edition.begins)
    faults = []
    for earlier, later in pairwise(ordered):
        files = f"{folder.name}/{earlier.folder}/edition.yaml and {folder.name}/{later.folder}/edition.yaml"
        until = earlier.file.in_force_until
        remedy = "let one end where the other begins."
        if later.begins == earlier.begins or (until is not None and until > later.begins):
            first = f"the first is in force until {until or 'further notice'}"
            faults.append(f"{files}: overlap, {first}, the second from {later.begins}; {remedy}")
        elif until is not None and until < later.begins:
            faults.append(f"{files}: leave a gap, the first ends {until}, the second begins {later.begins}; {remedy}")
    if faults:
        raise RulesetError("\n".join(faults))
    ends = [later.begins for later in ordered[1:]] + [ordered[-1].file.in_force_until]
    return tuple(replace(edition, until=end) for edition, end in zip(ordered, ends, strict=True))


def _place_of(data: object, name: str, at: tuple[int | str, ...] = ()) -> tuple[int | str, ...]:
    """Return where a name stands as a value in plain data."""
    children = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in children:
        if value == name:
            return (*at, step)
        if found := _place_of(value, name, (*at, step)):
            return found
    return ()


def _as_fault(shown: str, error: QaAuditError) -> Fault:
    file, _, rest = str(error).partition(":")
    line, _, sentence = rest.partition(": ")
    return Fault(file, int(line), sentence) if line.isdigit() else Fault(shown, 1, rest.strip() or str(error))
