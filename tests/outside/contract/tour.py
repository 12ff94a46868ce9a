"""One well-formed request for every operation, so that each is seen to succeed: with what the demonstration workshop has, in an
order in which nothing is taken away before it was asked for."""
import itertools
import json

FRESH = itertools.count(1)


def fresh(prefix="try"):
    """An id that is not there yet."""
    return f"{prefix}-{next(FRESH)}"


class Tour:
    """Known values, found out as it goes. `ask(method, path, **more)` sends a request and gives the answer."""

    def __init__(self, ask, today):
        self.ask, self.today = ask, today
        self.known = {}

    def listed(self, path):
        """A list, read once."""
        if path not in self.known:
            answer = self.ask("GET", path)
            self.known[path] = answer.json() if "json" in answer.headers.get("content-type", "") else []
        return self.known[path]

    def forget(self, path):
        """What is read anew the next time."""
        self.known.pop(path, None)

    def first(self, path, key="id"):
        """The first of a list."""
        found = self.listed(path)
        return found[0][key] if found else None

    def revision(self):
        """A revision: its mix and its number."""
        mix = self.first("/mixes")
        return {"id": mix, "number": str(self.listed(f"/mixes/{mix}/revisions")[0]["id"]).split("@")[1]}

    def ticket(self, state=None):
        """A ticket of today's, in a state where one is named."""
        self.forget(f"/days/{self.today}/tickets")
        tickets = self.listed(f"/days/{self.today}/tickets")
        fitting = [ticket for ticket in tickets if state in (None, ticket["state"])]
        return fitting[0]["number"] if fitting else tickets[0]["number"]

    def lot(self, stage=None):
        """A lot with panels in it, in a stage where one is named."""
        self.forget("/lots")
        lots = [lot for lot in self.listed("/lots") if lot["quantity"] > 0 and stage in (None, lot["stage"])]
        return lots[0] if lots else self.listed("/lots")[0]

    def twin(self):
        """A lot alike to the first one that is ready."""
        lot = self.lot("ready")
        alike = ("panel", "revision", "poured_on", "stage", "since", "row")
        body = {**{key: lot[key] for key in alike}, "quantity": 1}
        return self.ask("POST", "/lots", json=body).json()["id"]

    def to_send(self):
        """An order that can go out whole: of one panel of those that stand ready."""
        lot = self.lot("ready")
        line = {"panel": lot["panel"], "finish": lot["finish"], "quantity": 1}
        self.ask("POST", "/orders", json={"id": "TO-SEND", "due_on": "2026-03-31", "lines": [line]})
        return "TO-SEND"

    def correction(self):
        """A ticket with a correction that is still to be done."""
        for ticket in self.listed(f"/days/{self.today}/tickets"):
            for correction in self.ask("GET", f"/tickets/{ticket['number']}/corrections").json():
                if not correction.get("done"):
                    return {"number": ticket["number"], "sequence": correction["sequence"]}
        return {"number": self.ticket(), "sequence": 1}

    def values(self, path):
        """Values for the places in a path."""
        if "{" not in path:
            return {}
        # A page is under the path of what it shows.
        if path.startswith("/pages/"):
            return self.values(path.removeprefix("/pages"))
        if path.startswith("/mixes/{id}/revisions/{number}"):
            return self.revision()
        if path.startswith("/tickets/{number}/corrections/{sequence}"):
            return self.correction()
        if "{revision}" in path:
            found = self.revision()
            return {"revision": f"{found['id']}@{found['number']}"}
        if "{what}" in path:
            return {"what": "material"}
        if path.startswith("/workshop/moulds"):
            return {"id": self.first("/mould-groups")}
        if "{number}" in path:
            return {"number": self.ticket("issued")}
        if path.startswith("/workshop/days"):
            return {"day": "2026-03-17"}
        if "{day}" in path:
            return {"day": "2026-03-17" if path.startswith("/calendar") else self.today}
        if path.startswith("/problems"):
            return {"name": "faulty"}
        if path.startswith("/lots"):
            stage = {"/lots/{id}/dispatch": "ready", "/lots/{id}/moves": "soaking", "/lots/{id}/join": "ready"}.get(path)
            return {"id": self.lot(stage)["id"]}
        if path == "/orders/{id}/dispatch":
            return {"id": self.to_send()}
        if path.startswith("/orders"):
            return {"id": self.first("/orders")}
        if path.startswith("/planning-runs"):
            return {"id": self.listed("/planning-runs")[-1]["id"]}
        return {"id": self.first(path.split("/{")[0])}

    def made(self, path, example):
        """A new one of a list, for nobody to miss: its values for a path, and its version."""
        body = self.body("POST", path, example)
        answer = self.ask("POST", path, json=body)
        answer.raise_for_status()
        return answer.json()["id"]

    def body(self, method, path, example):
        """A body that is taken: the documented one in the words of the demonstration, of a day that has come. None for a
        change of what is there: it is sent back as it was read."""
        words = json.dumps(example)
        for documented, there in WORDS.items():
            words = words.replace(f'"{documented}"', f'"{there}"')
        body = json.loads(words)
        special = SPECIAL.get(path)
        if special:
            return special(self, body)
        if method == "PUT":
            return None
        if isinstance(body, dict) and "id" in body:
            body["id"] = fresh()
        if isinstance(body, dict) and "name" in body:
            body["name"] = fresh("name")
        return body

    def run_by_the_clock(self):
        """A run that is at work, and can be stopped: the demonstration's own count their steps."""
        there = self.ask("GET", "/workshop")
        body = there.json()
        body["policy"].update(evaluations=None, seconds=20)
        self.ask("PUT", "/workshop", json=body, headers={"If-Match": there.headers["ETag"]}).raise_for_status()
        return self.ask("POST", "/planning-runs", json={}).json()["id"]

    def of_lot(self, stage, body):
        """A body that speaks of a lot in a stage."""
        lot = self.lot(stage)
        self.today = self.today or lot["since"]
        return {**body, "day": TODAY, "quantity": 1}

    def new_revision(self, body):
        """The next revision of the first mix."""
        mix = self.first("/mixes")
        numbers = [int(revision["id"].split("@")[1]) for revision in self.ask("GET", f"/mixes/{mix}/revisions").json()]
        return {**body, "id": f"{mix}@{max(numbers) + 1}", "state": "on_trial", "foam": None}

    def trials(self, body):
        """A comparison of what trials there are."""
        found = [trial["id"] for trial in self.listed("/trials")]
        return {**body, "trials": found[:2], "reference_trial": found[0]}


