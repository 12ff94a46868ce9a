"""Holds the service to its OpenAPI document with schemathesis, every check on, over the demonstration workshop.

    python fuzz.py MOULDBOARD [REQUESTS]

First every operation is asked once for what is there, and has to succeed; then schemathesis makes requests of its own, good and
bad. Three answers in ten have to be good ones, none may be a failure of the service, and none may break the contract. Exit 1
where one does.
"""
import collections
import random
import sys
import tempfile
from pathlib import Path

import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.config import SchemathesisConfig
from schemathesis.core.failures import FailureGroup
from schemathesis.openapi.checks import RejectedPositiveData
from service import Service
from tour import TODAY, Tour

# Answers to a request in the documented form. 422 is for what no form can say: that a material is not there, a day is past.
ACCEPTED = ["2xx", "3xx", "401", "403", "404", "409", "412", "422", "428", "429"]
# How often an operation is asked that sets the planner to work.
SELDOM = {"POST /planning-runs": 1}
# Reads first; what takes away comes last.
ORDER = ["GET", "POST", "PUT", "DELETE"]
# What goes right after all reads, while the planner has what the demonstration gave it: a comparison needs a second plan; and
# what goes after all that is made: a run that can be stopped needs other settings.
PLANNED = ["POST /planning-runs", "GET /planning-runs/{id}/changes"]
STOPPED = "/planning-runs/{id}/stop"


def place(operation):
    """When an operation has its turn."""
    name = f"{operation.method.upper()} {operation.path}"
    if name in PLANNED:
        return (0, 1 + PLANNED.index(name))
    if operation.path == STOPPED:
        return (1, 1)
    return (ORDER.index(operation.method.upper()), 0)


def of_an_address(answer):
    """Whether a request is refused because of a value in its address that is written well and names nothing, as a ticket of
    the 31st of February: no pattern says that."""
    if answer.status_code != 400:
        return False
    if "html" in answer.headers.get("content-type", [""])[0]:
        return True
    pointers = [error["pointer"] for error in answer.json()["errors"]]
    return bool(pointers) and all(pointer.startswith(("/path/", "/query/")) for pointer in pointers)


