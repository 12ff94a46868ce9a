"""Foamed mixes drawn by lot, brought to their own yield and to a load by two equations solved in exact fractions.

Of a making with M kg and V m³ of ingredients as written, other air a, foam of f kg/m³: its volume Y and that of the foam F
follow from mass, M + f F = D Y, and volume, V + F = (1 - a) Y. Where the water written holds the foam's, that much mixing
water is left out, and f F kg and f F / 1000 m³ go from the left sides.
"""
import random
from fractions import Fraction

from asking import Tally

SHARE = 1e-11
WATER = 1000


def check(library):
    """Recipes of every way to say how much foam, and a load of each with today's foam and moisture."""
    tally, rng = Tally("foamed mixes and loads"), random.Random(5)
    questions = [draw(rng) for _ in range(600)]
    for lot, (question, answer) in enumerate(zip(questions, library.ask(questions))):
        if "refused" in answer:
            tally.holds(f"mix {lot} is refused: {answer['refused']}", False)
            continue
        mix = Mix(question)
        compare_mix(tally, f"mix {lot}", mix, answer)
        compare_load(tally, f"load {lot}", mix.today(), question["load"], answer["sheet"])
    return tally.close(600 * 20)


def draw(rng):
    """A making of some kilograms of cement."""
    cement = rng.uniform(2, 400)
    near = lambda share: round(cement * rng.uniform(0.8, 1.2) * share, 4)
    kind = rng.choice(["portland", "blended"])
    parts = [dict(name="cement", role=kind, kg=round(cement, 4), relative_density=rng.choice([3.15, 3.0]), portland=round(rng.uniform(0.3, 1), 2)),
             dict(name="water", role="water", kg=near(0.5), relative_density=1.0)]
    if rng.random() < 0.6:
        parts.append(dict(name="sand", role="aggregate", kg=near(0.6), relative_density=2.65, absorption=rng.choice([0, 0.012])))
    if rng.random() < 0.3:
        parts.append(dict(name="pumice", role="lightweight", kg=near(0.2), relative_density=1.4, absorption=rng.choice([0, 0.15])))
    if rng.random() < 0.3:
        parts.append(dict(name="ash", role="addition", kg=near(0.2), relative_density=2.3))
    if rng.random() < 0.3:
        parts.append(dict(name="colour", role="pigment", kg=near(0.03), relative_density=1.8, water_share=0.45))
    if rng.random() < 0.3:
        parts.append(dict(name="glass", role="fibre", kg=near(0.01), relative_density=2.7))
    foam = dict(density=round(rng.uniform(30, 80), 1), counted=rng.random() < 0.5)
    if rng.random() < 0.5:
        foam["dilution"] = dict(concentrate_litres=1.0, water_litres=rng.uniform(15, 40), relative_density=1.03)
    question = dict(ask="recipe", ingredients=parts, air=rng.choice([0, 0.01, 0.025]), foam=foam)
    litres = sum(part["kg"] / part["relative_density"] for part in parts)
    way = rng.choice(["target", "kg", "litres", "filling"])
    if way == "target":
        wet = round(rng.uniform(600, 1300))
        question["target"] = [wet - 50, wet, wet + 50]
    elif way == "filling":
        foam["filling"], question["claimed_litres"] = True, litres * rng.uniform(1.5, 3)
    else:
        foam[way] = litres * rng.uniform(0.4, 2) * (foam["density"] / 1000 if way == "kg" else 1)
    question["load"] = dict(litres=rng.uniform(5, 300), resolution=rng.choice([1, 5, 20]))
    if rng.random() < 0.5:
        question["load"]["foam"] = round(foam["density"] * rng.uniform(0.9, 1.1), 1)
    aggregates = [part["name"] for part in parts if part["role"] in ("aggregate", "lightweight")]
    if aggregates and rng.random() < 0.5:
        question["load"]["moisture"] = {name: round(rng.uniform(0, 0.08), 3) for name in aggregates}
    return question


