"""Working days by their place in the horizon."""
import bisect
import datetime

DAY = datetime.timedelta(days=1)
date = datetime.date.fromisoformat


class Calendar:
    """The horizon's working days, 0 and up; `days` of them."""

    date = staticmethod(date)

    def __init__(self, facts):
        self.first, self.last = date(facts["first_day"]), date(facts["last_day"])
        self.work = sorted(d for d in map(date, facts["working_days"]) if self.first <= d <= self.last)
        self.days = len(self.work)
        self.index = {day: i for i, day in enumerate(self.work)}

    def on_or_after(self, day):
        """The first working day not before a date; `days` where the horizon ends sooner."""
        return bisect.bisect_left(self.work, day)

    def after(self, i, calendar_days):
        """The first working day so many calendar days after working day `i`."""
        return self.on_or_after(self.work[i] + calendar_days * DAY)

    def from_outside(self, since, calendar_days):
        """The same for something that began on a date before the horizon: not sooner than its first day."""
        return self.on_or_after(max(self.first, date(since) + calendar_days * DAY))
