"""YAML that people write, read into pydantic models; every fault with file and line, all at once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from qa_audit.errors import DiskError, Fault, QaAuditError, all_at_once, nearest

Model = TypeVar("Model", bound=BaseModel)
Location = tuple[int | str, ...]


class _Loader(getattr(yaml, "CSafeLoader", yaml.SafeLoader)):  # type: ignore[misc] # the fast one where libyaml is there
    """Safe YAML that leaves dates and times as text: pydantic reads them, and 10:00 must not become a number."""


_Loader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag != "tag:yaml.org,2002:timestamp"]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def _refuse_twice(node: yaml.Node, seen: set[int]) -> None:
    """Raise for an alias (a node met again) and for a key written twice: YAML would let the last one win in silence."""
    if id(node) in seen:
        raise yaml.MarkedYAMLError(problem="an alias stands here; write the value out", problem_mark=node.start_mark)
    seen.add(id(node))
    if isinstance(node, yaml.SequenceNode):
        for child in node.value:
            _refuse_twice(child, seen)
    elif isinstance(node, yaml.MappingNode):
        keys: set[str] = set()
        for key, value in node.value:
            if key.value in keys:
                twice = f"the key '{key.value}' stands here twice"
                raise yaml.MarkedYAMLError(problem=twice, problem_mark=key.start_mark)
            keys.add(key.value)
            _refuse_twice(value, seen)


class Document:
    """One YAML file: its plain data, and the line on which each of its values stands."""

    def __init__(self, path: Path, shown_as: str, kind: type[QaAuditError]) -> None:
        """Read the file; raises `kind` when it is no readable YAML mapping, `DiskError` when it cannot be opened."""
        self.shown_as = shown_as
        self._kind = kind
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            raise kind(f"{shown_as}:1: the file is not UTF-8 text; save it as UTF-8.") from None
        except OSError as fault:
            raise DiskError(
                f"{shown_as}: cannot be read ({fault.strerror}); check the path and its permissions."
            ) from None
        self._root, self.data = self._parse(text)

    def _parse(self, text: str) -> tuple[yaml.Node, dict[str, Any]]:
        loader = _Loader(text)
        try:
            root = loader.get_single_node()
            if root is not None:
                _refuse_twice(root, set())
            data = loader.construct_document(root) if root is not None else None
        except yaml.MarkedYAMLError as fault:
            line = fault.problem_mark.line + 1 if fault.problem_mark else 1
            raise self._kind(f"{self.shown_as}:{line}: not readable as YAML: {fault.problem}.") from None
        finally:
            loader.dispose()
        if not isinstance(data, dict) or root is None:
            raise self._kind(f"{self.shown_as}:1: the file must hold keys and values, one `key: value` a line.")
        return root, data

    def line(self, location: Location) -> int:
        """Return the line of the value at `location`, or of its nearest parent that exists."""
        node, line = self._root, 1
        for step in location:
            found = _child(node, step)
            if found is None:
                continue
            node, line = found
        return line

    def fault(self, location: Location, sentence: str) -> Fault:
        """Return a fault that stands at `location` in this file."""
        return Fault(self.shown_as, self.line(location), sentence)

    def read_as(self, model: type[Model], data: dict[str, Any] | None = None, at: Location = ()) -> Model:
        """Return the data as a model; raises the document's error with every fault at once."""
        try:
            return model.model_validate(self.data if data is None else data)
        except ValidationError as invalid:
            raise all_at_once(self._kind, self.faults(invalid, model, at)) from None

    def faults(self, invalid: ValidationError, model: type[BaseModel], at: Location = ()) -> Iterator[Fault]:
        """Yield what pydantic found, each in one sentence with its line and the nearest allowed key."""
        for detail in invalid.errors(include_url=False):
            yield self.fault((*at, *detail["loc"]), _sentence(detail, model))


def read(path: Path, model: type[Model], kind: type[QaAuditError], shown_as: str | None = None) -> Model:
    """Read one file as a model; raises `kind` with all faults, each with file and line."""
    return Document(path, shown_as or str(path), kind).read_as(model)


def _child(node: yaml.Node, step: int | str) -> tuple[yaml.Node, int] | None:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == str(step):
                return value, key.start_mark.line + 1
    if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
        return node.value[step], node.value[step].start_mark.line + 1
    return None


def _sentence(detail: ErrorDetails, model: type[BaseModel]) -> str:
    where = ".".join(str(step) for step in detail["loc"])
    match detail["type"]:
        case "missing":
            return f"`{where}` is missing; add it."
        case "extra_forbidden":
            key = str(detail["loc"][-1])
            return f"`{where}` is not a key that is known here.{nearest(key, _known_keys(model))}"
        case "literal_error" | "enum":
            found, allowed = detail["input"], detail["ctx"]["expected"]
            words = [word.strip(" '") for word in str(allowed).replace(" or ", ",").split(",")]
            return f"`{where}` is '{found}'; allowed are {allowed}.{nearest(str(found), words)}"
        case "union_tag_invalid":
            found, allowed = detail["ctx"]["tag"], detail["ctx"]["expected_tags"]
            words = [word.strip(" '") for word in str(allowed).split(",")]
            return f"`{where}` is of kind '{found}'; allowed kinds are {allowed}.{nearest(str(found), words)}"
        case "value_error":
            return f"`{where}`: {detail['ctx']['error']}" if where else str(detail["ctx"]["error"])
        case _:
            return f"`{where}`: {detail['msg'][0].lower()}{detail['msg'][1:]}."


def _known_keys(model: type[BaseModel]) -> set[str]:
    """Every key of a model and of the models inside it: near enough for a suggestion."""
    seen: set[type[BaseModel]] = set()
    keys: set[str] = set()

    def visit(kind: object) -> None:
        if isinstance(kind, type) and issubclass(kind, BaseModel) and kind not in seen:
            seen.add(kind)
            for name, info in kind.model_fields.items():
                keys.add(info.alias or name)
                visit(info.annotation)
        for argument in getattr(kind, "__args__", ()):
            visit(argument)

    visit(model)
    return keys
