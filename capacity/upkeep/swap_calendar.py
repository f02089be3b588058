"""The swap lists as a calendar file by the open standard (iCalendar, RFC 5545), each turn a whole day every year."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Sequence
from pathlib import Path

from capacity.closet.closet import Closet
from capacity.disk.files import write_text
from capacity.upkeep.seasons import Turn, turn_in_words

FILE_NAME = "seasons.ics"


def format_calendar(turns: Sequence[Turn], closet: Closet, today: datetime.date) -> bytes:
    """The bytes of the file: an event for each turn to a season whose first day is known, from today on."""
    import icalendar

    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//capacity//seasons//EN")
    calendar.add("version", "2.0")
    for turn in turns:
        if turn.begins.starts is None:
            continue
        lines = list(turn_in_words(turn, closet))
        first = datetime.date.fromisoformat(f"{today.year}-{turn.begins.starts}")
        first = first if first >= today else first.replace(year=today.year + 1)
        event = icalendar.Event()
        name = hashlib.sha256(f"{closet.name}\n{turn.begins.name}".encode()).hexdigest()[:24]
        event.add("uid", f"{name}@capacity")
        event.add("dtstamp", datetime.datetime.combine(today, datetime.time(), datetime.UTC))
        event.add("dtstart", first)
        event.add("rrule", {"freq": "yearly"})
        event.add("summary", f"{closet.name}: {turn.begins.name} begins, {len(lines)} piles move")
        event.add("description", "\n".join(lines) or "Nothing moves.")
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    text: bytes = calendar.to_ical()
    return text


def write_calendar(folder: Path, calendar: bytes) -> None:
    """Put it into the folder, whole or not at all."""
    write_text(folder / FILE_NAME, calendar)
