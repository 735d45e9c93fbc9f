"""One invented campaign, written in twelve ways: tests/data/ways/.

Needs openpyxl, xlwt, odfpy and pyarrow. Run: python3 tests/writers/ways.py
Zinc sulfate from galvanising ash; every figure is invented and has few digits, so that each way can write it without rounding.
"""

import gzip
import os
import shutil
from datetime import date, timedelta
from decimal import Decimal

import pyarrow
import pyarrow.parquet
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

HERE = os.path.join(os.path.dirname(__file__), "..", "data", "ways")

HEAD = """[campaign]
title = "Zinc sulfate from galvanising ash"
product = "ZnSO4·7H2O"
followed = "Zn"
assay_as = "ZnO"
purity_spec = 0.985

[logs]
{logs}
{columns}
[factors.route]
kind = "choice"
{route}baseline = "chill"
stands_for = "route"

[factors.acid_excess]
kind = "amount"
{excess}unit = "%"
low = 5
high = 60

[titration]
analyte = "ZnSO4·7H2O"
titrant = "EDTA"
ratio = 1
aliquot = 0.1

[uncertainty]
feed_mass = "1 g"
crop_mass = "0.5 g"
sample_mass = "0.0002 g"
titre = "0.03 mL"

[prices]
currency = "EUR"
product = "14 /kg"
labour = "21 /h"

[model]
responses = ["yield", "purity"]
effects = ["route", "acid_excess"]
"""

RUNS = ["run", "date", "lot", "route", "acid_excess", "feed_mass", "labour", "liquor_volume", "liquor_conc", "crop1_mass", "crop2_mass"]
LOTS = ["lot", "assay", "u_assay", "price"]
TITRES = ["run", "crop", "sample_mass", "titre", "blank"]
TITRANTS = ["titrant", "date", "concentration", "u_concentration"]


