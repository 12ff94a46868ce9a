"""Calendars by icalendar and by vobject: days, words and instants as they were written, on both nights the clocks are set."""
import json
import re
from datetime import date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

import icalendar
import vobject


def wanted(path):
    """What is really in the calendar."""
    document = json.loads(path.read_text("utf-8"))
    events = {}
    for event in document["events"]:
        events[event["uid"]] = {
            "day": date.fromisoformat(event["day"]),
            "end": date.fromisoformat(event["day"]) + timedelta(days=1),
            # A calendar has one kind of line break.
            "summary": event["summary"].replace("\r\n", "\n"),
            "description": event["description"],
            "sequence": event["sequence"],
            "changed_at": datetime.fromisoformat(event["changed_at"].replace("Z", "+00:00")),
            "status": "CANCELLED" if event["cancelled"] else "CONFIRMED",
        }
    return ZoneInfo(document["zone"]), events


def by_icalendar(text):
    """Read by icalendar."""
    events = {}
    for event in icalendar.Calendar.from_ical(text).walk("VEVENT"):
        events[str(event["UID"])] = {
            "day": event["DTSTART"].dt,
            "end": event["DTEND"].dt,
            "summary": str(event["SUMMARY"]),
            "description": str(event["DESCRIPTION"]),
            "sequence": int(event["SEQUENCE"]),
            "changed_at": event["LAST-MODIFIED"].dt,
            "status": str(event["STATUS"]),
        }
    return events


def by_vobject(text):
    """Read by vobject."""
    events = {}
    for event in vobject.readOne(text.decode("utf-8")).vevent_list:
        changed = event.last_modified.value
        events[event.uid.value] = {
            "day": event.dtstart.value,
            "end": event.dtend.value,
            "summary": event.summary.value,
            "description": event.description.value,
            "sequence": int(event.sequence.value),
            "changed_at": changed if isinstance(changed, datetime) else instant(changed),
            "status": event.status.value,
        }
    return events


def instant(text):
    """An instant in UTC."""
    return datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=timezone.utc)


def by_zoneinfo(zone, uid):
    """The instant an entry was changed at, worked out by zoneinfo alone: so many half hours after its night's midnight."""
    night, number = re.search(r"(\d{4}-\d{2}-\d{2})-(\d+)@", uid).groups()
    midnight = datetime.combine(date.fromisoformat(night), time(), zone)
    return midnight.astimezone(timezone.utc) + timedelta(minutes=30 * int(number))


def is_set(zone, uids):
    """Whether the clocks are really set on each of the nights, by zoneinfo: once on and once back."""
    nights = {re.search(r"\d{4}-\d{2}-\d{2}", uid).group() for uid in uids}
    offset = lambda day: datetime.combine(day, time(), zone).utcoffset()
    steps = [offset(day + timedelta(days=1)) - offset(day) for day in map(date.fromisoformat, nights)]
    return len(steps) == 2 and min(steps) < timedelta() < max(steps)


def check(folder):
    """Each zone's calendar by each reader."""
    good = True
    for path in sorted(folder.glob("*.ics")):
        zone, expected = wanted(path.with_suffix(".json"))
        text = path.read_bytes()
        long = [line for line in text.split(b"\r\n") if len(line) > 75]
        for name, read in [("icalendar", by_icalendar), ("vobject", by_vobject)]:
            found = read(text)
            differing = [uid for uid in expected if found.get(uid) != expected[uid]]
            # The whole day is that day in every zone, and the instant is the one zoneinfo has for that time of the night there.
            local = is_set(zone, expected) and all(
                found[uid]["changed_at"] == by_zoneinfo(zone, uid) and type(found[uid]["day"]) is date
                for uid in expected if uid in found
            )
            fine = not differing and len(found) == len(expected) and local and not long
            good = good and fine
            said = "every entry the same" if fine else f"by zoneinfo {local}, {len(differing)} differ, as {differing[:1]}: {found.get(differing[0]) if differing else long[:1]}"
            print(f"  {name}, {zone.key}: {len(found)} entries on both nights, {said}")
    return good
