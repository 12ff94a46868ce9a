"""Small facts drawn by lot: every rule of the documents can bind in them, and a general solver can still prove the best."""
import datetime
import random

START = datetime.date(2026, 3, 2)
MATERIALS = ("cement", "sand", "colour")


def small_facts(seed):
    """Facts of ten to thirteen days: the same for the same seed."""
    rng = random.Random(seed)
    span = rng.randint(10, 13)
    dates = [START + datetime.timedelta(days=i) for i in range(span)]
    work = [d for d in dates if d.weekday() < 5 and rng.random() > 0.08] or dates[:5]
    iso = lambda d: d.isoformat()
    facts = dict(format="mouldboard-facts/1", name=f"small-lot-{seed}", first_day=iso(dates[0]), last_day=iso(dates[-1]),
                 working_days=[iso(d) for d in work])
    minutes = rng.choice([70, 90, 120])
    facts["labour_minutes"] = dict(usual=minutes, on={iso(d): rng.choice([0, minutes // 2, minutes + 40]) for d in work if rng.random() < 0.2})
    facts["mixer_batches"] = rng.randint(2, 3)
    facts["mixes"] = [mix(rng, i, work) for i in range(rng.randint(2, 3))]
    facts["mould_groups"] = [mould_group(rng, i, work) for i in range(2)]
    facts["tanks"] = [dict(id=f"tank-{i}", mm=rng.choice([100, 160, 240])) for i in range(rng.randint(1, 2))]
    facts["racks"] = [dict(id=f"rack-{i}", mm=rng.choice([160, 240, 320])) for i in range(rng.randint(1, 2))]
    facts["panels"] = [panel(rng, i, facts) for i in range(2)]
    facts["materials"] = [material(rng, name, work) for name in MATERIALS]
    facts["lots"] = [lot(rng, facts) for _ in range(rng.randint(0, 2))]
    finishes = sorted({(p["id"], m["finish"]) for p in facts["panels"] for m in facts["mixes"] if m["id"] in p["mixes"]})
    facts["ready_stock"] = [dict(panel=p, finish=f, quantity=rng.randint(1, 2)) for p, f in finishes if rng.random() < 0.25]
    facts["orders"] = [order(rng, i, finishes, dates) for i in range(rng.randint(3, 4))]
    facts["pinned"] = pins(rng, facts)
    facts["published"] = []
    facts["policy"] = dict(unmet_days=rng.choice([5, 20]), steady_days=3, late_price=100, seconds=30, threads=2, seed=1)
    return facts


def mix(rng, i, work):
    """The first is plain, the second coloured, a third plain and quicker."""
    coloured, quick = i == 1, i == 2
    per_litre = dict(cement=rng.choice([380, 420]) + 80 * quick, sand=rng.choice([600, 800]))
    if coloured:
        per_litre["colour"] = rng.choice([12, 17.5])
    made = dict(id=f"mix-{i}", finish="brick" if coloured else "plain", per_litre=per_litre, batch_litres_min=rng.choice([6, 10, 12.5]),
                batch_litres_max=rng.choice([25, 30, 40]), batch_minutes=rng.randint(6, 12), washout_litres=rng.choice([0, 1, 1.5]),
                washout_minutes=rng.choice([0, 10, 20]), hold_days=1 if quick else rng.randint(1, 2), soak_days=rng.choice([0, 1, 2, 3]),
                dry_days=rng.choice([0, 1, 2]))
    if rng.random() < 0.5:
        made["hold_days_on"] = {d.isoformat(): rng.randint(1, 4) for d in work if rng.random() < 0.3}
    if rng.random() < 0.4:
        made["not_on"] = [d.isoformat() for d in work if rng.random() < 0.2]
    return made


def mould_group(rng, i, work):
    """Two or three moulds, one of them away for some days now and then."""
    group = dict(id=f"moulds-{i}", moulds=rng.randint(2, 3), turnaround_days=rng.randint(0, 1))
    if rng.random() < 0.4:
        away = rng.choice(work)
        group["out_of_service"] = [{"from": away.isoformat(), "to": (away + datetime.timedelta(days=rng.randint(0, 4))).isoformat(), "moulds": 1}]
    return group


def panel(rng, i, facts):
    """A panel of one mould group, for all mixes or some, and for all tanks or one."""
    mixes, tanks = [m["id"] for m in facts["mixes"]], [t["id"] for t in facts["tanks"]]
    made = dict(id=f"panel-{i}", mould_group=f"moulds-{i}", litres=rng.choice([5, 7.5, 10]), tank_mm=rng.choice([40, 60]),
                rack_mm=rng.choice([60, 80]), pour_minutes=rng.randint(2, 4), strip_minutes=rng.randint(2, 4), lift_minutes=rng.randint(1, 3),
                mixes=mixes if i == 0 or rng.random() < 0.6 else rng.sample(mixes, rng.randint(1, len(mixes))))
    if len(tanks) > 1 and rng.random() < 0.4:
        made["tanks"] = [rng.choice(tanks)]
    if rng.random() < 0.4:
        made["per_panel"] = dict(sand=rng.choice([50, 125]))
    return made


def material(rng, name, work):
    """Stock for some days; then it has to be bought."""
    scale = dict(cement=1, sand=2, colour=0.04)[name]
    pack = dict(cement=10000, sand=20000, colour=500)[name]
    made = dict(id=name, on_hand=int(rng.choice([9000, 20000, 45000]) * scale), floor=int(rng.choice([0, 1000]) * scale), pack=pack,
                pack_price=rng.choice([450, 700, 1300]), lead_days=rng.randint(1, 6), delivery_charge=rng.choice([0, 300, 900]))
    if rng.random() < 0.4:
        made["store_max"] = int(made["on_hand"] + rng.choice([0, 1, 2]) * pack)
    if rng.random() < 0.5:
        made["price_breaks"] = [dict(from_packs=least, pack_price=made["pack_price"] * share // 100) for least, share in ((2, 90), (4, 75))]
    if rng.random() < 0.3:
        made["expected"] = [dict(day=(rng.choice(work) + datetime.timedelta(days=rng.randint(-1, 1))).isoformat(), quantity=pack // 2)]
    return made


def lot(rng, facts):
    """Some panels on the way since a few days before."""
    panel = rng.choice(facts["panels"])
    stage = rng.choice(["in_mould", "soaking", "drying"])
    made = dict(panel=panel["id"], mix=rng.choice(panel["mixes"]), stage=stage, quantity=rng.randint(1, 2),
                since=(START - datetime.timedelta(days=rng.randint(1, 3))).isoformat())
    if stage == "soaking":
        made["tank"] = rng.choice(panel.get("tanks") or [t["id"] for t in facts["tanks"]])
        if made["quantity"] == 2:
            made["soaked_on"] = (START + datetime.timedelta(days=1)).isoformat()
    if stage == "drying":
        made["rack"] = rng.choice(facts["racks"])["id"]
    return made


def order(rng, i, finishes, dates):
    """One line or two, due from the third day on."""
    lines = rng.sample(finishes, min(len(finishes), rng.randint(1, 2)))
    return dict(id=f"order-{i}", due_on=rng.choice(dates[2:]).isoformat(), weight=rng.choice([1, 1, 2, 3]),
                lines=[dict(panel=p, finish=f, quantity=rng.randint(1, 3)) for p, f in lines])


def pins(rng, facts):
    """At most one pour that is settled, on a day its mix may be poured."""
    if rng.random() < 0.6:
        return []
    panel, mixes = facts["panels"][0], {m["id"]: m for m in facts["mixes"]}
    mix = rng.choice(panel["mixes"])
    days = [d for d in facts["working_days"][2:] if d not in mixes[mix].get("not_on", [])]
    return [dict(day=rng.choice(days), panel=panel["id"], mix=mix, quantity=1)] if days else []
