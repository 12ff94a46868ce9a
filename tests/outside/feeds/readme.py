"""Runs the curl lines of the README as they stand, against the demonstration workshop.

    python readme.py MOULDBOARD README

Another port than the README's is put in where that one is taken. Exit 1 where a line fails or answers with a failure.
"""
import json
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

USUAL = 8080


def port():
    """The README's port, or a free one where it is taken."""
    for wanted in (USUAL, 0):
        with socket.socket() as tried:
            try:
                tried.bind(("127.0.0.1", wanted))
                return tried.getsockname()[1]
            except OSError:
                continue
    raise OSError("no port is free")


def commands(readme):
    """Every indented command that begins with curl, with the lines it goes on in."""
    blocks = re.findall(r"(?:^ {4}.*\n)+", readme, re.MULTILINE)
    joined = [re.sub(r"^ {4}", "", block, flags=re.MULTILINE) for block in blocks]
    lines = "\n".join(joined).replace("\\\n", " ").splitlines()
    return [line.strip() for line in lines if line.strip().startswith("curl ")]


def asked(address, path, body=None):
    """An answer as JSON."""
    request = urllib.request.Request(address + path, json.dumps(body).encode() if body else None)
    request.add_header("Content-Type", "application/json")
    with urllib.request.urlopen(request, timeout=10) as answer:
        return json.load(answer)


def waited(address, program):
    """Until the service answers."""
    for _ in range(600):
        try:
            return asked(address, "/health/ready")
        except OSError:
            if program.poll() is not None:
                raise SystemExit("the demonstration ended by itself") from None
            time.sleep(0.2)
    raise SystemExit("the demonstration does not answer")


def run(address, readme, folder):
    """Each command, in a folder of its own; whether all did what they should."""
    token = asked(address, "/tokens", {"name": "the README", "role": "office"})["token"]
    good = True
    for command in commands(readme):
        here = command.replace(f"http://127.0.0.1:{USUAL}", address)
        # Only so that a failure is told: curl itself takes any answer for a success.
        shell = f"set -euo pipefail; curl() {{ command curl --fail-with-body \"$@\"; }}; {here}"
        done = subprocess.run(
            ["bash", "-c", shell], cwd=folder, env={**os.environ, "TOKEN": token}, capture_output=True, text=True, check=False
        )
        print(f"  {'done' if done.returncode == 0 else 'FAILED'}: {command}")
        if done.returncode != 0:
            print(f"    {done.stdout.strip()[:400]} {done.stderr.strip()[:200]}")
            good = False
    return good


def main():
    """The whole of it."""
    # Whole, because the program is started in a folder of its own.
    mouldboard, readme = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).read_text("utf-8")
    print("Commands of the README, as they stand:")
    with tempfile.TemporaryDirectory() as folder:
        place = port()
        settings = {**os.environ, "MOULDBOARD_LISTEN": f"127.0.0.1:{place}", "MOULDBOARD_LOG": "error"}
        program = subprocess.Popen(
            [mouldboard, "demo", "--folder", f"{folder}/demo"], cwd=folder, env=settings, stdout=subprocess.DEVNULL
        )
        try:
            address = f"http://127.0.0.1:{place}"
            waited(address, program)
            good = run(address, readme, folder)
        finally:
            program.terminate()
            program.wait(timeout=30)
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
