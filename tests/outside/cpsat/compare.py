"""Holds the planner against the CP-SAT model on small facts drawn by lot.

    python compare.py MOULDBOARD [--facts 30] [--seconds 60] [--keep FOLDER]

On each: both lateness figures equal the optimum CP-SAT proves, no bound is above it, and the material cost is never below
the least at that lateness. Every plan of either side is judged. Exit 1 where they disagree or an optimum stays unproven;
facts and plans of a disagreement are kept in FOLDER. Seconds are a limit for each solve, not a measure.
"""
import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

from small_facts import small_facts
from solve import judge, least_cost, least_late

FIGURES = ("order_days_late", "panel_days_late")


class Disagreement(Exception):
    """Two sides that cannot both be right."""


def planned(program, facts, figure, seconds, folder):
    """The planner's plan and its proof by a figure, the plan judged."""
    facts_file, plan_file = folder / "facts.json", folder / f"ours-{figure}.json"
    facts_file.write_text(json.dumps(facts, indent=1))
    command = [program, "plan", str(facts_file), "--out", str(plan_file), "--seconds", str(seconds), "--threads", "2"]
    run = subprocess.run([*command, "--figure", figure], capture_output=True, text=True)
    if run.returncode:
        raise Disagreement(f"the planner makes no plan by {figure}: {run.stderr[-400:]}")
    plan = json.loads(plan_file.read_text())
    accept(facts, plan, f"our plan by {figure}")
    proof = plan["proof"]
    if proof["figure"] != figure:
        raise Disagreement(f"asked for {figure}, the proof is of {proof['figure']}")
    return plan, proof


def accept(facts, plan, whose):
    """The judge's figures of a plan that breaks no rule."""
    figures, broken = judge(facts, plan)
    if broken:
        raise Disagreement(f"the judge refuses {whose}: {broken[:3]}")
    return figures


def optimum(facts, figure, seconds, folder):
    """What CP-SAT proves by a figure; nothing where no plan keeps the pins."""
    found = least_late(facts, figure, seconds)
    if not found.proven:
        raise Disagreement(f"CP-SAT proves no {figure} in {seconds} s: {found.value}, at least {found.bound}")
    if found.plan is None:
        return None
    if accept(facts, keep(found.plan, folder / f"cpsat-{figure}.json"), "CP-SAT's plan")[figure] != found.value:
        raise Disagreement(f"CP-SAT says {found.value} {figure}, the judge {judge(facts, found.plan)[0][figure]}")
    return found


def keep(document, path):
    """Writes a document down and gives it back."""
    path.write_text(json.dumps(document, indent=1))
    return document


def same_lateness(facts, figure, best, program, seconds, folder):
    """Our plan by a figure, as late as the best there is and proven so."""
    plan, proof = planned(program, facts, figure, seconds, folder)
    ours = plan["figures"][figure]
    if proof["bound"] > best.value + 1e-6:
        raise Disagreement(f"{figure}: our bound {proof['bound']} is above the optimum {best.value}")
    if ours != best.value:
        raise Disagreement(f"{figure}: ours {ours} ({proof['ended']}), CP-SAT's {best.value}")
    if proof["ended"] != "optimal":
        raise Disagreement(f"{figure}: {ours} is the optimum but not proven in {seconds} s: bound {proof['bound']}")
    return plan


def one(facts, program, seconds, folder):
    """Compares on one document; the line to show, or nothing where pins leave no plan."""
    late = optimum(facts, "order_days_late", seconds, folder)
    if late is None:
        return None
    panel_late = optimum(facts, "panel_days_late", seconds, folder)
    plan = same_lateness(facts, "order_days_late", late, program, seconds, folder)
    same_lateness(facts, "panel_days_late", panel_late, program, seconds, folder)
    cost = least_cost(facts, late.value, seconds, hint=late.plan)
    ours, least = plan["figures"]["material_cost"], round(cost.bound)
    if cost.plan:
        accept(facts, keep(cost.plan, folder / "cpsat-cost.json"), "CP-SAT's cheapest plan")
    if ours < least - 1:
        raise Disagreement(f"material_cost: ours {ours} is below the least there can be, {least}")
    proven = "" if cost.proven else " (the least not proven)"
    above = (ours / least - 1) * 100 if least else 0.0
    return f"{late.value:g} order-days, {panel_late.value:g} panel-days late; cost {ours}, {above:.1f} % above the least{proven}", above


def main():
    """Draws facts until enough of them have a plan."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("program")
    words.add_argument("--facts", type=int, default=30)
    words.add_argument("--seconds", type=float, default=60)
    words.add_argument("--first", type=int, default=0, help="the first lot to draw")
    words.add_argument("--keep", type=Path, help="where facts and plans of a disagreement are kept")
    told = words.parse_args()
    wrong, compared, lot, above, skipped = 0, 0, told.first, [], 0
    while compared < told.facts:
        with tempfile.TemporaryDirectory() as place:
            try:
                said = one(small_facts(lot), told.program, told.seconds, Path(place))
                if said is None:
                    skipped += 1
                else:
                    compared += 1
                    above.append(said[1])
                    print(f"  lot {lot}: {said[0]}", flush=True)
            except Disagreement as what:
                wrong, compared = wrong + 1, compared + 1
                print(f"  lot {lot}: DISAGREEMENT: {what}", flush=True)
                if told.keep:
                    target = told.keep / f"lot-{lot}"
                    target.mkdir(parents=True, exist_ok=True)
                    for file in Path(place).iterdir():
                        (target / file.name).write_text(file.read_text())
        lot += 1
    least = sum(a < 0.05 for a in above)
    print(f"CP-SAT: {compared} small facts compared, {wrong} disagreements; material cost the least there is on {least}, "
          f"at most {max(above, default=0):.1f} % above; {skipped} drawn that have no plan were passed over")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
