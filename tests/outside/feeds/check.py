"""Holds the feeds against the programs that read them: Python's csv, pandas, openpyxl, icalendar, vobject.

    python check.py WRITE_FEEDS FOLDER

WRITE_FEEDS is the project's example program that writes feeds, and beside them what is really in them. Exit 1 where anything
read differs.
"""
import subprocess
import sys
from pathlib import Path

import calendars
import sheets


def main():
    """All of them, also after one that differs."""
    program, folder = sys.argv[1], Path(sys.argv[2])
    subprocess.run([program, folder], check=True)
    print("Feeds against the programs that read them:")
    good = [sheets.check(folder), calendars.check(folder)]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
