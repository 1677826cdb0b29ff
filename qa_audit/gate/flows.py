"""Which oxygen flow ran through which device, as the entries say it."""

from __future__ import annotations

import polars as pl

from qa_audit.gate.sheet import Sheet

GROUP = ["report", "call_group"]
INSTANT = ["report", "time"]


def oxygen_flows(sheet: Sheet) -> pl.LazyFrame:
    """Give this crew's oxygen flows: `report`, `call_group`, `time`, `flow` in L/min (no unit is taken as L/min)."""
    in_litres = pl.col("unit").is_null() | (pl.col("unit") == "L/min")
    flows = sheet.done("oxygen").filter(pl.col("value").is_not_null(), in_litres)
    return flows.select("report", "call_group", "time", flow="value")


def device_flows(sheet: Sheet, device: str) -> pl.LazyFrame:
    """Give the flows through one device: `report`, `flow`.

    The device stands in the same entry as the flow (a medication's route), or in an entry of its own at the same
    instant (a procedure, which carries no flow) while the flow's entry names no device.
    """
    flows = oxygen_flows(sheet)
    named = sorted(name for name in sheet.concepts if name.startswith("oxygen_by_"))
    any_device = sheet.done(*named).filter(pl.col("call_group").is_not_null()).select(GROUP).unique()
    devices = sheet.done(device).select("report", "call_group", "time").unique()
    same_entry = flows.join(devices.select(GROUP).unique(), on=GROUP, how="semi")
    own_entry = devices.join(flows.select(GROUP).unique(), on=GROUP, how="anti").select(INSTANT).unique()
    same_instant = flows.join(any_device, on=GROUP, how="anti").join(own_entry, on=INSTANT, how="semi")
    return pl.concat([same_entry, same_instant]).select("report", "flow")
