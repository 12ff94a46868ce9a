"""Holds the mix library against pint and against independent calculations.

    python check.py ASK_MIX

ASK_MIX is the project's example program that answers questions. Exit 1 where anything differs.
"""
import sys
from pathlib import Path

import ageing
import foamed
import published
import units
from asking import Library

PROJECT = Path(__file__).resolve().parents[3]


def main():
    """All of them, also after one that differs."""
    library = Library(sys.argv[1])
    print("Mix library against the world outside:")
    good = [units.check(library, PROJECT), ageing.check(library), foamed.check(library), published.check(library, PROJECT)]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
