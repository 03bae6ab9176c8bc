"""Writes workbook-1900.xlsx and workbook-1904.xlsx with openpyxl 3.0.9.

Both hold one small log, the dates as date cells, the first counting them from
1900 and the second from 1904. Another program than ours writes them, so that
what it means by a date, a percentage or a truth value is not our own idea.
The records are invented.

Run in this folder: python3 workbook.py
"""

import datetime

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900

day = datetime.date

TABLES = {
    "Coatings": [
        ["Code", "Name", "Control", "Claim low months", "Claim high months"],
        ["C-20", "flexible, two layers", False, 12, 24],
        ["BARE", None, True, None, None],
    ],
    "Sites": [
        ["Code", "Latitude", "Longitude", "Climate", "temp_c_monthly"],
        ["HARBOUR", 51.925, 4.5, "Cfb", "4 4 6,5 9 13 16 18 18 15 11 8 5"],
    ],
    "Vehicles": [
        ["Code", "Site", "Enrolled", "Garage", "km per year"],
        [17, "HARBOUR", day(2023, 3, 15), "Carport", 15000],
    ],
    "Patches": [
        ["Vehicle", "Code", "Coating", "Panel", "Orientation", "Substrate", "Finish", "Applied", "Layers", "humidity_pct"],
        [17, "P1", "C-20", "bonnet", "horizontal", "film", "gloss", day(2023, 3, 14), 2, 0.55],
    ],
    "Checkups": [
        ["Vehicle", "Date", "Stage", "Patch", "angle_1_deg", "angle_2_deg", "wet_share_pct", "Operator", "Weather"],
        [17, day(2023, 4, 20), "washed", "P1", 104.1, "105,5", 0.07, "AB", "dry"],
        [None] * 9,
        [17, "2023-04-20", "decon", "P1", 95.4, None, None, "AB", None],
    ],
    "Care": [
        ["Vehicle", "Date", "Kind"],
        [17, day(2023, 4, 20), "decon wash"],
    ],
    "Read me": [["This sheet is no table."]],
}

# How cells are shown, which must not change what is read from them.
FORMATS = {
    ("Vehicles", "C2"): "mm-dd-yy",
    ("Patches", "J2"): "0%",
    ("Checkups", "B2"): "d.m.yy",
    ("Checkups", "E2"): "0",
    ("Checkups", "G2"): "0.0 %",
}


def write(name, epoch):
    book = openpyxl.Workbook()
    book.epoch = epoch
    book.remove(book.active)
    for title, rows in TABLES.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    for (title, cell), form in FORMATS.items():
        book[title][cell].number_format = form
    book.save(name)


write("workbook-1900.xlsx", CALENDAR_WINDOWS_1900)
write("workbook-1904.xlsx", CALENDAR_MAC_1904)
