"""Each cell understood by itself: its code, number or time, whether it is documented, negated or empty, and why."""

from __future__ import annotations

from typing import get_args

import polars as pl

from qa_audit.ingest.cells import ELEMENT
from qa_audit.ingest.key import Key
from qa_audit.ingest.standard.codes import CLOSED_LISTS
from qa_audit.ingest.standard.elements import ELEMENTS, PALPATED, VALUE_KEPT_BESIDE_PN, Form
from qa_audit.ingest.standard.words import APPROXIMATE
from qa_audit.ingest.tabling.times import instant
from qa_audit.tables.facts import STATUSES

DECIMAL = r"^[+-]?(\d+(\.\d*)?|\.\d+)$"
COUNTS = {"eProcedures.05": r"^\+?0*([1-9]|10)$", "ePatient.15": r"^\+?\d{1,6}$"}
"""Attempts are 1 to 10; an age is a whole number (NEMSIS v3.5.1)."""
DRUG = r"^\d{2,9}$"
PROCEDURE = r"^\d{6,18}$"
DIAGNOSIS = r"^[A-Z]\d[0-9A-Z](\.[0-9A-Z]{1,4})?$"
UNDOTTED = r"^([A-Z]\d[0-9A-Z])([0-9A-Z]{1,4})$"
SURGERY = r"^[0-9A-HJ-NP-Z]{7}$"
"""A procedure of the past, which eHistory.08 may hold too (ICD-10-PCS)."""

FORM = pl.Enum(get_args(Form))
CODED = ("code", "drug", "procedure", "diagnosis")
LETTERS = {"incident": "I", "ems_unit": "U", "member": "P"}

_KNOWN = pl.DataFrame(
    {
        "element": pl.Series([element for element, codes in CLOSED_LISTS.items() for _ in codes], dtype=ELEMENT),
        "text": [code for codes in CLOSED_LISTS.values() for code in sorted(codes)],
    }
).with_columns(known=pl.lit(value=True))

_FORMS = pl.DataFrame(
    {
        "element": pl.Series(list(ELEMENTS), dtype=ELEMENT),
        "form": pl.Series([element.form for element in ELEMENTS.values()], dtype=FORM),
        "fact": [element.fact for element in ELEMENTS.values()],
        "part": pl.Series([element.part for element in ELEMENTS.values()], dtype=pl.String),
        "unit": pl.Series([element.unit for element in ELEMENTS.values()], dtype=pl.String),
        "kept_beside_pn": [name in VALUE_KEPT_BESIDE_PN for name in ELEMENTS],
    }
)


def understand(cells: pl.DataFrame, key: Key) -> pl.DataFrame:
    """Understand every cell.

    Adds to the columns of `Cells.cell_frame`: `form`, `fact`, `part`, `unit` of the element; `text` trimmed, a
    pseudonym for an id, null when empty or stripped; `item`, `value`, `moment`; `status`, `why` as in the facts table;
    and for the remarks `stripped` (the text that is none of the element's form), `beside_nil`, `respelled`,
    `written` (a time as it stood).
    """
    texts = _texts(cells.lazy().select("element", "text").filter(pl.col("text").is_not_null()).unique(), key)
    joined = (
        cells.lazy()
        .join(texts, on=["element", "text"], how="left", maintain_order="left")
        .join(_FORMS.lazy(), on="element", how="left", maintain_order="left")
    )
    return _with_status(joined).collect()


