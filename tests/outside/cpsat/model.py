"""The planning rules as a CP-SAT model, written from the documents' rules alone: it has never met the planner.

Numbered rules are those of the planning documents. Quantities of one (panel, mix) are counts by day (`flow.Flow`);
what may be done is held by comparing sums, the oldest first.
"""
from collections import defaultdict

from ortools.sat.python import cp_model

from calendar_days import Calendar
from flow import Flow, add_at_most, common, exact
import costs
import lateness


class Model:
    """Variables and rules of one facts document; `figure` says which lateness its orders are counted by."""

    def __init__(self, facts, figure="order_days_late"):
        self.facts, self.figure = facts, figure
        self.cp = cp_model.CpModel()
        self.calendar = Calendar(facts)
        by_id = lambda name: {row["id"]: row for row in facts[name]}
        self.mixes, self.panels, self.groups = by_id("mixes"), by_id("panels"), by_id("mould_groups")
        self.tanks, self.racks, self.materials = by_id("tanks"), by_id("racks"), by_id("materials")
        self.lots = facts.get("lots", [])
        self.add_pours()
        self.add_strips()
        self.add_lifts()
        self.add_rooms()
        self.add_batches()
        self.add_labour()
        self.stock = costs.add_materials(self)
        self.late = lateness.add_orders(self)

    # --- what there is, by name ------------------------------------------------------------------------------------

    def hold(self, mix, day):
        """Days in the mould of what is poured on a date (rule 2); never less than one."""
        mix = self.mixes[mix]
        return max(1, mix.get("hold_days_on", {}).get(day.isoformat(), mix["hold_days"]))

    def only(self, places):
        """The one tank or rack there is, which need not be named."""
        return next(iter(places)) if len(places) == 1 else None

    def moulds(self, group, i):
        """Moulds in service on a working day (rule 3)."""
        group, day = self.groups[group], self.calendar.work[i].isoformat()
        return group["moulds"] - sum(o["moulds"] for o in group.get("out_of_service", []) if o["from"] <= day <= o["to"])

    def lots_in(self, stage):
        """The lots of a stage as (panel, mix), lot."""
        return [((lot["panel"], lot["mix"]), lot) for lot in self.lots if lot["stage"] == stage]

    # --- pours, strips, lifts: rules 1, 2 and the pins -------------------------------------------------------------

    def add_pours(self):
        """Poured by (panel, mix), on days the mix may be poured; pins exactly."""
        days, pinned = self.calendar.days, defaultdict(int)
        for pin in self.facts.get("pinned", []):
            pinned[pin["panel"], pin["mix"], pin["day"]] += pin["quantity"]
        self.pours = {}
        for panel in self.panels.values():
            for mix in panel["mixes"]:
                closed = set(self.mixes[mix].get("not_on", []))
                may = lambda i: self.calendar.work[i].isoformat() not in closed
                room = lambda i: max(0, self.moulds(panel["mould_group"], i))
                self.pours[panel["id"], mix] = Flow(self.cp, f"pour {panel['id']} {mix}", days, room, may)
        for (panel, mix, day), quantity in pinned.items():
            self.cp.add(self.pours[panel, mix].on[self.calendar.index[self.calendar.date(day)]] == quantity)

    def add_strips(self):
        """Stripped by (panel, mix, tank): none before its hold is over."""
        calendar = self.calendar
        ripe = defaultdict(lambda: defaultdict(int))
        for key, lot in self.lots_in("in_mould"):
            held = self.hold(lot["mix"], calendar.date(lot["since"]))
            ripe[key][calendar.from_outside(lot["since"], held)] += lot["quantity"]
        self.strips = {}
        for key in {**self.pours, **ripe}:
            most = self.most_alive(key)
            into = [Flow(self.cp, f"strip {key} {tank}", calendar.days, most) for tank in self.tanks_of(*key)]
            self.strips.update({(*key, tank): flow for tank, flow in zip(self.tanks_of(*key), into)})
            ripe_on = [calendar.after(i, self.hold(key[1], calendar.work[i])) for i in range(calendar.days)]
            for i in range(calendar.days):
                own = self.pours[key].of([j for j in range(calendar.days) if ripe_on[j] <= i]) if key in self.pours else 0
                lots = sum(quantity for day, quantity in ripe[key].items() if day <= i)
                self.cp.add(sum(flow.by(i) for flow in into) <= own + lots)

    def add_lifts(self):
        """Lifted by (panel, mix, tank, rack): none before its soak is over."""
        calendar = self.calendar
        ripe = defaultdict(lambda: defaultdict(int))
        for key, lot in self.lots_in("soaking"):
            day = calendar.from_outside(lot["since"], self.mixes[lot["mix"]]["soak_days"])
            if lot.get("soaked_on"):
                day = max(day, calendar.from_outside(lot["soaked_on"], 0))
            ripe[(*key, lot.get("tank") or self.only(self.tanks))][day] += lot["quantity"]
        self.lifts = {}
        for key in {**self.strips, **ripe}:
            racks = self.racks_of(key[1])
            onto = [Flow(self.cp, f"lift {key} {rack}", calendar.days, self.most_alive(key[:2])) for rack in racks]
            self.lifts.update({(*key, rack): flow for rack, flow in zip(racks, onto)})
            ripe_on = [calendar.after(i, self.mixes[key[1]]["soak_days"]) for i in range(calendar.days)]
            for i in range(calendar.days):
                own = self.strips[key].of([j for j in range(calendar.days) if ripe_on[j] <= i]) if key in self.strips else 0
                lots = sum(quantity for day, quantity in ripe[key].items() if day <= i)
                self.cp.add(sum(flow.by(i) for flow in onto) <= own + lots)

    def tanks_of(self, panel, mix):
        """Tanks a panel may soak in; no tank at all where there is none and the mix needs none."""
        fit = [tank for tank in self.tanks if tank in (self.panels[panel].get("tanks") or self.tanks)]
        return fit or ([None] if not self.mixes[mix]["soak_days"] else [])

    def racks_of(self, mix):
        """Racks to dry on; one stands for all where the mix does not dry."""
        racks = list(self.racks)
        return racks if self.mixes[mix]["dry_days"] and racks else (racks[:1] or ([None] if not self.mixes[mix]["dry_days"] else []))

    def most_alive(self, key):
        """More than can be stripped or lifted of a (panel, mix) on a day: all moulds, tanks and lots of it."""
        panel = self.panels[key[0]]
        tank = sum(t["mm"] // panel["tank_mm"] for t in self.tanks.values()) if panel["tank_mm"] else 0
        lots = sum(lot["quantity"] for lot in self.lots if (lot["panel"], lot["mix"]) == key)
        most = int(self.groups[panel["mould_group"]]["moulds"] + tank + lots)
        return lambda i: most

    def dried(self, key, i):
        """The working day on which what is lifted on day i leaves the rack, ready."""
        return self.calendar.after(i, self.mixes[key[1]]["dry_days"])

    # --- room: rule 3 ----------------------------------------------------------------------------------------------

    def add_rooms(self):
        """At the end of every day what is in moulds, tanks and racks is no more than there is."""
        start = lambda stage, place: self.sums(((*key, place(lot)), lot["quantity"]) for key, lot in self.lots_in(stage))
        in_mould, in_tank = start("in_mould", lambda lot: None), start("soaking", lambda lot: lot.get("tank") or self.only(self.tanks))
        for group, facts in self.groups.items():
            ours = lambda flows: {k: flow for k, flow in flows.items() if self.panels[k[0]]["mould_group"] == group}
            lots = {k: q for k, q in in_mould.items() if self.panels[k[0]]["mould_group"] == group}
            self.room(lambda i: self.moulds(group, i), lots, ours(self.pours), ours(self.strips), 2,
                      lambda panel: 1, facts.get("turnaround_days", 0))
        for tank in [*self.tanks, *([None] if not self.tanks else [])]:
            ours = lambda flows: {k: flow for k, flow in flows.items() if k[2] == tank}
            lots = {k: q for k, q in in_tank.items() if k[2] == tank}
            self.room(lambda i: self.tanks[tank]["mm"] if tank else 0, lots, ours(self.strips), ours(self.lifts), 3,
                      lambda panel: self.panels[panel]["tank_mm"] if tank else 1, False)
        for rack in self.racks:
            self.rack(rack)

    def room(self, have, lots, came, went, same, units, also_out):
        """One place: lots from the start, flows in and out; `same` leading parts of a flow's key tell whose lots it takes
        first. Lots still there alone may take more than there is; then nothing else may be there."""
        cp, all_lots = self.cp, sum(q * units(key[0]) for key, q in lots.items())
        for i in range(self.calendar.days):
            until = i - 1 if also_out else i
            inside = sum(units(k[0]) * flow.by(i) for k, flow in came.items())
            gone = sum(units(k[0]) * flow.by(until) for k, flow in went.items())
            taken, most = all_lots + inside - gone, have(i)
            if all_lots <= most:
                cp.add(taken <= most)
                continue
            left = self.lots_left(lots, went, same, units, until)
            fits, lots_alone = cp.new_bool_var(""), cp.new_bool_var("")
            cp.add_bool_or(fits, lots_alone)
            cp.add(taken <= most).only_enforce_if(fits)
            cp.add(taken <= left).only_enforce_if(lots_alone)

    def lots_left(self, lots, went, same, units, until):
        """Room that lots still take when what left of their kind by a day was theirs first."""
        total = 0
        for key, quantity in lots.items():
            out = sum(flow.by(until) for k, flow in went.items() if k[:same] == key[:same])
            left = self.cp.new_int_var(0, quantity, "")
            self.cp.add_max_equality(left, [quantity - out, 0])
            total += units(key[0]) * left
        return total

    def rack(self, rack):
        """A rack: panels leave it on the day they are dry, so what lots take is known."""
        days, leave = self.calendar.days, defaultdict(int)
        for key, lot in self.lots_in("drying"):
            if (lot.get("rack") or self.only(self.racks)) == rack:
                day = self.calendar.from_outside(lot["since"], self.mixes[lot["mix"]]["dry_days"])
                leave[day] += lot["quantity"] * self.panels[lot["panel"]]["rack_mm"]
        ours = {key: flow for key, flow in self.lifts.items() if key[3] == rack}
        for i in range(days):
            lots = sum(mm for day, mm in leave.items() if day > i)
            own = sum(self.panels[key[0]]["rack_mm"] * flow.of_span(self.dries_past(key, i), i) for key, flow in ours.items())
            self.cp.add(own <= max(0, self.racks[rack]["mm"] - lots))

    def dries_past(self, key, i):
        """The first lift day whose panels are still on the rack at the end of day i."""
        return next((j for j in range(i + 1) if self.dried(key, j) > i), i + 1)

    # --- batches and labour: rules 4 and 5 -------------------------------------------------------------------------

    def add_batches(self):
        """Batches by (mix, day), their litres pooled, and whether the mix is washed out."""
        days, cp, most = self.calendar.days, self.cp, self.facts["mixer_batches"]
        self.count, self.washed, self.litres, self.step = {}, {}, {}, {}
        for name, mix in self.mixes.items():
            poured = [(key, flow) for key, flow in self.pours.items() if key[1] == name]
            self.step[name] = common([mix["batch_litres_min"], mix["batch_litres_max"], *(self.panels[k[0]]["litres"] for k, _ in poured)])
            steps = lambda litres: int(exact(litres) / self.step[name])
            for i in range(days):
                count, washed = cp.new_int_var(0, most, f"batches {name}@{i}"), cp.new_bool_var(f"washed {name}@{i}")
                litres = cp.new_int_var(0, most * steps(mix["batch_litres_max"]), f"litres {name}@{i}")
                cp.add(count <= most * washed)
                cp.add(count >= washed)
                cp.add(litres <= count * steps(mix["batch_litres_max"]))
                cp.add(litres >= count * steps(mix["batch_litres_min"]))
                cp.add(litres >= sum(steps(self.panels[k[0]]["litres"]) * flow.on[i] for k, flow in poured))
                self.count[name, i], self.washed[name, i], self.litres[name, i] = count, washed, litres
        for i in range(days):
            cp.add(sum(self.count[name, i] for name in self.mixes) <= most)

    def add_labour(self):
        """Minutes of a day."""
        given = self.facts["labour_minutes"]
        for i, day in enumerate(self.calendar.work):
            terms = [(self.panels[k[0]][f"{what}_minutes"], flow.on[i])
                     for what, flows in (("pour", self.pours), ("strip", self.strips), ("lift", self.lifts)) for k, flow in flows.items()]
            for name, mix in self.mixes.items():
                terms += [(mix["batch_minutes"], self.count[name, i]), (mix["washout_minutes"], self.washed[name, i])]
            add_at_most(self.cp, terms, given.get("on", {}).get(day.isoformat(), given["usual"]))

    @staticmethod
    def sums(pairs):
        """Values added up by key."""
        total = defaultdict(int)
        for key, value in pairs:
            total[key] += value
        return dict(total)
