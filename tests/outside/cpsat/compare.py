"""Holds the planner against the CP-SAT model on small facts drawn by lot.

    python compare.py MOULDBOARD [--facts 30] [--first 0] [--seconds 60] [--keep FOLDER]

On each, by both lateness figures: our plan is never better than the optimum CP-SAT proves, our bound never above it, and
where we say "optimal" the two are equal. Our plan never costs less than the least there can be at its lateness. Every plan
of either side is judged. Pins that CP-SAT proves impossible must leave us without a plan as well. Exit 1 where the two
disagree, or where CP-SAT proves too few optima to compare with; facts and plans of a disagreement are kept in FOLDER.
Our runs end by counts, so that they are the same every time; seconds only limit what CP-SAT is given.
"""
import argparse
import json
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from small_facts import small_facts
from solve import judge, least_cost, least_late

FIGURES = ("order_days_late", "panel_days_late")
COUNTS = ("--evaluations", "30000", "--nodes", "2000", "--threads", "1")
NOISE = 1e-6
# Costs are exact fractions rounded to whole minor units.
ROUNDED = 0.51


class Disagreement(Exception):
    """Two sides that cannot both be right."""


def ask(condition, otherwise):
    """Nothing, if the two sides can both be right."""
    if not condition:
        raise Disagreement(otherwise)


def keep(document, path):
    """Writes a document down and gives it back."""
    path.write_text(json.dumps(document, indent=1))
    return document


def accept(facts, plan, whose):
    """The judge's figures of a plan that breaks no rule."""
    figures, broken = judge(facts, plan)
    ask(not broken, f"the judge refuses {whose}: {broken[:3]}")
    return figures


def run_planner(program, facts, figure, folder):
    """The planner's plan by a figure, or nothing and why."""
    facts_file, plan_file = folder / "facts.json", folder / f"ours-{figure}.json"
    keep(facts, facts_file)
    command = [program, "plan", str(facts_file), "--out", str(plan_file), "--figure", figure, *COUNTS]
    run = subprocess.run(command, capture_output=True, text=True)
    return (json.loads(plan_file.read_text()), "") if run.returncode == 0 else (None, run.stderr[-400:])


def optimum(facts, figure, seconds, folder):
    """What CP-SAT finds and proves by a figure, its plan judged."""
    found = least_late(facts, figure, seconds)
    if found.plan:
        judged = accept(facts, keep(found.plan, folder / f"cpsat-{figure}.json"), "CP-SAT's plan")[figure]
        ask(abs(judged - found.value) < NOISE, f"CP-SAT says {found.value} {figure}, the judge {judged}")
    return found


