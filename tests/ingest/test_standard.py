"""The standard's own lists, as they stand in the package, against the published schemas."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree

from qa_audit.ingest.standard.codes import CLOSED_LISTS
from qa_audit.ingest.standard.elements import ELEMENTS, GROUPS
from qa_audit.ingest.standard.words import DATA_TYPES, TO_MMHG, UNITS, WHY_EMPTY, WHY_NEGATIVE

SCHEMAS = Path(__file__).parents[3] / "shared" / "reference" / "nemsis" / "xsd"
XS = "{http://www.w3.org/2001/XMLSchema}"
pytestmark = pytest.mark.skipif(not SCHEMAS.is_dir(), reason="the published schemas (../shared) are not here")


@pytest.fixture(scope="module")
def schemas() -> list[etree._Element]:
    return [etree.parse(str(file)).getroot() for file in sorted(SCHEMAS.glob("*.xsd"))]


def enumerated(schemas: list[etree._Element], name: str) -> set[str]:
    """Return the codes of a named type."""
    kind = next(found for each in schemas for found in each.iter(f"{XS}simpleType") if found.get("name") == name)
    return {code.get("value", "") for code in kind.iter(f"{XS}enumeration")}


def declaration(schemas: list[etree._Element], name: str) -> etree._Element:
    """Return where an element is declared."""
    return next(found for each in schemas for found in each.iter(f"{XS}element") if found.get("name") == name)


def base(declared: etree._Element) -> str:
    """Return the name of an element's type."""
    extension = declared.find(f".//{XS}extension")
    return declared.get("type") or (extension.get("base", "") if extension is not None else "")


@pytest.mark.parametrize("element", sorted(CLOSED_LISTS))
def test_a_closed_list_holds_exactly_the_published_codes(schemas: list[etree._Element], element: str) -> None:
    assert CLOSED_LISTS[element] == enumerated(schemas, base(declaration(schemas, element)))


def test_every_coded_element_that_is_read_has_its_list() -> None:
    assert {name for name, element in ELEMENTS.items() if element.form in {"code", "score"}} == set(CLOSED_LISTS)


@pytest.mark.parametrize("element", sorted(ELEMENTS))
def test_an_element_stands_in_the_group_that_the_schema_gives_it(schemas: list[etree._Element], element: str) -> None:
    above = {each.get("name") for each in declaration(schemas, element).iterancestors(f"{XS}element")} & set(GROUPS)
    assert above >= {group for group, members in GROUPS.items() if element in members}
    if above:
        assert any(element in GROUPS[str(group)] for group in above)


def test_words_stand_for_the_published_codes(schemas: list[etree._Element]) -> None:
    assert set(UNITS) == enumerated(schemas, "MedicationDosageUnits")
    assert set(TO_MMHG) == enumerated(schemas, "ETCO2Type")
    assert set(DATA_TYPES) == enumerated(schemas, "CustomDataType")
    assert set(WHY_EMPTY) == {"7701001", "7701003", "7701005"}
    assert all(code.startswith("88010") for code in WHY_NEGATIVE)
