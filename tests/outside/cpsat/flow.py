"""Counts by day and their sums, and whole numbers out of decimal ones."""
import math
from fractions import Fraction


class Flow:
    """So many a day: `on[i]` of day i, `by(i)` up to and with it. Days not open are nothing."""

    def __init__(self, cp, name, days, most, open_on=lambda i: True):
        self.on = [cp.new_int_var(0, most(i), f"{name}@{i}") if open_on(i) and most(i) > 0 else 0 for i in range(days)]
        self.sums = []
        reach = 0
        for i in range(days):
            reach += most(i)
            total = cp.new_int_var(0, reach, f"Σ{name}@{i}")
            cp.add(total == (self.sums[-1] if i else 0) + self.on[i])
            self.sums.append(total)

    def by(self, i):
        return self.sums[i] if i >= 0 else 0

    def of(self, chosen):
        """The sum over some days, by one variable where they are the first so many."""
        chosen = sorted(chosen)
        return self.by(len(chosen) - 1) if chosen == list(range(len(chosen))) else sum(self.on[i] for i in chosen)

    def of_span(self, first, last):
        """The sum over days first to last, nothing where last comes before first."""
        return self.by(last) - self.by(first - 1) if first <= last else 0


def exact(number):
    """The decimal number as it is written, exactly."""
    return Fraction(str(number))


def whole(*numbers):
    """The least factor that makes whole numbers of all of them."""
    return math.lcm(*(exact(number).denominator for number in numbers)) if numbers else 1


def common(numbers):
    """The largest step that all of them are whole multiples of."""
    numbers = [exact(number) for number in numbers if number]
    scale = whole(*numbers)
    return Fraction(math.gcd(*(int(number * scale) for number in numbers)), scale) if numbers else Fraction(1)


def add_at_most(cp, terms, limit):
    """Σ factor · variable ≤ limit for decimal factors, brought to whole numbers first; returns the constraint."""
    terms = [(exact(factor), variable) for factor, variable in terms]
    limit = exact(limit)
    scale = math.lcm(whole(*(factor for factor, _ in terms)), limit.denominator)
    return cp.add(sum(int(factor * scale) * variable for factor, variable in terms) <= int(limit * scale))