# What the document's examples name, in the demonstration's own words.
WORDS = {
    "grey-smooth": "grey",
    "side-moulds": "long-moulds",
    "glass-mesh": "ar-fibre",
    "north-tank": "big-tank",
    "long-rack": "drying-rack",
}
TODAY = "2026-03-02"

# Bodies that need more than other words.
SPECIAL = {
    "/lots": lambda tour, body: {**body, "poured_on": "2026-02-20", "since": TODAY},
    "/lots/{id}/dispatch": lambda tour, body: {"day": TODAY, "quantity": 1},
    "/lots/{id}/moves": lambda tour, body: tour.of_lot("soaking", {"to": "drying", "rack": "drying-rack"}),
    "/lots/{id}/join": lambda tour, body: {"lots": [tour.twin()]},
    "/lots/{id}/scrap": lambda tour, body: {**tour.of_lot(None, body), "cause": tour.first("/scrap-causes")},
    "/mixes/{id}/revisions": lambda tour, body: tour.new_revision(body),
    "/mixes/{id}/revisions/{number}": lambda tour, body: {"state": "in_use", "reason": "as poured for years"},
    "/orders/{id}/dispatch": lambda tour, body: {},
    "/plan": lambda tour, body: {"run": tour.ask("GET", "/plan").json()["run"]},
    "/trial-comparisons": lambda tour, body: tour.trials(body),
}
