"""Writes the invented workshop of ../demo as workbooks, in several habits of openpyxl.

Run in this folder, with openpyxl 3.0 or later:  python3 openpyxl_books.py
"""
import csv
import datetime
import os
import re
import zipfile

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.cell import WriteOnlyCell

SHEETS = ["Models", "Places", "Parts", "Goes", "Donors", "Seen", "Bags", "Jobs", "Moves", "Wants"]
DAYS = {"Date", "Bought", "Booked", "Promised", "Opened", "Closed", "Met"}
NUMBERS = {"Quantity", "Per body", "Keep", "Weeks to find", "Teeth", "Coils", "Price", "Post", "Cost", "Value", "Worth", "Amount",
           "Mass g", "Free angle deg"}


def rows(sheet):
    with open(os.path.join("..", "demo", sheet.lower() + ".csv"), encoding="utf-8", newline="") as f:
        return list(csv.reader(f))


def typed(heading, text):
    """What a person would have in the cell: a number, a day, or text."""
    if text == "":
        return None
    if heading in DAYS:
        return datetime.date.fromisoformat(text)
    if heading in NUMBERS or heading.endswith(" mm"):
        try:
            return float(text) if "." in text else int(text)
        except ValueError:
            return text
    return text


def fill(book, append):
    for sheet in SHEETS:
        table = rows(sheet)
        ws = book.create_sheet(sheet)
        append(ws, table[0])
        for row in table[1:]:
            append(ws, [typed(h, c) for h, c in zip(table[0], row)])


def cells():
    """Cell by cell, days from 1900."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    fill(book, lambda ws, row: ws.append(row))
    book.save("demo-openpyxl.xlsx")


def write_only():
    """Written as a stream, days from 1904, days shown as dd.mm.yyyy."""
    book = openpyxl.Workbook(write_only=True)
    book.epoch = CALENDAR_MAC_1904

    def append(ws, row):
        out = []
        for v in row:
            if isinstance(v, datetime.date):
                v = WriteOnlyCell(ws, value=v)
                v.number_format = "dd.mm.yyyy"
            out.append(v)
        ws.append(out)

    fill(book, append)
    book.save("demo-openpyxl-writeonly.xlsx")


def gaps(text):
    """Puts empty cells where there are none, so that a cell's place follows from its order."""
    def whole(m):
        out, last = [], 0
        for c in re.findall(r"<c .*?</c>", m.group(0)):
            col = openpyxl.utils.column_index_from_string(re.match(r'<c r="([A-Z]+)', c).group(1))
            out += ["<c/>"] * (col - last - 1) + [c]
            last = col
        return "<row>" + "".join(out) + "</row>"

    return re.sub(r"<row[^>]*>.*?</row>", whole, text)


def bare():
    """All text, shared where openpyxl has it inline, without dimensions and references."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for sheet in SHEETS:
        ws = book.create_sheet(sheet)
        for row in rows(sheet):
            ws.append([c or None for c in row])
    book.save("inline.xlsx")
    shared = []

    def share(m):
        if m.group(1) not in shared:
            shared.append(m.group(1))
        return 't="s"><v>%d</v>' % shared.index(m.group(1))

    with zipfile.ZipFile("inline.xlsx") as old, zipfile.ZipFile("demo-openpyxl-bare.xlsx", "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            text = old.read(name).decode("utf-8")
            if name.startswith("xl/worksheets/sheet"):
                text = re.sub(r"<dimension [^>]*/>", "", text)
                text = re.sub(r't="inlineStr"><is>(<t[^>]*>[^<]*</t>)</is>', share, text)
                text = re.sub(r'<c r="[A-Z]+\d+"( [^>]*)?>', lambda m: "<c" + (m.group(1) or "") + ">", gaps(text))
            if name == "xl/_rels/workbook.xml.rels":
                text = text.replace("</Relationships>", '<Relationship Id="rIdTexts" Target="/xl/sharedStrings.xml" Type="http://schemas.'
                                    'openxmlformats.org/officeDocument/2006/relationships/sharedStrings"/></Relationships>')
            if name == "[Content_Types].xml":
                text = text.replace("</Types>", '<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-'
                                    'officedocument.spreadsheetml.sharedStrings+xml"/></Types>')
            new.writestr(name, text)
        new.writestr("xl/sharedStrings.xml", '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
                     + "".join("<si>%s</si>" % t for t in shared) + "</sst>")
    os.remove("inline.xlsx")


if __name__ == "__main__":
    cells()
    write_only()
    bare()
