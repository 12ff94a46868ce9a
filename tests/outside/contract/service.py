"""The demonstration workshop, served for one check."""
import os
import socket
import sqlite3
import subprocess
import time
from pathlib import Path

import requests


class Service:
    """The demonstration, served for this check alone."""

    def __init__(self, mouldboard, folder):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            place = f"127.0.0.1:{free.getsockname()[1]}"
        told = {**os.environ, "MOULDBOARD_LISTEN": place, "MOULDBOARD_LOG": "error", "MOULDBOARD_REQUESTS_PER_MINUTE": "0"}
        self.folder = Path(folder) / "demo"
        self.program = subprocess.Popen(
            [mouldboard, "demo", "--folder", self.folder], cwd=folder, env=told, stdout=subprocess.DEVNULL
        )
        self.address = f"http://{place}"
        self.session = requests.Session()

    def wait(self):
        """Until it answers; then with a token."""
        for _ in range(900):
            try:
                requests.get(self.address + "/health/ready", timeout=5)
                break
            except requests.ConnectionError:
                if self.program.poll() is not None:
                    raise SystemExit("the demonstration ended by itself") from None
                time.sleep(0.2)
        made = requests.post(self.address + "/tokens", json={"name": "the fuzzer", "role": "office"}, timeout=5)
        self.own = made.json()["id"]
        self.token = made.json()["token"]
        self.session.headers["Authorization"] = f"Bearer {self.token}"

    def ask(self, method, path, **more):
        """An answer."""
        return self.session.request(method, self.address + path, timeout=60, **more)

    def set_a_job_aside(self):
        """What only an hour of failures brings about is put into the tables."""
        with sqlite3.connect(next(self.folder.glob("*.db")), timeout=20) as tables:
            done = tables.execute(
                "INSERT INTO job (kind, job_key, payload, state, run_at, attempts, asked_at, ended_at)"
                " SELECT 'send_notice', '0-0', '', 'set_aside', run_at, 8, asked_at, asked_at FROM job LIMIT 1"
            )
            return done.lastrowid

    def planned_again(self):
        """The last run that brought a plan, once there are two."""
        for _ in range(900):
            runs = [run["id"] for run in self.ask("GET", "/planning-runs").json() if run["state"] == "planned"]
            if len(runs) > 1:
                return max(runs)
            time.sleep(0.2)
        raise SystemExit("no second plan is made")

    def end(self):
        """Stops it."""
        self.program.terminate()
        self.program.wait(timeout=30)
