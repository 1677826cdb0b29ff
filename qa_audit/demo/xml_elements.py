"""Elements of the standard, written one at a time: a value, or empty with its reason."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

from lxml import etree

from qa_audit.demo.vocabulary import Empty, Negative

Element = etree._Element  # noqa: SLF001 - lxml names its element type so

NAMESPACE = "http://www.nemsis.org"
INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
NIL = f"{{{INSTANCE}}}nil"

Value = str | int | datetime | Empty | Negative | None
"""What an element may hold; null is written as not recorded."""


class Section:
    """One section or group under way: elements are put into it in the order that the schema wants."""

    def __init__(self, node: Element, clock: Clock) -> None:
        """Write into `node`, and every time by `clock`."""
        self._node = node
        self._clock = clock

    def group(self, name: str, **attributes: str | None) -> Section:
        """Open a group inside this one."""
        return Section(self._child(name, attributes), self._clock)

    def timed_by(self, clock: Clock) -> Section:
        """Return the same group, with its times written by another clock."""
        return Section(self._node, clock)

    def put(self, name: str, value: Value, **attributes: str | None) -> None:
        """Write one element; attributes (a PN among them) stand beside a value only, and not where they are null."""
        node = self._child(name, attributes if not isinstance(value, Empty | Negative | None) else {})
        if value is None:
            value = Empty.NOT_RECORDED
        if isinstance(value, Empty | Negative):
            node.set(NIL, "true")
            node.set("NV" if isinstance(value, Empty) else "PN", value.value)
            return
        node.text = self._clock.written(value) if isinstance(value, datetime) else str(value)

    def put_if(self, name: str, value: Value, **attributes: str | None) -> None:
        """Write an element that is simply absent where there is no value."""
        if value is not None:
            self.put(name, value, **attributes)

    def empty(self, *names: str, why: Empty = Empty.NOT_RECORDED) -> None:
        """Write required elements that hold nothing."""
        for name in names:
            self.put(name, why)

    def _child(self, name: str, attributes: dict[str, str | None]) -> Element:
        node = etree.SubElement(self._node, f"{{{NAMESPACE}}}{name}")
        for key, text in attributes.items():
            if text is not None:
                node.set(key, text)
        return node


class Clock:
    """How a report writes its times: by the zone's offset, or by one offset throughout."""

    def __init__(self, zone: ZoneInfo, offset: timedelta | None) -> None:
        """Take `offset` from UTC where the tablet was set to one, else the zone's own."""
        self._zone = timezone(offset) if offset is not None else zone

    def written(self, instant: datetime) -> str:
        """Return date, time and numeric offset."""
        return instant.astimezone(self._zone).isoformat(timespec="seconds")
