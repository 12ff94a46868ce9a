"""The absolute volumes, water ratios and densities of 1030 published mixes, worked out once more.

I-Cheng Yeh, Modeling of strength of high performance concrete using artificial neural networks, Cement and Concrete
Research 28(12), 1998; the data by the same author, UCI Machine Learning Repository. The data are not part of this project:
the check runs where they lie beside it.
"""
import csv
import statistics
from fractions import Fraction

from asking import Tally

WHERE = "../shared/data/concrete/concrete_1030.csv"
SHARE = 1e-12
# Column, role, relative density taken for it (assumed: the mixes were published without).
PARTS = [("Cement", "portland", "3.15"), ("Blast_Furnace_Slag", "addition", "2.90"), ("FlyAsh", "addition", "2.30"), ("Water", "water", "1.00"),
         ("Superplasticizer", "admixture", "1.10"), ("Coarse_Aggregate", "aggregate", "2.65"), ("Fine_Aggregate", "aggregate", "2.65")]
# What is known of the data: the mean of each column, to 0.001.
MEANS = [281.168, 73.896, 54.188, 181.567, 6.205, 972.919, 773.581]
AIR = Fraction("0.015")


def check(library, project):
    """Every mix with no air and with 1.5 %; then what the yields come to together."""
    file = project / WHERE
    if not file.is_file():
        print(f"  published mixes: not run, {WHERE} is not there")
        return True
    with file.open(encoding="utf-8-sig", newline="") as lines:
        rows = [[Fraction(row[name]) for name, _, _ in PARTS] for row in csv.DictReader(lines)]
    tally = Tally("published mixes")
    for (name, _, _), mean, column in zip(PARTS, MEANS, zip(*rows)):
        tally.holds(f"the mean of {name} is {float(sum(column) / len(rows)):.3f}, not {mean}", abs(sum(column) / len(rows) - Fraction(str(mean))) <= Fraction("0.001"))
    yields = [compare(tally, library, rows, air) for air in (Fraction(0), AIR)]
    together(tally, *yields)
    return tally.close(2 * 1030 * 10)


def compare(tally, library, rows, air):
    """Yield, contents, densities and water ratios of every row; the library's yields in litres."""
    answers = library.ask([question(row, air) for row in rows])
    for at, (row, answer) in enumerate(zip(rows, answers)):
        same = lambda what, ours, theirs: tally.same(f"mix {at + 1}, {what}", ours, theirs, SHARE)
        cement, slag, ash, water, plasticiser, coarse, fine = row
        litres = sum(mass / Fraction(relative) for mass, (_, _, relative) in zip(row, PARTS)) / (1 - air)
        same("litres", answer.get("making_litres", answer), litres)
        if "refused" in answer:
            continue
        for part, content, mass in zip(PARTS, answer["contents"], row):
            same(part[0], content, mass * 1000 / litres)
        same("wet density", answer["wet"], sum(row) * 1000 / litres)
        # ASTM C567: dry aggregates and 1.2 times the Portland cement; additions and admixture as they are.
        same("oven-dry density", answer["oven_dry"], (coarse + fine + cement * Fraction("1.2") + slag + ash + plasticiser) * 1000 / litres)
        same("air", answer["air"], air)
        for ratio, binder in (("water_cement", cement), ("water_cementitious", cement + slag + ash)):
            for way in answer[ratio]:
                same(ratio, way, water / binder)
        # Near nothing a share of the difference says little: of the whole, then.
        tally.same(f"mix {at + 1}, off a cubic metre", answer["difference_per_cent"], (litres - 1000) / 10, SHARE, 100)
    return [answer["making_litres"] for answer in answers if "refused" not in answer]


def question(row, air):
    """A mix as a recipe for one cubic metre."""
    parts = [dict(name=name, role=role, kg=float(mass), relative_density=float(relative)) for (name, role, relative), mass in zip(PARTS, row)]
    return dict(ask="recipe", ingredients=parts, air=float(air), claimed_litres=1000.0)


def together(tally, bare, with_air):
    """How near a cubic metre careful weighing comes: figures found once and held here."""
    share = lambda least, most, yields: 100 * sum(least <= y <= most for y in yields) / len(yields)
    said = [("the mean of the absolute volumes", statistics.fmean(bare), 984.6, 0.05), ("their standard deviation", statistics.stdev(bare), 15.7, 0.05),
            ("the least", min(bare), 938, 1), ("the most", max(bare), 1029, 1), ("the per cent within 950 to 1010", share(950, 1010, bare), 95.7, 0.05)]
    for what, value, known, off in said:
        tally.holds(f"{what} is {value:.2f}, not {known}", abs(value - known) <= off)
    near = share(970, 1030, with_air)
    tally.holds(f"with 1.5 % of air only {near:.1f} % come within 3 % of a cubic metre", near > 90)
    print(f"  published mixes: {len(bare)}, {statistics.fmean(bare):.1f} L a cubic metre without air (standard deviation {statistics.stdev(bare):.1f}); "
          f"with 1.5 % of air {near:.1f} % within 3 % of a cubic metre")
