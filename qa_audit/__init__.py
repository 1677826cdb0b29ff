"""The run-report auditor: months of de-identified patient-care reports, judged against the guidance in force.

The pipeline, in order: `ingest` (files to tables), `gate` (tables to admitted and held back),
`audit` (tables and editions to determinations), `review` (determinations and reviewer to decisions),
`measure` (decisions to figures), `report` (figures to pages). `store` keeps the months that came before,
`rules` is what a rule is, `tables` is what one stage hands the next, `demo` is an invented service.
It supports, and never replaces, clinical judgement, local protocol, the medical director and the law.
"""

__version__ = "0.1.0"