class Mix:
    """A making: masses, the foam's volume and the yield, all in m³ and kg as fractions."""

    def __init__(self, question, water=None, wet=None, density=None):
        self.question, self.parts, self.foam = question, question["ingredients"], question["foam"]
        self.mass = {part["name"]: Fraction(part["kg"]) for part in self.parts}
        self.mass["water"] = water if water is not None else self.mass["water"]
        self.density, self.air = Fraction(density or self.foam["density"]), Fraction(question["air"])
        # What is on record at its own yield has its water as weighed, however w/c counts the foam's.
        self.within = self.foam["counted"] and (wet is not None or "filling" not in self.foam)
        target = question.get("target")
        self.solve(wet if wet is not None else target and Fraction(target[1]))
        if self.within:
            self.mass["water"] -= self.density * self.bubbles

    def solve(self, wet):
        """The foam's volume and the yield."""
        mass, solid = sum(self.mass.values()), sum(self.mass[part["name"]] / (Fraction(part["relative_density"]) * WATER) for part in self.parts)
        # What a cubic metre of foam adds to the mass and to the volume.
        heavier = 0 if self.within else self.density
        larger = 1 - self.density / WATER if self.within else Fraction(1)
        if wet is not None:
            # mass + heavier F = wet Y, solid + larger F = (1 - air) Y, by Cramer's rule.
            below = larger * wet - heavier * (1 - self.air)
            self.bubbles = (mass * (1 - self.air) - solid * wet) / below
            self.volume = (mass * larger - solid * heavier) / below
            return
        if "filling" in self.foam:
            self.volume = Fraction(self.question["claimed_litres"]) / 1000
            self.bubbles = self.volume * (1 - self.air) - solid
            return
        self.bubbles = Fraction(self.foam["kg"]) / self.density if "kg" in self.foam else Fraction(self.foam["litres"]) / 1000
        self.volume = (solid + larger * self.bubbles) / (1 - self.air)

    def wet(self):
        """Wet density, kg/m³."""
        return (sum(self.mass.values()) + self.density * self.bubbles) / self.volume

    def today(self):
        """The same mix with the foam measured today: the same wet density from all its water."""
        measured = self.question["load"].get("foam")
        if measured is None:
            return self
        water = self.mass["water"] + (self.density * self.bubbles if self.foam["counted"] else 0)
        return Mix(self.question, water, Fraction(self.question["target"][1]) if "target" in self.question else self.wet(), measured)

    def sum(self, share):
        """Mass of a share of each part."""
        return sum(self.mass[part["name"]] * Fraction(share(part)) for part in self.parts)


def compare_mix(tally, what, mix, answer):
    """Yield, contents, foam, densities and water ratios."""
    same = lambda name, ours, theirs: tally.same(f"{what}, {name}", ours, theirs, SHARE)
    same("litres", answer["making_litres"], mix.volume * 1000)
    for part, content in zip(mix.parts, answer["contents"]):
        same(part["name"], content, mix.mass[part["name"]] / mix.volume)
    same("foam", answer["foam_volume"], mix.bubbles / mix.volume)
    same("foam's mass", answer["foam_content"], mix.density * mix.bubbles / mix.volume)
    same("wet density", answer["wet"], mix.wet())
    same("air", answer["air"], mix.air + mix.bubbles / mix.volume * (1 - mix.density / WATER))
    free = lambda part: 1 if part["role"] == "water" else part.get("water_share", 0)
    dry = mix.sum(lambda part: (1 - Fraction(free(part))) / (1 + Fraction(part.get("absorption", 0))))
    portland = mix.sum(lambda part: {"portland": 1, "blended": part.get("portland", 0)}.get(part["role"], 0))
    same("oven-dry density", answer["oven_dry"], (dry + portland / 5) / mix.volume)
    water, cement = mix.sum(free), mix.sum(lambda part: part["role"] in ("portland", "blended"))
    for name, binder in (("water_cement", cement), ("water_cementitious", cement + mix.sum(lambda part: part["role"] == "addition"))):
        same(f"{name} with foam", answer[name][0], (water + mix.density * mix.bubbles) / binder)
        same(f"{name} without foam", answer[name][1], water / binder)


def compare_load(tally, what, mix, load, sheet):
    """What to weigh, and the foam's two liquids."""
    share = Fraction(load["litres"]) / 1000 / mix.volume
    wanted, brought = {name: mass * share for name, mass in mix.mass.items()}, Fraction(0)
    for part in mix.parts:
        moisture = load.get("moisture", {}).get(part["name"])
        if moisture is not None:
            dry = wanted[part["name"]] / (1 + Fraction(part["absorption"] if "absorption" in part else 0))
            wanted[part["name"]] = dry * (1 + Fraction(moisture))
            brought += dry * (Fraction(moisture) - Fraction(part.get("absorption", 0)))
    wanted["water"] -= brought
    for part, exact, weighed in zip(mix.parts, sheet["exact_kg"], sheet["weighed_g"]):
        tally.same(f"{what}, {part['name']}", exact, wanted[part["name"]], SHARE)
        near(tally, f"{what}, {part['name']} to weigh", weighed, wanted[part["name"]] * 1000, load["resolution"])
    foam = sheet["foam"]
    kilograms = mix.density * mix.bubbles * share
    tally.same(f"{what}, foam", foam["litres"], mix.bubbles * share * 1000, SHARE)
    tally.same(f"{what}, foam's mass", foam["kg"], kilograms, SHARE)
    near(tally, f"{what}, foam to weigh", foam["weighed_g"], kilograms * 1000, load["resolution"])
    dilution = mix.foam.get("dilution")
    relative = Fraction(dilution["relative_density"]) if dilution else Fraction(1)
    concentrate = relative * Fraction(dilution["concentrate_litres"]) if dilution else Fraction(0)
    of_concentrate = concentrate / (concentrate + Fraction(dilution["water_litres"])) if dilution else Fraction(0)
    if dilution:
        near(tally, f"{what}, concentrate", foam["concentrate_ml"], kilograms * of_concentrate / relative * 1000, 1)
    near(tally, f"{what}, foam's water", foam["water_g"], kilograms * (1 - of_concentrate) * 1000, 1)


def near(tally, what, rounded, exact, step):
    """A whole number of steps, the nearest."""
    tally.holds(f"{what}: {rounded} is not {float(exact):.3f} to the nearest {step}", rounded % step == 0 and abs(rounded - exact) <= Fraction(step, 2) + Fraction(1, 10**6))
