"""CSV by Python's csv and by pandas, XLSX by openpyxl: every value as it was written."""
import csv
import io
import json
from datetime import date, datetime, timezone
from decimal import Decimal

import openpyxl
import pandas

SIGNS = ("=", "+", "-", "@", "\t", "\r")


def plain(text):
    """Text without the one apostrophe that guards it."""
    guarded = text.startswith("'") and text.lstrip("'").startswith(SIGNS)
    return text[1:] if guarded else text


def plain_id(text):
    """An identifier without the one apostrophe that guards it; none begins with one."""
    return text.removeprefix("'")


def values(row, decimal="."):
    """A row of CSV as what it says."""
    return {
        "id": plain_id(row["id"]),
        "text": plain(row["text"]),
        "count": int(row["count"]),
        "mass_kg": Decimal(row["mass_kg"].replace(decimal, ".")),
        "day": date.fromisoformat(row["day"]),
        "written_at_utc": datetime.fromisoformat(row["written_at_utc"].replace("Z", "+00:00")),
        "unknown_kg": row["unknown_kg"] or None,
    }


def expected(folder):
    """What is really in the table."""
    rows = json.loads((folder / "nasty.json").read_text("utf-8"))
    return [
        {
            **row,
            "mass_kg": Decimal(row["mass_kg"]),
            "day": date.fromisoformat(row["day"]),
            "written_at_utc": datetime.fromisoformat(row["written_at_utc"].replace("Z", "+00:00")),
        }
        for row in rows
    ]


def by_csv(path, encoding, delimiter, decimal):
    """Read by Python's csv."""
    text = path.read_bytes().decode(encoding)
    return [values(row, decimal) for row in csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)]


def by_pandas(path, encoding, delimiter, decimal):
    """Read by pandas with the types its reader finds by itself, but for the texts."""
    types = {"id": str, "text": str, "day": str, "written_at_utc": str}
    frame = pandas.read_csv(
        path, encoding=encoding, sep=delimiter, decimal=decimal, dtype=types, keep_default_na=False,
        na_values={"unknown_kg": [""]},
    )
    rows = []
    for row in frame.to_dict("records"):
        rows.append({
            "id": plain_id(row["id"]),
            "text": plain(row["text"]),
            "count": int(row["count"]),
            "mass_kg": Decimal(f"{row['mass_kg']:.3f}"),
            "day": date.fromisoformat(row["day"]),
            "written_at_utc": datetime.fromisoformat(row["written_at_utc"].replace("Z", "+00:00")),
            "unknown_kg": None if pandas.isna(row["unknown_kg"]) else row["unknown_kg"],
        })
    return rows


def by_guessing(path):
    """Identifiers, each in a column of its own, as pandas reads them when it is told nothing: none may have become a number
    or a truth."""
    frame = pandas.read_csv(path)
    return [plain_id(frame[name][0]) if isinstance(frame[name][0], str) else frame[name][0] for name in frame.columns]


def by_openpyxl(path):
    """Read by openpyxl, every cell with the type the sheet gives it."""
    sheet = openpyxl.load_workbook(path)["nasty"]
    if sheet.freeze_panes != "A2":
        raise ValueError(f"the header is not frozen: {sheet.freeze_panes}")
    header, *rows = sheet.iter_rows(values_only=True)
    found = []
    for row in rows:
        cells = dict(zip(header, row))
        found.append({
            "id": cells["id"],
            "text": cells["text"] or "",
            "count": cells["count"],
            "mass_kg": Decimal(f"{cells['mass_kg']:.3f}"),
            "day": cells["day"].date(),
            "written_at_utc": cells["written_at_utc"].replace(tzinfo=timezone.utc),
            "unknown_kg": cells["unknown_kg"],
        })
    return found


def same(name, found, wanted):
    """Whether two lists of rows are the same; says where they are not."""
    differing = [(at, f, w) for at, (f, w) in enumerate(zip(found, wanted)) if f != w]
    if len(found) == len(wanted) and not differing:
        print(f"  {name}: {len(found)} rows, every value the same")
        return True
    print(f"  {name}: {len(found)} rows of {len(wanted)}, {len(differing)} differ; the first: {differing[:1]}")
    return False


def without_lone_returns(rows):
    """A sheet's XML keeps one kind of line break."""
    return [{**row, "text": row["text"].replace("\r\n", "\n")} for row in rows]


def check(folder):
    """All ways of reading."""
    wanted = expected(folder)
    good = []
    for name, encoding, delimiter, decimal in [
        ("nasty.csv", "utf-8", ",", "."),
        ("nasty-bom.csv", "utf-8-sig", ",", "."),
        ("nasty-comma.csv", "utf-8", ";", ","),
    ]:
        path = folder / name
        good.append(same(f"csv, {name}", by_csv(path, encoding, delimiter, decimal), wanted))
        good.append(same(f"pandas, {name}", by_pandas(path, encoding, delimiter, decimal), wanted))
    good.append(same("pandas, identifiers guessed", by_guessing(folder / "ids.csv"), json.loads((folder / "ids.json").read_text("utf-8"))))
    found = without_lone_returns(by_openpyxl(folder / "nasty.xlsx"))
    good.append(same("openpyxl, nasty.xlsx", found, without_lone_returns(wanted)))
    return all(good)
