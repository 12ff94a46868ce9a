"""Solves the model and writes what it found as a plan document."""
import math
import sys
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from ortools.sat.python import cp_model

from model import Model

sys.path.insert(0, str(Path(__file__).parents[1] / "judge"))
from judge import judge


@dataclass
class Found:
    """What a solve ended with; `value` and `bound` in the figure's own unit, `value` nothing where no plan was found."""

    value: float | None
    bound: float
    proven: bool
    seconds: float
    plan: dict | None


def least_late(facts, figure, seconds, workers=8, hint=None):
    """The least lateness by a figure."""
    model = Model(facts, figure)
    return run(model, model.late.sum, model.late.scale, seconds, workers, hint)


def least_cost(facts, order_days_late, seconds, workers=8, hint=None):
    """The least material cost at no more than so many order-days late."""
    model = Model(facts, "order_days_late")
    model.cp.add(model.late.sum <= math.floor(Fraction(str(order_days_late)) * model.late.scale))
    terms = model.stock.terms
    scale = math.lcm(*(factor.denominator for factor, _ in terms)) if terms else 1
    return run(model, sum(int(factor * scale) * variable for factor, variable in terms), scale, seconds, workers, hint)


def run(model, goal, scale, seconds, workers, hint):
    """Minimises `goal` / `scale`."""
    model.cp.minimize(goal)
    if hint:
        add_hint(model, hint)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    state = solver.solve(model.cp)
    if state == cp_model.MODEL_INVALID:
        raise ValueError(model.cp.validate())
    found = state in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    value = float(Fraction(round(solver.objective_value), scale)) if found else None
    bound = math.ceil(solver.best_objective_bound - 1e-6) / scale if state != cp_model.UNKNOWN or solver.best_objective_bound else 0.0
    plan = plan_of(model, solver) if found else None
    return Found(value, bound, state in (cp_model.OPTIMAL, cp_model.INFEASIBLE), solver.wall_time, plan)


def plan_of(model, solver):
    """The plan document; the figures not minimised are the judge's."""
    value = lambda variable: variable if isinstance(variable, int) else solver.value(variable)
    day = lambda i: model.calendar.work[i].isoformat()
    names = ("panel", "mix", "tank", "rack")
    rows = lambda flows, width: [dict(day=day(i), **dict(zip(names, key[:width])), quantity=value(on))
                                 for key, flow in flows.items() for i, on in enumerate(flow.on) if value(on)]
    batches = [dict(day=day(i), mix=mix, litres=[float(value(model.litres[mix, i]) * model.step[mix]) / value(count)] * value(count))
               for (mix, i), count in model.count.items() if value(count)]
    deliveries = [dict(arrives=day(i), material=name, packs=value(packs)) for (name, i), packs in model.stock.packs.items() if value(packs)]
    plan = dict(format="mouldboard-plan/1", pours=rows(model.pours, 2), strips=rows(model.strips, 3), lifts=rows(model.lifts, 4),
                batches=batches, deliveries=deliveries, orders=[order_of(model, value, order) for order in model.facts["orders"]])
    figures, _ = judge(model.facts, plan)
    plan["figures"] = {name: figures[name] for name in ("order_days_late", "panel_days_late", "material_cost", "changes")}
    return plan


def order_of(model, value, order):
    """An order's row: what it is given, and when it is whole."""
    given = defaultdict(int)
    wanted = model.sums(((l["panel"], l["finish"]), l["quantity"]) for l in order["lines"])
    for key, quantity in wanted.items():
        if model.figure == "order_days_late":
            whole = [i for i, ready in model.late.ready[order["id"]].items() if value(ready)]
            given.update({(key, whole[0]): quantity} if whole else {})
        else:
            before = 0
            for i, by in model.late.given[order["id"], key].items():
                if value(by) > before:
                    given[key, i], before = value(by) - before, value(by)
    complete = sum(given.values()) == sum(wanted.values())
    ready_on = model.calendar.work[max(i for _, i in given)].isoformat() if complete and given else None
    met = [dict(panel=key[0], finish=key[1], day=model.calendar.work[i].isoformat(), quantity=quantity) for (key, i), quantity in given.items()]
    return dict(id=order["id"], ready_on=ready_on, met=met)


def add_hint(model, plan):
    """Tells the solver a plan to start from, by its counts."""
    one = {"tank": model.only(model.tanks), "rack": model.only(model.racks)}
    counts = defaultdict(int)
    for kind, flows, names in (("pours", model.pours, ("panel", "mix")), ("strips", model.strips, ("panel", "mix", "tank")),
                               ("lifts", model.lifts, ("panel", "mix", "tank", "rack"))):
        for row in plan[kind]:
            key = tuple(row.get(name) or one.get(name) for name in names)
            counts[kind, key, model.calendar.index[model.calendar.date(row["day"])]] += row["quantity"]
        for key, flow in flows.items():
            for i, on in enumerate(flow.on):
                if not isinstance(on, int):
                    model.cp.add_hint(on, counts[kind, key, i])
    batches = {(row["mix"], row["day"]): len(row["litres"]) for row in plan["batches"]}
    for (mix, i), count in model.count.items():
        model.cp.add_hint(count, batches.get((mix, model.calendar.work[i].isoformat()), 0))
    orders = {row["id"]: row["ready_on"] for row in plan["orders"]}
    for name, ready in model.late.ready.items():
        for i, by in ready.items():
            model.cp.add_hint(by, bool(orders[name] and orders[name] <= model.calendar.work[i].isoformat()))
