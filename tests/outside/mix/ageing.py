"""Age by temperature over histories drawn by lot, worked out once more."""
import bisect
import math
import random

from asking import Tally

SHARE = 1e-12
NEAR = 1e-6


def check(library):
    """Nurse-Saul, equivalent age, the Danish factor; then the days a hold takes."""
    return all([ages(library), holds(library)])


def ages(library):
    """Sums over histories of one stretch to forty, warm, cold and across the datum."""
    tally, rng, questions = Tally("Nurse-Saul and equivalent age"), random.Random(3), []
    for lot in range(400):
        mean, swing = rng.uniform(-15, 45), rng.choice([0, 5, 20])
        history = [[rng.uniform(0.05, 48), max(-50, min(100, rng.gauss(mean, swing)))] for _ in range(rng.randint(1, 40))]
        questions.append(dict(ask="age", history=history, datum=rng.choice([-10, -10, 0, -5.5]), q=rng.choice([5000, 4000, 0, rng.uniform(0, 20000)]),
                              reference=rng.choice([20, 20, 23, 0, 35])))
    for lot, (question, answer) in enumerate(zip(questions, library.ask(questions))):
        history, datum, reference = question["history"], question["datum"], question["reference"] + 273.15
        factor = math.fsum((degrees - datum) * hours for hours, degrees in history if degrees > datum)
        # The rate at T over the rate at the reference, each by Arrhenius: exp(-Q/T) / exp(-Q/Tr).
        age = math.fsum(hours * math.exp(question["q"] / reference - question["q"] / (degrees + 273.15)) for hours, degrees in history)
        tally.same(f"temperature-time {lot}", answer.get("temperature_time", answer), factor, SHARE)
        # Two ways to the same exponent differ by its own rounding, some 1e-16 of up to seventy.
        tally.same(f"equivalent age {lot}", answer.get("equivalent_age", answer), age, 1e-11)
        for (_, degrees), danish in zip(history, answer.get("danish", [])):
            tally.same(f"Danish factor at {degrees}", danish, danish_factor(degrees), SHARE)
    return tally.close(5000)


def danish_factor(degrees):
    """exp(E/R · (1/293 - 1/(273 + T))), E in J/mol rising by 1470 a degree below 20 °C."""
    energy = 33_500 if degrees >= 20 else 33_500 + 1_470 * (20 - degrees)
    return math.exp(energy / 8.314 * (degrees - 20) / (293 * (273 + degrees)))


def holds(library):
    """Days in the mould by the moment the hold is over, found on the line of ages, not by walking the days."""
    tally, rng, questions = Tally("days of hold"), random.Random(4), []
    for lot in range(1500):
        mean = rng.uniform(-2, 32)
        daily = [round(rng.gauss(mean, rng.choice([0, 3, 8])), 1) for _ in range(rng.choice([5, 20, 60]))]
        questions.append(dict(ask="hold", hours=rng.choice([8, 18, 24, 36, 48, rng.uniform(1, 200)]), by_trial=rng.random() < 0.2, daily=daily,
                              pour_day=rng.randint(0, 3), pour_hour=rng.choice([15, 8, 24, 0, rng.uniform(0, 24)]), strip_hour=rng.choice([8, 0, 24, rng.uniform(0, 24)])))
    tied = 0
    for lot, (question, answer) in enumerate(zip(questions, library.ask(questions))):
        days, slack = days_held(question)
        if slack < NEAR:
            tied += 1
        elif days is None:
            tally.holds(f"hold {lot}: not reached within the temperatures, and the library says {answer}", "refused" in answer)
        else:
            tally.holds(f"hold {lot}: {days} days, and the library says {answer}", answer.get("days") == days)
    tally.holds(f"{tied} holds end on a strip hour to the second", tied < 100)
    return tally.close(1000)


def days_held(question):
    """Days of a hold, or nothing where the temperatures end first; and how near the decision is, in hours of age."""
    daily, pour, strip = question["daily"][question["pour_day"]:], question["pour_hour"], question["strip_hour"]
    # Trial hours pass whatever the weather: its end is no end of theirs.
    rates = [1.0] * 100 if question["by_trial"] else [rate(degrees) for degrees in daily]
    starts = [pour, *(24.0 * day for day in range(1, len(rates) + 1))]
    ages = [0.0]
    for day, speed in enumerate(rates):
        ages.append(ages[-1] + speed * (starts[day + 1] - starts[day]))
    at = lambda hour: ages[int(hour // 24)] + rates[int(hour // 24)] * (hour - starts[int(hour // 24)])
    # At 24 h the day is over: the age at its end.
    reached = [ages[day + 1] if strip == 24 else at(24.0 * day + strip) for day in range(1, len(rates))]
    first = bisect.bisect_left(reached, question["hours"])
    slack = min((abs(age - question["hours"]) for age in reached), default=1.0)
    return (first + 1 if first < len(reached) else None), slack


def rate(degrees):
    """Hours at 20 °C an hour counts for; none while it freezes."""
    return 0.0 if degrees < 0 else math.exp(5000 / 293.15 - 5000 / (degrees + 273.15))