class Comparison:
    """Counts over all facts, and how far our cost is above the least, in per cent."""

    def __init__(self, program, seconds):
        self.program, self.seconds, self.counts, self.above = program, seconds, Counter(), []

    def one(self, lot, folder):
        """Compares on one document; the line to show."""
        facts = small_facts(lot)
        best = {figure: optimum(facts, figure, self.seconds, folder) for figure in FIGURES}
        if best[FIGURES[0]].plan is None and best[FIGURES[0]].proven:
            return self.impossible(facts, folder)
        said = [self.lateness(facts, figure, best[figure], folder) for figure in FIGURES]
        plan = json.loads((folder / f"ours-{FIGURES[0]}.json").read_text())
        said.append(self.cost(facts, plan, best[FIGURES[0]].plan, folder))
        self.counts["compared"] += all(found.proven for found in best.values())
        return "; ".join(said)

    def impossible(self, facts, folder):
        """Pins that leave no plan leave us none."""
        for figure in FIGURES:
            plan, _ = run_planner(self.program, facts, figure, folder)
            ask(plan is None, f"CP-SAT proves that the pins leave no plan, and we have one by {figure}")
        self.counts["impossible"] += 1
        return "the pins leave no plan, to neither side"

    def lateness(self, facts, figure, best, folder):
        """Our plan and bound by a figure against the optimum, or against what CP-SAT knows of it."""
        plan, why = run_planner(self.program, facts, figure, folder)
        ask(plan is not None, f"there is a plan, and we make none by {figure}: {why}")
        accept(facts, plan, f"our plan by {figure}")
        ours, proof = plan["figures"][figure], plan["proof"]
        most = float("inf") if best.value is None else best.value
        ask(proof["figure"] == figure, f"asked for {figure}, the proof is of {proof['figure']}")
        ask(ours >= best.bound - NOISE, f"{figure}: our plan has {ours}, and the least is {best.bound}")
        ask(proof["bound"] <= most + NOISE, f"{figure}: our bound {proof['bound']} is above {most}, which can be had")
        proven = proof["ended"] == "optimal"
        ask(not proven or ours <= most + NOISE, f"{figure}: we call {ours} optimal, and {most} can be had")
        known = "proven and equal" if proven and best.proven else "proven" if proven else "at the optimum, not proven" if ours <= most else "above"
        self.counts[figure, known] += best.proven
        return f"{figure} {ours:g}" + ("" if known == "proven and equal" else f" ({known}; least {most:g}, our bound {proof['bound']:g})")

    def cost(self, facts, plan, hint, folder):
        """Our cost against the least at our lateness."""
        found = least_cost(facts, plan["figures"]["order_days_late"], self.seconds, hint=hint)
        ours = plan["figures"]["material_cost"]
        ask(ours >= found.bound - ROUNDED, f"material_cost: our plan has {ours}, and the least is {found.bound}")
        if found.plan:
            judged = accept(facts, keep(found.plan, folder / "cpsat-cost.json"), "CP-SAT's cheapest plan")["material_cost"]
            ask(abs(judged - found.value) < ROUNDED, f"CP-SAT says a cost of {found.value}, the judge {judged}")
        if not found.proven:
            return f"cost {ours} (the least not proven, at least {found.bound:.0f})"
        above = max(0.0, ours / round(found.value) - 1) * 100 if found.value else 0.0
        self.above.append(above)
        return f"cost {ours}, {above:.1f} % above the least"

    def summary(self):
        """What was compared, and what of ours is not proven."""
        lines = [f"CP-SAT: {self.counts['compared']} small facts compared, {self.counts['disagreement']} disagreements, "
                 f"{self.counts['impossible']} more that neither side can plan"]
        for figure in FIGURES:
            count = lambda known: self.counts[figure, known]
            open_ = count("above") + count("at the optimum, not proven")
            lines.append(f"  {figure}: {count('proven and equal')} proven by both and equal; {open_} not proven by us, {count('above')} of them above the optimum")
        least = sum(above < 0.05 for above in self.above)
        lines.append(f"  material_cost: the least there is on {least} of {len(self.above)}, at most {max(self.above, default=0):.1f} % above")
        return "\n".join(lines)


def main():
    """Draws facts until enough of them are compared."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("program")
    words.add_argument("--facts", type=int, default=30)
    words.add_argument("--first", type=int, default=0, help="the first lot to draw")
    words.add_argument("--seconds", type=float, default=60, help="limit of each of CP-SAT's solves")
    words.add_argument("--keep", type=Path, help="where facts and plans of a disagreement are kept")
    told = words.parse_args()
    comparison = Comparison(told.program, told.seconds)
    for lot in range(told.first, told.first + 2 * told.facts):
        with tempfile.TemporaryDirectory() as place:
            try:
                print(f"  lot {lot}: {comparison.one(lot, Path(place))}", flush=True)
            except Disagreement as what:
                comparison.counts["disagreement"] += 1
                print(f"  lot {lot}: DISAGREEMENT: {what}", flush=True)
                if told.keep:
                    shutil.copytree(place, told.keep / f"lot-{lot}", dirs_exist_ok=True)
        if comparison.counts["compared"] + comparison.counts["disagreement"] >= told.facts:
            break
    print(comparison.summary())
    sys.exit(1 if comparison.counts["disagreement"] or comparison.counts["compared"] < told.facts else 0)


if __name__ == "__main__":
    main()
