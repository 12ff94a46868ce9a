"""Materials (rule 6) and what they cost."""
import math
from collections import defaultdict
from fractions import Fraction

from calendar_days import DAY
from flow import exact


class Stock:
    """Deliveries by (material, day), what is drawn in all, and the cost as exact factors of variables."""

    def __init__(self):
        self.packs, self.terms, self.constant = {}, [], Fraction(0)


def add_materials(model):
    """Rows of every material; returns its `Stock`."""
    stock = Stock()
    for material in model.materials.values():
        add_material(model, stock, material)
    add_put_off(model, stock)
    return stock


def drawn(model, name, i):
    """What a day draws of a material as (factor, variable), and the variables that say whether it draws at all."""
    terms, signs = [], []
    for mix_name, mix in model.mixes.items():
        per_litre = exact(mix["per_litre"].get(name, 0))
        if per_litre:
            terms += [(per_litre * model.step[mix_name], model.litres[mix_name, i]), (per_litre * exact(mix["washout_litres"]), model.washed[mix_name, i])]
            signs.append(model.washed[mix_name, i])
    for (panel, _), flow in model.pours.items():
        per_panel = exact(model.panels[panel].get("per_panel", {}).get(name, 0))
        if per_panel:
            terms.append((per_panel, flow.on[i]))
            signs.append(flow.on[i])
    return terms, signs


def expected(model, material):
    """What comes of itself, by working day."""
    by_day = defaultdict(Fraction)
    for row in material.get("expected", []):
        by_day[model.calendar.from_outside(row["day"], 0)] += exact(row["quantity"])
    return by_day


def add_material(model, stock, material):
    """Level day by day: no lower than the floor where drawn, no higher than the room where delivered."""
    cp, calendar, name = model.cp, model.calendar, material["id"]
    days = [drawn(model, name, i) for i in range(calendar.days)]
    coming = expected(model, material)
    numbers = [exact(material[key]) for key in ("on_hand", "floor", "pack")] + [exact(material.get("store_max") or 0), *coming.values()]
    scale = math.lcm(*(n.denominator for n in numbers), *(factor.denominator for terms, _ in days for factor, _ in terms))
    whole = lambda number: int(exact(number) * scale)
    most_drawn = sum(int(factor * scale) * top(variable) for terms, _ in days for factor, variable in terms)
    prices = [(1, material["pack_price"])] + [(b["from_packs"], b["pack_price"]) for b in material.get("price_breaks", [])]
    most_packs = max(most_drawn // whole(material["pack"]) + 1, max(packs for packs, _ in prices))
    most_level = whole(material["on_hand"]) + sum(whole(q) for q in coming.values()) + calendar.days * most_packs * whole(material["pack"])
    level, tiers = whole(material["on_hand"]), []
    for i, (terms, signs) in enumerate(days):
        before = level + whole(coming[i])
        if calendar.work[i] >= calendar.first + material["lead_days"] * DAY:
            packs, came = cp.new_int_var(0, most_packs, f"packs {name}@{i}"), cp.new_bool_var(f"came {name}@{i}")
            cp.add(packs >= came)
            cp.add(packs <= most_packs * came)
            before = before + whole(material["pack"]) * packs
            if material.get("store_max") is not None:
                cp.add(before <= whole(material["store_max"])).only_enforce_if(came)
            stock.packs[name, i] = packs
            stock.terms.append((exact(material["delivery_charge"]), came))
            tiers += add_tiers(cp, packs, came, prices, most_packs, material["pack_price"])
        level = cp.new_int_var(-most_drawn, most_level, f"level {name}@{i}")
        cp.add(level == before - sum(int(factor * scale) * variable for factor, variable in terms))
        for sign in signs:
            add_floor(cp, level, whole(material["floor"]), sign)
    every = [term for terms, _ in days for term in terms]
    price = exact(material["pack_price"]) / exact(material["pack"])
    stock.terms += [(factor * price, variable) for factor, variable in every]
    add_savings(cp, stock, material, every, tiers, min(p for _, p in prices))


def top(variable):
    """The most a variable can be."""
    return 0 if isinstance(variable, int) else max(variable.proto.domain)


def add_floor(cp, level, floor, sign):
    """Where the day draws (`sign` above nothing) the level keeps the floor."""
    if isinstance(sign, int):
        return
    if top(sign) == 1:
        cp.add(level >= floor).only_enforce_if(sign)
        return
    draws = cp.new_bool_var("")
    cp.add(sign <= top(sign) * draws)
    cp.add(level >= floor).only_enforce_if(draws)


def add_tiers(cp, packs, came, prices, most_packs, full):
    """Which price a delivery reaches; returns (saving a pack, packs at it)."""
    if len(prices) == 1:
        return []
    chosen, shares, tiers = [], [], []
    for least, price in prices:
        at, share = cp.new_bool_var(""), cp.new_int_var(0, most_packs, "")
        cp.add(share >= least * at)
        cp.add(share <= most_packs * at)
        chosen.append(at)
        shares.append(share)
        tiers.append((max(Fraction(0), exact(full) - exact(price)), share))
    cp.add(sum(chosen) == came)
    cp.add(sum(shares) == packs)
    return tiers


def add_savings(cp, stock, material, every, tiers, lowest):
    """What price breaks save, at most on what is drawn."""
    if not tiers:
        return
    most = sum(saving * top(share) for saving, share in tiers)
    per_unit = (exact(material["pack_price"]) - exact(lowest)) / exact(material["pack"])
    limits = [tiers, [(factor * per_unit, variable) for factor, variable in every]]
    scale = math.lcm(*(factor.denominator for terms in limits for factor, _ in terms))
    saved = cp.new_int_var(0, int(most * scale), f"saved {material['id']}")
    for terms in limits:
        cp.add(saved <= sum(int(factor * scale) * variable for factor, variable in terms))
    stock.terms.append((Fraction(-1, scale), saved))


def add_put_off(model, stock):
    """Panels ordered and neither there nor poured are put off, not saved: they cost their material."""
    cp = model.cp
    ordered = model.sums(((l["panel"], l["finish"]), l["quantity"]) for o in model.facts["orders"] for l in o["lines"])
    have = model.sums([((s["panel"], s["finish"]), s["quantity"]) for s in model.facts.get("ready_stock", [])]
                      + [((lot["panel"], model.mixes[lot["mix"]]["finish"]), lot["quantity"]) for lot in model.lots])
    cost = lambda per: sum(exact(q) * exact(model.materials[x]["pack_price"]) / exact(model.materials[x]["pack"]) for x, q in per.items())
    for (panel, finish), quantity in ordered.items():
        facts = model.panels[panel]
        able = [mix for mix in facts["mixes"] if model.mixes[mix]["finish"] == finish]
        short = quantity - have.get((panel, finish), 0)
        if short <= 0 or not able:
            continue
        each = exact(facts["litres"]) * max(cost(model.mixes[mix]["per_litre"]) for mix in able) + cost(facts.get("per_panel", {}))
        off = cp.new_int_var(0, short, f"put off {panel} {finish}")
        cp.add(off >= short - sum(model.pours[panel, mix].by(model.calendar.days - 1) for mix in able))
        stock.terms.append((each, off))
