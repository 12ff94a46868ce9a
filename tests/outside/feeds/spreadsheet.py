"""A spreadsheet program (LibreOffice, without a window) opens the CSV and XLSX written, also where decimals have a comma, and
saves them back: every value as it was written.

    python spreadsheet.py FOLDER

FOLDER holds what the example `write_feeds` wrote. A free text that looks like a number, a day or a truth is what a spreadsheet
makes of it unless it is told that the column is text (identifiers carry an apostrophe, free texts do not): such texts are compared
where it is told, and left out where it is to guess. Exit 1 where anything differs, and where there is no such program.
"""
import shutil
import subprocess
import sys
from datetime import datetime, timezone
from decimal import Decimal
from pathlib import Path

import openpyxl

import sheets

ENGLISH, GERMAN = 1033, 1031
COMMA, SEMICOLON, QUOTE, UTF_8 = 44, 59, 34, 76
AS_TEXT = "/".join(f"{column}/{2 if column == 2 else 1}" for column in range(1, 8))
LIKE_OTHER_THINGS = {"1042", "007", "1E5", "MAR-1", "2026-05-04", "TRUE"}


def reading(delimiter, language, columns=""):
    """How the program is told to open a CSV: numbers and days are found out, quoted or not."""
    return f"CSV:{delimiter},{QUOTE},{UTF_8},1,{columns},{language},false,true"


def writing(delimiter, language):
    """How it is told to save one: cells as they are shown."""
    return f"csv:Text - txt - csv (StarCalc):{delimiter},{QUOTE},{UTF_8},1,,{language},false,true,false"


def convert(program, source, into, to, infilter=None):
    """Opens a file and saves it in another folder."""
    into.mkdir(parents=True, exist_ok=True)
    told = [f"--infilter={infilter}"] if infilter else []
    command = [
        program, f"-env:UserInstallation={(into.parent / 'profile').resolve().as_uri()}", "--headless", *told,
        "--convert-to", to, "--outdir", into, source,
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return into / f"{source.stem}.{to.split(':')[0]}"


def moment(cell):
    """A moment in a cell or in text, UTC."""
    if isinstance(cell, datetime):
        return cell.replace(tzinfo=timezone.utc)
    return datetime.fromisoformat(cell.replace("Z", "+00:00"))


def cells(path, guarded):
    """What the saved workbook's cells hold; texts out of a CSV still have their guard."""
    unguarded, unguarded_id = (sheets.plain, sheets.plain_id) if guarded else (str, str)
    header, *rows = openpyxl.load_workbook(path).worksheets[0].iter_rows(values_only=True)
    found = []
    for row in rows:
        named = dict(zip(header, row))
        found.append({
            "id": unguarded_id(named["id"]),
            "text": unguarded(named["text"]) if isinstance(named["text"], str) else named["text"] or "",
            "count": named["count"],
            "mass_kg": Decimal(f"{named['mass_kg']:.3f}"),
            "day": named["day"].date(),
            "written_at_utc": moment(named["written_at_utc"]),
            "unknown_kg": named["unknown_kg"],
        })
    return found


def without(rows, left_out, wanted):
    """Rows but those whose text, as it was written, is left out; line breaks of one kind."""
    return sheets.without_lone_returns(
        row for row, meant in zip(rows, wanted, strict=True) if meant["text"] not in left_out
    )


def of_csv(program, folder, name, delimiter, language, decimal):
    """A CSV opened and saved as a workbook and as a CSV, guessing and told."""
    wanted = sheets.expected(folder)
    good = []
    for way, columns, left_out in [("guessing", "", LIKE_OTHER_THINGS), ("told", AS_TEXT, set())]:
        into = folder / "spreadsheet" / f"{name}-{way}"
        infilter = reading(delimiter, language, columns)
        saved = convert(program, folder / name, into, "xlsx", infilter)
        found = without(cells(saved, guarded=True), left_out, wanted)
        good.append(sheets.same(f"spreadsheet, {name}, {way}, saved as XLSX", found, without(wanted, left_out, wanted)))
        saved = convert(program, folder / name, into, writing(delimiter, language), infilter)
        found = without(sheets.by_csv(saved, "utf-8-sig", chr(delimiter), decimal), left_out, wanted)
        good.append(sheets.same(f"spreadsheet, {name}, {way}, saved as CSV", found, without(wanted, left_out, wanted)))
    return all(good)


def of_workbook(program, folder):
    """The workbook opened and saved as a workbook."""
    wanted = sheets.without_lone_returns(sheets.expected(folder))
    saved = convert(program, folder / "nasty.xlsx", folder / "spreadsheet" / "workbook", "xlsx")
    return sheets.same("spreadsheet, nasty.xlsx, saved as XLSX", without(cells(saved, guarded=False), set(), wanted), wanted)


def main():
    """All of them, also after one that differs."""
    folder, program = Path(sys.argv[1]), shutil.which("soffice")
    if program is None:
        sys.exit("No spreadsheet program (soffice) is here: the feeds were not held against one.")
    print("Feeds through a spreadsheet program:")
    good = [
        of_csv(program, folder, "nasty.csv", COMMA, ENGLISH, "."),
        of_csv(program, folder, "nasty-bom.csv", COMMA, ENGLISH, "."),
        of_csv(program, folder, "nasty-comma.csv", SEMICOLON, GERMAN, ","),
        of_workbook(program, folder),
    ]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
