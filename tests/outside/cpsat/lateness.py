"""Orders (rule 7) and how late they are (rule 8)."""
from collections import defaultdict

from flow import exact, whole


class Late:
    """Order-days or panel-days late as a whole-number sum over `scale`, and who is served when."""

    def __init__(self, figure):
        self.figure, self.sum, self.scale = figure, 0, 1
        self.ready, self.given = {}, {}


def add_orders(model):
    """Supply rows and the lateness wanted; returns its `Late`."""
    late = Late(model.figure)
    late.scale = whole(*(order["weight"] for order in model.facts["orders"])) if model.facts["orders"] else 1
    wanted = {order["id"]: model.sums(((l["panel"], l["finish"]), l["quantity"]) for l in order["lines"]) for order in model.facts["orders"]}
    if model.figure == "order_days_late":
        takes = whole_orders(model, late, wanted)
    else:
        takes = single_panels(model, late, wanted)
    for key, taken in takes.items():
        for i in range(model.calendar.days):
            given = sum(taken_by(i) for taken_by in taken)
            if not (isinstance(given, int) and given == 0):
                model.cp.add(given <= supplied(model, *key, i))
    return late


def supplied(model, panel, finish, i):
    """Ready of a panel and finish by the end of a day: in stock, from lots on a rack, from lifts dried by then."""
    stock = sum(s["quantity"] for s in model.facts.get("ready_stock", []) if (s["panel"], s["finish"]) == (panel, finish))
    for key, lot in model.lots_in("drying"):
        dry = model.calendar.from_outside(lot["since"], model.mixes[lot["mix"]]["dry_days"])
        if (lot["panel"], model.mixes[lot["mix"]]["finish"]) == (panel, finish) and dry <= i:
            stock += lot["quantity"]
    lifted = 0
    for key, flow in model.lifts.items():
        if (key[0], model.mixes[key[1]]["finish"]) == (panel, finish):
            lifted += flow.by(model.dries_past(key, i) - 1)
    return stock + lifted


def due(model, order):
    """The working day to give an order on at best: the last not after its due day (earlier is no better)."""
    day = model.calendar.date(order["due_on"])
    return max(0, sum(work <= day for work in model.calendar.work) - 1)


def days_late(model, order):
    """Late days if given on each working day, and last if not at all by the end."""
    day, last = model.calendar.date(order["due_on"]), model.calendar.last
    never = max(0, (last - day).days + model.facts["policy"]["unmet_days"])
    return [max(0, (work - day).days) for work in model.calendar.work] + [never]


def add_steps(late, weight, days, first, by):
    """Adds weight · days late of what is given `by` each day from `first`, out of `by(None)` in all."""
    previous = 0
    for i in range(first, len(days) - 1):
        late.sum += weight * days[i] * (by(i) - previous)
        previous = by(i)
    late.sum += weight * days[-1] * (by(None) - previous)


def whole_orders(model, late, wanted):
    """Each order is given whole on one day or never."""
    takes = defaultdict(list)
    for order in model.facts["orders"]:
        first, name = due(model, order), order["id"]
        ready = {i: model.cp.new_bool_var(f"{name} whole by {i}") for i in range(first, model.calendar.days)}
        for i in range(first + 1, model.calendar.days):
            model.cp.add_implication(ready[i - 1], ready[i])
        add_steps(late, int(exact(order["weight"]) * late.scale), days_late(model, order), first, lambda i: 1 if i is None else ready[i])
        for key, quantity in wanted[name].items():
            takes[key].append(lambda i, q=quantity, ready=ready: q * ready[i] if i in ready else 0)
        late.ready[name] = ready
    return takes


def single_panels(model, late, wanted):
    """Each panel of an order is given on a day of its own."""
    takes = defaultdict(list)
    for order in model.facts["orders"]:
        first = due(model, order)
        for key, quantity in wanted[order["id"]].items():
            given = {i: model.cp.new_int_var(0, quantity, f"{order['id']} {key} by {i}") for i in range(first, model.calendar.days)}
            for i in range(first + 1, model.calendar.days):
                model.cp.add(given[i - 1] <= given[i])
            weight = int(exact(order["weight"]) * late.scale)
            add_steps(late, weight, days_late(model, order), first, lambda i: quantity if i is None else given[i])
            takes[key].append(lambda i, given=given: given.get(i, 0))
            late.given[order["id"], key] = given
    return takes