@schemathesis.serializer("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
def as_it_is(_, value):
    """A file is sent as it is; what schemathesis makes up is no workbook, and has to be told so."""
    return value if isinstance(value, bytes) else str(value).encode()


class Fuzz:
    """Requests, and what came of them."""

    def __init__(self, service, schema):
        self.service, self.schema = service, schema
        self.tour = Tour(service.ask, "today")
        self.statuses = collections.defaultdict(collections.Counter)
        self.broken = {}
        self.last, self.first = {}, {}

    def note(self, name, case, answer):
        """Counts an answer and holds it against the contract."""
        self.statuses[name][answer.status_code] += 1
        self.last[name] = answer.content[:400].decode("utf-8", "replace")
        try:
            case.validate_response(answer)
        except (FailureGroup, AssertionError) as failure:
            said = failure.exceptions if isinstance(failure, FailureGroup) else [failure]
            for one in said:
                if isinstance(one, RejectedPositiveData) and of_an_address(answer):
                    continue
                self.broken.setdefault((name, type(one).__name__), (answer.status_code, str(one)[:600], answer.content[:300].decode("utf-8", "replace")))

    def send(self, name, case):
        """Sends a case."""
        case.headers = {**(case.headers or {}), "Authorization": f"Bearer {self.service.token}"}
        self.note(name, case, case.call(base_url=self.service.address, session=self.service.session))

    def known(self, operation):
        """A case made of what is there."""
        path, method = operation.path, operation.method.upper()
        values, headers, body, more = self.tour.values(path), {}, None, {}
        raw = operation.definition.raw
        content = (raw.get("requestBody") or {}).get("content") or {}
        media = "text/csv" if "text/csv" in content else next(iter(content), None)
        if path == "/planning-runs/{id}/changes":
            values = {"id": self.service.planned_again()}
        if path == "/jobs/{id}/retry":
            values = {"id": self.service.set_a_job_aside()}
        if path == STOPPED:
            values = {"id": self.tour.run_by_the_clock()}
        if method == "DELETE":
            values = self.thrown_away(path, values)
        place = path
        for name, value in values.items():
            place = place.replace(f"{{{name}}}", str(value))
        if method in ("PUT", "DELETE"):
            seen = self.service.ask("GET", place)
            if "ETag" in seen.headers:
                headers["If-Match"] = seen.headers["ETag"]
        if path == "/pages/session":
            body = {"token": self.service.token}
        elif media == "application/json":
            body = self.tour.body(method, path, content[media].get("example"))
            body = seen.json() if body is None else body
        elif media:
            body = content[media]["example"].replace("grey-smooth", "grey").replace("edging-moulds", "long-moulds")
            body = body.replace("2026-05-04", TODAY)
        if media:
            more = {"body": body, "media_type": media}
        query = {p["name"]: p.get("example", "28") for p in raw.get("parameters", []) if p["in"] == "query" and p.get("required")}
        return operation.Case(path_parameters=values, headers=headers, query=query, **more)

    def thrown_away(self, path, values):
        """Something new, to be taken away again."""
        group = path.split("/{")[0]
        example = self.schema.raw_schema["paths"].get(group, {}).get("post")
        if not example:
            return values
        content = example["requestBody"]["content"]["application/json"]
        return {"id": self.tour.made(group, content["example"])}

    def go(self, operation, count):
        """One known request, then as many as are wanted."""
        name = f"{operation.method.upper()} {operation.path}"
        self.send(name, self.known(operation))
        self.first[name] = self.last.get(name)

        if count == 0:
            return

        @settings(
            max_examples=count, deadline=None, database=None, derandomize=True, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def some(case):
            if operation.path == "/tokens/{id}" and str(case.path_parameters.get("id")) == str(self.service.own):
                return
            if random.random() < 0.5 and operation.method.upper() == "GET":
                case.path_parameters = self.tour.values(operation.path)
            self.send(name, case)

        some()


def succeeds_with(operation):
    """The statuses of success: 2xx, and where none is documented (a page that leads to another) the 3xx that is."""
    documented = {int(status) for status in operation.definition.raw["responses"] if status.isdigit()}
    return {s for s in documented if 200 <= s < 300} or {s for s in documented if 300 <= s < 400}


def told(fuzz, operations):
    """What came of it, and whether it is good."""
    good = True
    total, fine = 0, 0
    for operation in operations:
        name = f"{operation.method.upper()} {operation.path}"
        counts = fuzz.statuses[name]
        total += sum(counts.values())
        fine += sum(count for status, count in counts.items() if 200 <= status < 300)
        if not counts.keys() & succeeds_with(operation):
            print(f"  NEVER GOOD: {name}: {dict(counts)} {fuzz.first.get(name)}")
            good = False
        if any(status >= 500 for status in counts):
            print(f"  FAILED: {name}: {dict(counts)}")
            good = False
    for (name, kind), (status, said, text) in sorted(fuzz.broken.items()):
        print(f"  BROKEN: {name}, {kind}, answered {status}: {said}\n      {text}")
        good = False
    share = fine / max(total, 1)
    print(f"  {total} requests to {len(operations)} operations, {share:.0%} of the answers good")
    return good and share >= 0.3


def main():
    """The whole of it."""
    random.seed(1)
    mouldboard, wanted = Path(sys.argv[1]).resolve(), int(sys.argv[2]) if len(sys.argv) > 2 else 2000
    print("The contract, held by schemathesis:")
    with tempfile.TemporaryDirectory() as folder:
        service = Service(mouldboard, folder)
        try:
            service.wait()
            document = service.ask("GET", "/openapi.json").json()
            config = SchemathesisConfig.from_dict({"checks": {"positive_data_acceptance": {"expected-statuses": ACCEPTED}}})
            schema = schemathesis.openapi.from_dict(document, config=config)
            operations = [found.ok() for found in schema.get_all_operations()]
            operations.sort(key=place)
            fuzz = Fuzz(service, schema)
            each = max(0, wanted - len(operations)) // len(operations)
            more = max(0, wanted - len(operations)) % len(operations)
            for at, operation in enumerate(operations):
                name = f"{operation.method.upper()} {operation.path}"
                fuzz.go(operation, min(each + (at < more), SELDOM.get(name, wanted)))
            good = told(fuzz, operations)
        finally:
            service.end()
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