def _texts(texts: pl.LazyFrame, key: Key) -> pl.LazyFrame:
    """Understand each text of each element once, however often it occurs; blank ones are left out."""
    written = pl.col("text").str.strip_chars()
    formed = texts.join(_FORMS.lazy().select("element", "form", "part"), on="element").with_columns(
        raw="text", text=written
    )
    diagnosis = pl.col("form") == "diagnosis"
    upper = formed.filter(pl.col("text") != "").with_columns(
        text=pl.when(diagnosis).then(written.str.to_uppercase()).otherwise(written)
    )
    respelled = upper.with_columns(respelled=diagnosis & pl.col("text").str.contains(UNDOTTED)).with_columns(
        text=pl.when("respelled").then(pl.col("text").str.replace(UNDOTTED, "${1}.${2}")).otherwise("text")
    )
    is_time = pl.col("form") == "time"
    judged = (
        respelled.join(_KNOWN.lazy(), on=["element", "text"], how="left")
        .with_columns(
            value=_number(), moment=instant(pl.when(is_time).then("text")), written=pl.when(is_time).then("text")
        )
        .with_columns(fits=_fits())
        .collect()
    )
    return (
        _with_pseudonyms(judged, key)
        .lazy()
        .select(
            "element",
            text="raw",
            good=pl.when("fits").then("text"),
            stripped=pl.when(~pl.col("fits")).then("text"),
            item=pl.when("fits", pl.col("form").is_in(CODED)).then(
                pl.concat_str(pl.col("element").cast(pl.String), pl.lit("="), "text")
            ),
            value=pl.when("fits").then("value"),
            moment="moment",
            written="written",
            respelled="respelled",
        )
    )


def _number() -> pl.Expr:
    numeric = pl.col("form").is_in(["number", "score", "whole_number"]) & pl.col("text").str.contains(DECIMAL)
    return pl.when(numeric).then(pl.col("text").str.strip_prefix("+").cast(pl.Float64, strict=False))


def _fits() -> pl.Expr:
    """Say whether a text is of its element's form."""
    text, form, element = pl.col("text"), pl.col("form"), pl.col("element").cast(pl.String)
    surgery = (element == "eHistory.08") & text.str.contains(SURGERY)
    palpated = (element == "eVitals.07") & (text.str.to_uppercase() == PALPATED)
    counted = pl.any_horizontal((element == name) & text.str.contains(pattern) for name, pattern in COUNTS.items())
    return (
        pl.when(form.is_in(["code", "score"])).then(pl.col("known").is_not_null())
        .when(form == "drug").then(text.str.contains(DRUG))
        .when(form == "procedure").then(text.str.contains(PROCEDURE))
        .when(form == "diagnosis").then(text.str.contains(DIAGNOSIS) | surgery)
        .when(form == "number").then(pl.col("value").is_not_null() | palpated)
        .when(form == "whole_number").then(counted)
        .when(form == "time").then(pl.col("moment").is_not_null())
        .otherwise(pl.lit(value=True))
    )  # fmt: skip


def _with_pseudonyms(texts: pl.DataFrame, key: Key) -> pl.DataFrame:
    """Put a pseudonym in the place of every id."""
    ids = texts.filter(pl.col("form") == "text").select("element", "text", "part").unique()
    made = [key.pseudonym(LETTERS[part], text) for _, text, part in ids.iter_rows()]
    named = ids.select("element", "text", pseudonym=pl.Series(made, dtype=pl.String))
    joined = texts.join(named, on=["element", "text"], how="left")
    return joined.with_columns(text=pl.coalesce("pseudonym", "text"))


def _with_status(cells: pl.LazyFrame) -> pl.LazyFrame:
    """Say of each cell whether it is documented, negated or empty, and why; what counts as empty loses its value."""
    negative = pl.col("pn").is_not_null() & (pl.col("pn") != APPROXIMATE)
    coded = pl.col("form").is_in(CODED)
    emptied = pl.col("nil") | (negative & ~coded)
    marked = pl.col("nil") | pl.col("nv").is_not_null() | (negative & ~pl.col("kept_beside_pn"))
    holds = pl.col("good").is_not_null() | pl.col("stripped").is_not_null()
    shown = cells.with_columns(
        beside_nil=holds & marked,
        text=pl.when(~emptied).then("good"),
        respelled=(pl.col("respelled") & ~emptied).fill_null(value=False),
        **{name: pl.when(~emptied).then(name) for name in ("stripped", "item", "value", "moment", "written")},
    )
    empty = pl.col("text").is_null()
    status = pl.when(empty).then(pl.lit("missing")).when(negative).then(pl.lit("negated")).otherwise(pl.lit("present"))
    why = (
        pl.when(pl.col("stripped").is_not_null()).then(pl.lit("unknown_code"))
        .when(pl.col("pn").is_not_null()).then("pn")
        .when(empty).then("nv")
    )  # fmt: skip
    return shown.with_columns(status=status.cast(STATUSES), why=why).drop("good", "kept_beside_pn")