def made():
    """The rows of each log, numbers as decimals and dates as dates."""
    runs, titres = [], []
    day = date(2025, 1, 13)
    for n in range(16):
        route = ["chill", "boildown"][n // 2 % 2]
        lot = "A" if n < 8 else "B"
        excess = [Decimal("8.5"), Decimal("55.5"), Decimal("31")][n % 3]
        wobble = Decimal((n * 37) % 23 - 11) / 10
        assay = Decimal("0.782") if lot == "A" else Decimal("0.744")
        feed = Decimal("1180.5") + 7 * n
        share = Decimal("0.71") + (Decimal("0.06") if route == "boildown" else 0) + excess / 1600 + wobble / 250
        total = (feed * assay * Decimal("3.5334") * share).quantize(Decimal("0.1"))
        second = (total * (Decimal("0.29") if route == "boildown" else Decimal("0.17"))).quantize(Decimal("0.1"))
        name = f"Z{n + 1:02d}"
        volume = 1450 - (620 if route == "boildown" else 0) + 5 * n
        left = (feed * assay * Decimal("3.5334") * (Decimal("0.93") - share) * 1000 / volume).quantize(Decimal("0.1"))
        labour = 96 + 3 * (n % 5) + (30 if route == "boildown" else 0)
        runs.append([name, day, lot, route, excess, feed, Decimal(labour), Decimal(volume), left, total - second, second])
        for crop in (1, 2):
            purity = Decimal("0.9915") - (Decimal("0.006") if crop == 2 else 0) + wobble / 4000
            for again in range(2 if n % 3 else 1):
                sample = Decimal("2.8125") + Decimal(again) / 40 + Decimal(n) / 100
                moles = sample * purity / Decimal("287.55") / 10
                titre = (moles / Decimal("0.05") * 1000 + Decimal("0.04")).quantize(Decimal("0.01"))
                titres.append([name, Decimal(crop), sample, titre, Decimal("0.04")])
        day += timedelta(days=3 if n % 4 else 4)
    lots = [["A", Decimal("0.782"), Decimal("0.004"), Decimal("1.85")], ["B", Decimal("0.744"), Decimal("0.004"), Decimal("1.6")]]
    titrants = [["EDTA", date(2025, 1, 10), Decimal("0.05"), Decimal("0.00004")]]
    return {"runs": (RUNS, runs), "lots": (LOTS, lots), "titres": (TITRES, titres), "titrants": (TITRANTS, titrants)}


def grouped(number, mark, group):
    text = f"{number:f}"
    whole, _, rest = text.partition(".")
    parts = []
    while len(whole) > 3:
        parts.insert(0, whole[-3:])
        whole = whole[:-3]
    return group.join([whole, *parts]) + (mark + rest if rest else "")


def plain(cell):
    return cell.isoformat() if isinstance(cell, date) else f"{cell:f}" if isinstance(cell, Decimal) else cell


def lines(heads, rows, separator=",", text=plain, end="\n"):
    def cell(value):
        return f'"{value}"' if separator in value or '"' in value else value

    return "".join(separator.join(cell(text(value)) for value in row) + end for row in [heads, *rows])


def folder(name, logs, files, columns="", route="", excess=""):
    path = os.path.join(HERE, name)
    shutil.rmtree(path, ignore_errors=True)
    os.makedirs(path)
    with open(os.path.join(path, "campaign.toml"), "w", encoding="utf-8") as out:
        out.write(HEAD.format(logs=logs, columns=columns, route=route, excess=excess))
    for file, content in files.items():
        with open(os.path.join(path, file), "wb") as out:
            out.write(content)
    return path


def named(logs, suffix):
    return "\n".join(f'{kind} = "{kind}{suffix}"' for kind in logs)


def main():
    logs = made()
    each = lambda suffix, write: {f"{kind}{suffix}": write(heads, rows) for kind, (heads, rows) in logs.items()}

    folder("01-plain", named(logs, ".csv"), each(".csv", lambda h, r: lines(h, r).encode()))

    write = lambda h, r: b"\xef\xbb\xbf" + lines(h, r, "\t", end="\r\n").encode()
    folder("02-tabs-mark-crlf", named(logs, ".tsv"), each(".tsv", write))

    german = lambda cell: cell.strftime("%d.%m.%Y") if isinstance(cell, date) else grouped(cell, ",", ".") if isinstance(cell, Decimal) else cell
    own = {"run": "Ansatz", "date": "Tag", "lot": "Säcke", "route": "Weg", "acid_excess": "Überschuß / %", "feed_mass": "Asche (g)", "labour": "Mühe (min)"}
    files = each(".csv", lambda h, r: lines([own.get(head, head) if h is RUNS else head for head in h], r, ";", german).encode("cp1252"))
    columns = '[columns.runs]\nrun = "Ansatz"\ndate = "Tag"\nlot = "Säcke"\nfeed_mass = "Asche"\nlabour = "Mühe"\n'
    folder("03-comma-windows", named(logs, ".csv") + '\ndecimal = ","\n', files, columns, 'column = "Weg"\n', 'column = "Überschuß"\n')

    spaced = lambda cell: f"{cell.day} {cell.strftime('%b %Y')}" if isinstance(cell, date) else grouped(cell, ".", "\u202f") if isinstance(cell, Decimal) else cell
    folder("04-bars-utf16", named(logs, ".csv"), each(".csv", lambda h, r: lines(h, r, "|", spaced).encode("utf-16")))

    zipped = lambda h, r: gzip.compress(lines(h, r).encode(), mtime=0)
    folder("05-gzip", named(logs, ".csv.gz"), each(".csv.gz", zipped))

    sheets = "\n".join(f'{kind} = "book.{{}}#{kind.title()}"' for kind in logs)
    path = folder("06-xlsx", sheets.format(*["xlsx"] * 4), {})
    book = Workbook()
    book.remove(book.active)
    for kind, (heads, rows) in logs.items():
        sheet = book.create_sheet(kind.title())
        sheet.append([f"{kind.title()} of the ash campaign"])
        sheet.append([])
        sheet.append(["acid excess, %" if head == "acid_excess" else head for head in heads])
        for row in rows:
            sheet.append([float(cell) if isinstance(cell, Decimal) else cell for cell in row])
            for cell, head in zip(sheet[sheet.max_row], heads):
                if head == "date":
                    cell.number_format = "DD.MM.YYYY"
                if head in ("acid_excess", "assay"):
                    cell.number_format = "0.0%"
                if head == "acid_excess":
                    cell.value = float(row[4] / 100)
        if kind == "runs":
            sheet.append(["Total", None, None, None, None, sum(float(row[5]) for row in rows)])
    book.save(os.path.join(path, "book.xlsx"))
    toml = os.path.join(path, "campaign.toml")
    with open(toml, encoding="utf-8") as file:
        text = file.read()
    with open(toml, "w", encoding="utf-8") as file:
        file.write(text.replace("[factors.acid_excess]\n", '[factors.acid_excess]\ncolumn = "acid excess"\n'))

    path = folder("07-xls", sheets.format(*["xls"] * 4), {})
    book = xlwt.Workbook()
    dates = xlwt.easyxf(num_format_str="YYYY-MM-DD")
    for kind, (heads, rows) in logs.items():
        sheet = book.add_sheet(kind.title())
        for r, row in enumerate([heads, *rows]):
            for c, cell in enumerate(row):
                if isinstance(cell, date):
                    sheet.write(r, c, cell, dates)
                else:
                    sheet.write(r, c, float(cell) if isinstance(cell, Decimal) else cell)
    book.save(os.path.join(path, "book.xls"))

    path = folder("08-ods", sheets.format(*["ods"] * 4), {})
    book = OpenDocumentSpreadsheet()
    for kind, (heads, rows) in logs.items():
        table = Table(name=kind.title())
        for r, row in enumerate([heads, *rows]):
            line = TableRow()
            for cell, head in zip(row, heads):
                if isinstance(cell, date):
                    item = TableCell(valuetype="date", datevalue=cell.isoformat())
                elif isinstance(cell, Decimal) and head == "assay":
                    item = TableCell(valuetype="percentage", value=str(cell))
                elif isinstance(cell, Decimal):
                    item = TableCell(valuetype="float", value=str(cell))
                else:
                    item = TableCell(valuetype="string")
                    item.addElement(P(text=cell))
                line.addElement(item)
            table.addElement(line)
        book.spreadsheet.addElement(table)
    book.save(os.path.join(path, "book.ods"))

    path = folder("09-parquet", named(logs, ".parquet"), {})
    for kind, (heads, rows) in logs.items():
        columns = list(zip(*rows))
        arrays = [pyarrow.array([float(c) if isinstance(c, Decimal) else c for c in column]) for column in columns]
        pyarrow.parquet.write_table(pyarrow.table(arrays, names=heads), os.path.join(path, f"{kind}.parquet"))

    text = "Ash campaign of the winter\n\n"
    for number, (kind, (heads, rows)) in enumerate(logs.items()):
        if number:
            text += f"\n{kind.title()}\n"
        text += ",".join(heads) + "\n"
        if kind == "runs":
            text += ",,,,%,g,min,mL,g/L,g,g\n# a new balance from here on\n"
        for n, row in enumerate(rows):
            text += ",".join(plain(cell) for cell in row) + "\n"
            if kind == "runs" and n == 7:
                text += ",,,,,,,,,,\n"
        if kind == "runs":
            text += f"Total,,,,,{sum(row[5] for row in rows)},,,,,\n"
    parts = "\n".join(f'{kind} = "all.csv#{number + 1}"' for number, kind in enumerate(logs))
    folder("10-one-file", parts, {"all.csv": text.encode()})

    units = {
        "feed_mass": ("feed_mass / kg", Decimal("0.001")),
        "labour": ("labour (h)", None),
        "liquor_volume": ("liquor_volume [L]", Decimal("0.001")),
        "liquor_conc": ("liquor_conc / mg/mL", Decimal(1)),
        "crop1_mass": ("crop1_mass_kg", Decimal("0.001")),
        "crop2_mass": ("crop2_mass / kilograms", Decimal("0.001")),
        "assay": ("assay / %", Decimal(100)),
        "u_assay": ("u_assay / %", Decimal(100)),
        "sample_mass": ("sample_mass / mg", Decimal(1000)),
        "titre": ("titre / cm³", Decimal(1)),
        "concentration": ("concentration / mmol/L", Decimal(1000)),
        "u_concentration": ("u_concentration / mmol/L", Decimal(1000)),
    }

    def converted(heads, rows):
        def cell(head, value):
            if head == "labour":
                return repr(float(value) / 60)
            factor = units.get(head, (None, None))[1]
            return plain(value * factor if factor else value)

        return lines([units.get(head, (head,))[0] for head in heads], [[cell(h, c) for h, c in zip(heads, row)] for row in rows]).encode()

    folder("11-units", named(logs, ".csv"), each(".csv", converted))

    def american(cell):
        return cell.strftime("%m/%d/%y") if isinstance(cell, date) else grouped(cell, ".", ",") if isinstance(cell, Decimal) else cell

    def merged(heads, rows):
        if heads is LOTS:
            rows = [[row[0], row[1], row[2], f"€{row[3]}"] for row in rows]
        if heads is RUNS:
            seen, kept = None, []
            for row in rows:
                kept.append([*row[:2], "" if row[2] == seen else row[2], *row[3:]])
                seen = row[2]
            rows = kept
            heads = ["Batch No.", "day", "Bag", "way back", "acid excess, %", "ash / g", "hands-on (min)", "ML (mL)", "ML g/L", "1st crop (g)", "2nd crop (g)"]
        return lines(heads, rows, text=american).encode()

    columns = '[columns.runs]\nrun = "batch no."\ndate = "day"\nlot = "Bag"\nfeed_mass = "ash"\nlabour = "hands-on"\nliquor_volume = "ML (mL)"\nliquor_conc = "ML g/L"\ncrop1_mass = "1st crop"\ncrop2_mass = "2nd crop"\n'
    folder("12-own-headings", named(logs, ".csv") + '\nas_above = ["Bag"]\ndates = "m.d.y"\n', each(".csv", merged), columns, 'column = "way back"\n', 'column = "acid excess"\n')


main()
