"""A corpus of bad files: each ends in a clear problem with its place, or is read rightly.

Never a crash, a wait or a flood.
"""

from __future__ import annotations

import datetime as dt
import io
import os
import random
import re
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from typing import Any

import bad_files as bad
import pytest
from bad_files import (
    Make,
    csv_file,
    edited,
    fields,
    plain_file,
    spoilt,
    swapped,
    text_cell,
    with_part,
    without,
)
from cli_help import run
from farms_strategy import build_small
from openpyxl.packaging.custom import StringProperty

from workbook_builder.build import read_and_check
from workbook_builder.check import Problem, errors_in
from workbook_builder.core.inputs import Inputs
from workbook_builder.file_format import NUMBER

SECONDS = 10
ENTITIES = (b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;'
            b'"><!ENTITY c "&b;&b;&b;&b;&b;">]><x>&c;</x>')
OUTSIDE = b'<?xml version="1.0"?><!DOCTYPE x SYSTEM "http://127.0.0.1:9/x.dtd"><x/>'
PASSWORDS = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY p SYSTEM "file:///etc/passwd">]><x>&p;</x>'
CONTENT_TYPES, STRINGS, STYLES = "[Content_Types].xml", "xl/sharedStrings.xml", "xl/styles.xml"
BOOK, BOOK_LINKS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
NOISE = random.Random(7).randbytes(5000)
BIG = "x" * 1_000_000
CSV_HEAD = b"field,area,crop,notes\n"
PASSES = b"pass,field,mix,method,date,carrier,sprayer,%s\nP2,Creek,Burndown,spot,2026-06-20,15,Big Boom,%s\n"


def renamed_sheet(folder: Path) -> Path:
    """The sheet of fields goes by a name that is not one of markup, and declares entities."""

    def change(parts: bad.Parts) -> None:
        parts["xl/worksheets/fields.bin"] = ENTITIES
        del parts[bad.SHEET]
        for part in (BOOK_LINKS, CONTENT_TYPES):
            parts[part] = parts[part].replace(b"worksheets/sheet2.xml", b"worksheets/fields.bin")

    return spoilt(change)(folder)


def shared_text(number: int) -> Make:
    """Return what writes a book with one shared text, and a cell that shows the text of this number."""
    entry = (f'<Override PartName="/{STRINGS}" '
             f'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"'
             f'/></Types>')

    def change(parts: bad.Parts) -> None:
        parts[STRINGS] = f'<sst xmlns="{bad.MAIN}"><si><t>sunflower</t></si></sst>'.encode()
        parts[CONTENT_TYPES] = parts[CONTENT_TYPES].replace(b"</Types>", entry.encode())
        parts[bad.SHEET] = bad.fields_markup(f'<c r="C2" t="s"><v>{number}</v></c>').encode()

    return spoilt(change)


def far_right(folder: Path) -> Path:
    """Fifty thousand rows with one cell each, at the right edge of the sheet."""
    rows = "".join(f'<row r="{row}"><c r="XFD{row}"><v>1</v></c></row>' for row in range(4, 50_000))
    return fields(rows=rows)(folder)


def million_rows(content: str) -> Make:
    """Return what writes a million rows with one cell each; the markup is made when it is asked for."""

    def make(folder: Path) -> Path:
        rows = "".join(f'<row r="{row}"><c r="A{row}">{content}</c></row>' for row in range(4, 1_000_000))
        return fields(rows=rows)(folder)

    return make


def other_file(name: str, content: str) -> Make:
    """Return what writes a zip of another kind of office file."""
    return plain_file(bad.packed({CONTENT_TYPES: b"<Types/>", name: content.encode()}))


#: name -> how it is made, codes of the errors that must be told.
REFUSED: dict[str, tuple[Make, set[str]]] = {
    "random bytes": (plain_file(NOISE), {"not-a-workbook"}),
    "random bytes behind a zip mark": (plain_file(b"PK\x03\x04" + NOISE), {"not-a-workbook"}),
    "empty file": (plain_file(b""), {"not-a-workbook"}),
    "one zero byte": (plain_file(b"\0"), {"not-a-workbook"}),
    "a million zero bytes": (plain_file(bytes(1_000_000)), {"not-a-workbook"}),
    "web page named as a workbook": (plain_file(b"<html><table><tr><td>1</td></tr></table></html>"),
                                     {"not-a-workbook"}),
    "CSV text named as a workbook": (plain_file(b"field,area\nBench,80\n"), {"not-a-workbook"}),
    "portable document named as a workbook": (plain_file(b"%PDF-1.7\n" + NOISE), {"not-a-workbook"}),
    "gzip named as a workbook": (plain_file(b"\x1f\x8b\x08" + NOISE), {"not-a-workbook"}),
    "zip cut in the middle": (bad.cut_short(0.5), {"not-a-workbook"}),
    "zip without its last byte": (bad.cut_short(0.9999), {"not-a-workbook"}),
    "zip cut before its directory": (bad.cut_short(0.8), {"not-a-workbook"}),
    "zip with a wrong check sum": (bad.broken_crc, {"not-a-workbook"}),
    "empty zip": (plain_file(b"PK\x05\x06" + bytes(18)), {"not-a-workbook"}),
    "zips in a zip, forty deep": (bad.nested_zip, {"not-a-workbook"}),
    "part larger than the zip says": (bad.lying_size, {"not-a-workbook", "suspicious-file"}),
    "ten thousand parts": (bad.many_parts, {"suspicious-file"}),
    "one name after another for one flood": (bad.ten_floods, {"file-too-large"}),
    "flood of one part": (with_part("xl/media/a.txt", b"0" * 11_000_000), {"suspicious-file"}),
    "parts marked as encrypted": (bad.flagged_as_encrypted, {"locked-file"}),
    "encrypted workbook": (plain_file(bad.old_book(b"EncryptedPackage")), {"locked-file"}),
    "old binary workbook": (plain_file(bad.old_book(), "book.xls"), {"locked-file"}),
    "old binary workbook under a new name": (plain_file(bad.old_book()), {"locked-file"}),
    "text document renamed": (other_file("word/document.xml", "<document/>"), {"not-a-workbook"}),
    "slides renamed": (other_file("ppt/presentation.xml", "<presentation/>"), {"not-a-workbook"}),
    "open document renamed": (other_file("content.xml", "<office/>"), {"not-a-workbook"}),
    "open document": (plain_file(bad.packed({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet",
                                             "content.xml": b"<office/>"}), "book.ods"), {"not-a-workbook"}),
    "binary workbook renamed": (other_file("xl/workbook.bin", "\0\1"), {"not-a-workbook"}),
    "entity bomb in the sheet": (with_part(bad.SHEET, ENTITIES), {"suspicious-file"}),
    "entity bomb in the texts": (with_part(STRINGS, ENTITIES), {"suspicious-file"}),
    "entity bomb in the styles": (with_part(STYLES, ENTITIES), {"suspicious-file"}),
    "entity bomb in the links of the book": (with_part(BOOK_LINKS, ENTITIES), {"suspicious-file"}),
    "entity bomb in a part of another ending": (renamed_sheet, {"suspicious-file"}),
    "entity bomb in 16-bit letters": (with_part(bad.SHEET, ENTITIES.decode().encode("utf-16")),
                                      {"suspicious-file"}),
    "entity bomb behind a long comment": (with_part(STYLES, b"<!--" + b"x" * 70_000 + b"-->" + ENTITIES[21:]),
                                          {"suspicious-file"}),
    "document type from the net": (with_part(STYLES, OUTSIDE), {"suspicious-file"}),
    "entity from a file of the system": (with_part(STRINGS, PASSWORDS), {"suspicious-file"}),
    "markup nested without end": (fields(tail=bad.deep(50_000)), {"suspicious-file"}),
    "one merged range over the whole sheet": (fields(tail='<mergeCells><mergeCell '
                                                          'ref="A1:XFD1048576"/></mergeCells>'),
                                              {"suspicious-file"}),
    "merged columns": (fields(tail='<mergeCells><mergeCell ref="A:XFD"/></mergeCells>'),
                       {"suspicious-file", "not-a-workbook"}),
    "merged range written in character codes": (fields(tail='<mergeCells><mergeCell '
                                                            'ref="A1&#58;XFD9999"/></mergeCells>'),
                                                {"suspicious-file"}),
    "link over the whole sheet": (fields(tail='<hyperlinks><hyperlink ref="A1:XFD1048576" '
                                              'location="A1"/></hyperlinks>'), {"suspicious-file"}),
    "column beyond the last": (fields('<c r="ZZZZ2"><v>1</v></c>'), {"not-a-workbook"}),
    "cell without a row": (fields('<c r="B"><v>1</v></c>'), {"not-a-workbook"}),
    "cell reference of words": (fields('<c r="here!"><v>1</v></c>'), {"not-a-workbook"}),
    "row number of words": (fields(rows='<row r="ten"><c><v>1</v></c></row>'), {"not-a-workbook"}),
    "text number out of range": (shared_text(99_999), {"not-a-workbook"}),
    "text number below nothing": (shared_text(-99_999), {"not-a-workbook"}),
    "style number out of range": (fields('<c r="B2" s="9999"><v>80.5</v></c>'), {"not-a-workbook"}),
    "number that is a word": (fields('<c r="B2"><v>eighty</v></c>'), {"not-finite"}),
    "cells far to the right of every row": (far_right, {"too-many-columns"}),
    "cell below the rows that are read": (fields(rows='<row r="1048576"><c r="A1048576"><v>1</v></c></row>'),
                                          {"too-many-rows"}),
    "row number of a billion": (fields(rows='<row r="1000000000"><c r="A1000000000"><v>1</v></c></row>'),
                                {"too-many-rows"}),
    "a million rows": (million_rows("<v>1</v>"), {"too-many-rows"}),
    "a million rows of blank cells": (million_rows(""), {"too-many-rows"}),
    "workbook of a newer release": (
        edited(lambda book: book.custom_doc_props.append(StringProperty(name=NUMBER, value="99"))),
        {"newer-format"}),
    "no book part": (without(BOOK), {"not-a-workbook"}),
    "no content types": (without(CONTENT_TYPES), {"not-a-workbook"}),
    "no links of the book": (without(BOOK_LINKS), {"not-a-workbook"}),
    "no sheet of fields": (without(bad.SHEET), {"missing-table"}),
    "no shared texts": (fields('<c r="C2" t="s"><v>0</v></c>'), {"not-a-workbook"}),
    "empty sheet part": (with_part(bad.SHEET, b""), {"not-a-workbook"}),
    "sheet part of noise": (with_part(bad.SHEET, NOISE), {"not-a-workbook"}),
    "sheet with a zero byte in it": (with_part(bad.SHEET, b"<worksheet>\0</worksheet>"), {"not-a-workbook"}),
    "control character in markup": (fields(text_cell("C2", "sun\x01flower")), {"not-a-workbook"}),
    "two sheets of one name": (swapped(BOOK, b'name="Products"', b'name="Fields"'), {"duplicate-table"}),
    "two sheets of one name in other capitals": (swapped(BOOK, b'name="Products"', b'name="FIELDS"'),
                                                 {"duplicate-table"}),
    "path that leaves the folder as a sheet": (swapped(BOOK_LINKS, b"/xl/worksheets/sheet2.xml",
                                                       b"/../../../etc/passwd"), {"missing-table"}),
    "headers merged away": (fields(tail='<mergeCells><mergeCell ref="A1:E1"/></mergeCells>'),
                            {"missing-header"}),
    "data merged away": (fields(tail='<mergeCells><mergeCell ref="A2:E2"/></mergeCells>'),
                         {"required-blank"}),
    "header given twice": (fields(header=("field", "area", "crop", "Area")), {"duplicate-column"}),
    "header left out": (fields(header=("field", "", "crop")), {"missing-column"}),
    "formula without a result": (fields('<c r="B2"><f>40*2</f></c>'), {"formula-without-value"}),
    "formula with an error for a result": (fields('<c r="B2" t="e"><f>1/0</f><v>#DIV/0!</v></c>'),
                                           {"excel-error"}),
    "error value": (fields('<c r="B2" t="e"><v>#REF!</v></c>'), {"excel-error"}),
    "error value nobody knows": (fields('<c r="B2" t="e"><v>#BUSY!</v></c>'), {"excel-error"}),
    "true for an area": (fields('<c r="B2" t="b"><v>1</v></c>'), {"boolean"}),
    "not a number as a number": (fields('<c r="B2"><v>NaN</v></c>'), {"not-finite"}),
    "infinity as a number": (fields('<c r="B2"><v>INF</v></c>'), {"not-finite"}),
    "number beyond all measure": (fields('<c r="B2"><v>1e999</v></c>'), {"not-finite"}),
    "number with a million digits": (fields(f'<c r="B2"><v>{"9" * 1_000_000}</v></c>'), {"not-finite"}),
    "cell of a million letters": (fields(text_cell("C2", BIG)), {"too-long"}),
    "notes of a million letters": (fields(text_cell("E2", BIG)), {"too-long"}),
    "area of a million letters": (fields(text_cell("B2", BIG)), {"not-a-number"}),
    "bell in a text": (fields(text_cell("A2", "Ben_x0007_ch")), {"control-character"}),
    "direction marks in a name": (fields(text_cell("A2", "Ben\u202ech")), {"control-character"}),
    "date as a small number": (fields('<c r="D2"><v>12</v></c>'), {"not-a-date"}),
    "date as a negative number": (fields('<c r="D2"><v>-5</v></c>'), {"not-a-date"}),
    "date as a huge number": (fields('<c r="D2"><v>1e300</v></c>'), {"not-a-date"}),
    "date before 1900 in ISO form": (fields('<c r="D2" t="d"><v>1850-01-01</v></c>'), {"date-too-early"}),
    "date on the last day there is": (fields('<c r="D2" t="d"><v>9999-12-31</v></c>'), {"date-too-late"}),
    "date on the last day there is, as a number": (fields('<c r="D2"><v>2958465</v></c>'),
                                                   {"date-too-late", "not-a-date"}),
    "date that is none in ISO form": (fields('<c r="D2" t="d"><v>2026-02-31</v></c>'),
                                      {"not-a-workbook", "not-a-date"}),
    "folder named as a workbook": (bad.folder_named_as_book, {"not-a-source"}),
    "links that lead to each other": (bad.link_loop, {"missing-source"}),
    "link to nothing": (bad.dead_link, {"missing-source"}),
    "table that links to itself": (bad.looping_table, {"unreadable-file"}),
    "folder in the place of a table": (bad.folder_as_table, {"unreadable-file"}),
    "pipe in the place of a workbook": (bad.pipe, {"missing-source"}),
    "pipe in the place of a table": (bad.piped_table, {"unreadable-file"}),
    "CSV of noise": (csv_file(NOISE), {"unreadable-file"}),
    "CSV with zero bytes": (csv_file(CSV_HEAD + b"Bench\0,80,fallow,\n" + b"x" * 500), {"unreadable-file"}),
    "CSV that is a workbook": (csv_file(b"PK\x03\x04" + NOISE), {"unreadable-file"}),
    "CSV in 32-bit letters": (csv_file((CSV_HEAD + b"Bench,80,fallow,\n").decode().encode("utf-32-le")),
                              {"unreadable-file"}),
    "CSV with half a letter at its end": (csv_file(CSV_HEAD.decode().encode("utf-16") + b"B"),
                                          {"unreadable-file"}),
    "CSV with a quote that never closes": (csv_file(CSV_HEAD + b'"Bench,80,fallow,\n'), {"broken-csv"}),
    "CSV with one million letters in a quote": (csv_file(CSV_HEAD + b'"' + BIG.encode() + b'",80,fallow,\n'),
                                                {"broken-csv"}),
    "CSV with a longer line": (csv_file(CSV_HEAD + b"Bench,80,5,fallow,wet\n"), {"too-many-cells"}),
    "CSV without a header": (csv_file(b"Bench,80,fallow\n"), {"missing-header"}),
    "CSV with a header and no more": (csv_file(CSV_HEAD), {"empty-table"}),
    "CSV with a column twice": (csv_file(b"field,area,AREA,crop\nBench,80,80,fallow\n"),
                                {"duplicate-column"}),
    "CSV of commas": (csv_file(b",,,,\n" * 1000), {"empty-table"}),
    "CSV of a hundred thousand columns": (csv_file(b"a," * 100_000 + b"\n"), {"too-many-columns"}),
    "CSV of a million blank lines": (csv_file(b"\n" * 1_000_000), {"too-many-rows"}),
    "CSV with a bell": (csv_file(CSV_HEAD + b"Ben\x07ch,80,fallow,\n"), {"control-character"}),
    "unit of another measure in a header": (fields(header=("field", "area (psi)", "crop")),
                                            {"unit-mismatch"}),
    "unit nobody knows in a header": (fields(header=("field", "area (mornings)", "crop")), {"unknown-unit"}),
    "share of one under a header in percent": (csv_file(PASSES % (b"sprayed_share (%)", b"0.3"),
                                                        "passes.csv"), {"ambiguous-number"}),
    "area that its cell shows in percent": (bad.shown("Fields", "B5", 80.5, "0%"), {"percent-shown"}),
    "area that its cell shows in hectares": (bad.shown("Fields", "B5", 80.5, '0" ha"'), {"unit-mismatch"}),
    "price that its cell shows in euros": (bad.shown("Products", "F5", 62.5, "0 [$\u20ac]"),
                                           {"currency-mismatch"}),
    "price typed in euros": (edited(lambda book: setattr(book["Products"]["F5"], "value", "\u20ac 62.50")),
                             {"currency-mismatch"}),
    "tab of a table under another name": (edited(lambda book: setattr(book["Past use"], "title", "Zettel 7")),
                                          {"unknown-sheet"}),
    "CSV table under another name": (csv_file(b"pass,field,frame,frame_area,count\nP2,Creek,1,1,3\n",
                                              "Zettel 7.csv"), {"unknown-sheet"}),
    "two sheets of one name, one of them optional": (swapped(BOOK, b'name="Past use"', b'name="Fields"'),
                                                     {"duplicate-table"}),
    "thousands or decimals between tabs": (csv_file(CSV_HEAD.replace(b",", b"\t")
                                                    + b"Bench\t1,500\tfallow\t\n"), {"ambiguous-number"}),
    "thousands or decimals as text": (fields(text_cell("B2", "1,500")), {"ambiguous-number"}),
    "pass that is its own partner": (csv_file(PASSES % (b"partner_pass", b"P2"), "passes.csv"),
                                     {"own-partner"}),
    "own text longer than a cell": (csv_file(b"field,area,crop,diary\nBench,80,fallow," + b"x" * 32_768
                                             + b"\n"), {"too-long"}),
    "own text of wide signs longer than a cell": (
        csv_file("field,area,crop,diary\nBench,80,fallow,{}\n".format("\U0001f33b" * 16_384).encode()),
        {"too-long"}),
    "CSV with a replaced letter for a number": (csv_file(CSV_HEAD + "Bench,8\ufffd,fallow,\n".encode()),
                                                {"not-a-number"}),
}

FIRST = dt.date(2026, 5, 20)
BENCH = b"Bench,80,sunflower,wet\nCreek,120,fallow,\n"
#: name -> how it is made, key of the first field, its value.
READ: dict[str, tuple[Make, str, Any]] = {
    "nothing wrong": (fields(), "area", 80.5),
    "dimension of the whole sheet": (fields(head='<dimension ref="A1:XFD1048576"/>'), "area", 80.5),
    "dimension of nonsense": (fields(head='<dimension ref="A1:ZZZZZ99999999999"/>'), "area", 80.5),
    "dimension too small": (fields(head='<dimension ref="A1"/>'), "area", 80.5),
    "merged title beside the table": (fields(tail='<mergeCells><mergeCell ref="J1:P9"/></mergeCells>'),
                                      "area", 80.5),
    "no styles": (without(STYLES), "area", 80.5),
    "hidden sheet": (swapped(BOOK, b'name="Fields" sheetId="2" state="visible"',
                             b'name="Fields" sheetId="2" state="hidden"'), "area", 80.5),
    "very hidden sheet": (swapped(BOOK, b'name="Fields" sheetId="2" state="visible"',
                                  b'name="Fields" sheetId="2" state="veryHidden"'), "area", 80.5),
    "sheet in 16-bit letters": (with_part(bad.SHEET, bad.fields_markup().encode("utf-16")), "area", 80.5),
    "columns marked by a level": (fields(head='<cols><col min="1" max="2" width="12" level="1"/></cols>'),
                                  "area", 80.5),
    "drawing that is not there": (bad.with_dangling_drawing, "area", 80.5),
    "strict workbook": (spoilt(bad.made_strict), "area", 80.5),
    "shared text": (shared_text(0), "crop", "sunflower"),
    "formula with a result": (fields('<c r="B2"><f>40*2</f><v>80</v></c>'), "area", 80),
    "formula that reaches outside": (fields('<c r="B2"><f>[1]Sheet1!A1</f><v>80</v></c>'), "area", 80),
    "formula with a text for a result": (fields('<c r="C2" t="str"><f>"sun"&amp;"flower"</f><v>sunflower</v'
                                                '></c>'), "crop", "sunflower"),
    "text that is a number": (fields(text_cell("B2", " 80.5 ")), "area", 80.5),
    "date as a number": (fields('<c r="D2"><v>46162</v></c>'), "planting_date", FIRST),
    "date in ISO form": (fields('<c r="D2" t="d"><v>2026-05-20</v></c>'), "planting_date", FIRST),
    "right-to-left text": (fields(text_cell("E2", "\u0634\u0645\u0627\u0644")), "notes",
                           "\u0634\u0645\u0627\u0644"),
    "signs beyond the basic plane": (fields(text_cell("E2", "wet \U0001f33b")), "notes", "wet \U0001f33b"),
    "text that begins like a formula": (fields(text_cell("E2", "=1+1")), "notes", "=1+1"),
    "line break by its code": (fields(text_cell("E2", "wet_x000D_&#10;corner")), "notes", "wet\ncorner"),
    "text of markup": (fields(text_cell("E2", "&lt;b&gt;wet&lt;/b&gt;")), "notes", "<b>wet</b>"),
    "part with a path that leaves the folder": (with_part("../../../outside.xml", b"<x/>"), "area", 80.5),
    "part with a path from the root": (with_part("/etc/outside.txt", b"x"), "area", 80.5),
    "macro part": (with_part("xl/vbaProject.bin", bad.old_book(b"VBA")), "area", 80.5),
    "link to another workbook": (with_part("xl/externalLinks/externalLink1.xml", b"<externalLink/>"),
                                 "area", 80.5),
    "the same part twice": (bad.twin_parts, "area", 80.5),
    "part of noise that nobody asks for": (with_part("customXml/item1.xml", b"<" + NOISE), "area", 80.5),
    "CSV with semicolons": (csv_file((CSV_HEAD + BENCH).replace(b",", b";")), "area", 80),
    "CSV with tabs": (csv_file((CSV_HEAD + BENCH).replace(b",", b"\t")), "area", 80),
    "CSV with a mark before it": (csv_file(b"\xef\xbb\xbf" + CSV_HEAD + BENCH), "area", 80),
    "CSV in 16-bit letters": (csv_file((CSV_HEAD + BENCH).decode().encode("utf-16")), "area", 80),
    "CSV in 16-bit letters without a mark": (csv_file((CSV_HEAD + BENCH).decode().encode("utf-16-le")),
                                             "area", 80),
    "CSV in 16-bit letters the other way round": (csv_file((CSV_HEAD + BENCH).decode().encode("utf-16-be")),
                                                  "area", 80),
    "CSV in Windows Latin": (csv_file((CSV_HEAD + BENCH).decode().replace(
        "wet", "na\u00df").encode("cp1252")),
                             "notes", "na\u00df"),
    "hectares in a header": (fields(header=("field", "Area (hectares)", "crop")), "area", 198.919832081),
    "thousands between tabs beside a decimal point": (
        csv_file(CSV_HEAD.replace(b",", b"\t") + b"Bench\t1,500\tsunflower\t\nCreek\t80.5\tfallow\t\n"),
        "area", 1500),
    "decimal commas between tabs": (
        csv_file(CSV_HEAD.replace(b",", b"\t") + b"Bench\t1,500\tsunflower\t\nCreek\t80,5\tfallow\t\n"),
        "area", 1.5),
    "letters opened in a wrong encoding": (
        csv_file(CSV_HEAD + "Bench,80,sunflower,Ca\u00f1ada\nCreek,120,fallow,\n".encode()
                 .decode("cp1252").encode()), "notes", "Ca\u00c3\u00b1ada"),
    "CSV with shorter lines": (csv_file(CSV_HEAD + b"Bench,80,sunflower\nCreek,120,fallow\n"), "area", 80),
    "CSV with old line ends": (csv_file((CSV_HEAD + BENCH).replace(b"\n", b"\r")), "area", 80),
    "CSV with a line break in a cell": (csv_file(CSV_HEAD
                                                 + b'Bench,80,sunflower,"wet\ncorner"\nCreek,120,fallow,\n'),
                                        "notes", "wet\ncorner"),
}


def guarded(source: Path) -> tuple[Inputs, list[Problem]]:
    """Read and check within the time allowed."""
    started = time.process_time()
    inputs, problems = read_and_check(source)
    assert time.process_time() - started < SECONDS
    return inputs, problems


@pytest.mark.parametrize("name", REFUSED)
def test_bad_files_are_refused_in_plain_words(tmp_path: Path, name: str,
                                              monkeypatch: pytest.MonkeyPatch) -> None:
    """`check` tells of each with its file and what would be right, ends with 1 and writes nothing."""
    make, expected = REFUSED[name]
    source = make(tmp_path)
    there = sorted(tmp_path.rglob("*"))
    problems: list[Problem] = []

    def listening(source: Path) -> tuple[Inputs, list[Problem]]:
        inputs, found = guarded(source)
        problems.extend(found)
        return inputs, found

    monkeypatch.setattr("workbook_builder.build.read_and_check", listening)
    outcome = run("check", source)

    assert outcome.exit_code == 1
    assert sorted(tmp_path.rglob("*")) == there
    errors = errors_in(problems)
    assert (errors[0].file or source.name) in outcome.stderr
    assert errors
    assert {problem.code for problem in errors} & expected, [str(problem) for problem in errors]
    assert all(problem.message and problem.fix for problem in errors)
    assert all(problem.file or problem.code == "missing-source" for problem in errors)


@pytest.mark.parametrize("name", READ)
def test_odd_files_are_read_rightly(tmp_path: Path, name: str) -> None:
    """What only looks odd is read as its owner sees it."""
    make, key, value = READ[name]

    inputs, problems = guarded(make(tmp_path))

    assert errors_in(problems) == []
    assert inputs.rows("fields")[0][key] == value


#: Number of the sheet, cell, and the place that must be told: a number, a name, a date, a time of day and two
#: lines of a form.
PLACES = (
    (2, "B5", "sheet Fields, row 5, column Area"), (2, "C5", "sheet Fields, row 5, column Crop"),
    (10, "E6", "sheet Passes, row 6, column Date"),
    (10, "F5", "sheet Passes, row 5, column Start time"), (1, "B5", "sheet Farm, row 5, column Season"),
    (1, "B6", "sheet Farm, row 6, column Units"),
)


@pytest.mark.parametrize("formula", ["", "0/0"])
@pytest.mark.parametrize(("sheet", "reference", "place"), PLACES)
@pytest.mark.parametrize("text", ["NaN", "1e999"])
def test_false_numbers_are_told_by_their_place(tmp_path: Path, text: str, sheet: int, reference: str,
                                               place: str, formula: str) -> None:
    """A cell of any kind that stores NaN or infinity, typed or as a formula's result,
    is one problem with sheet, row and column.
    """
    _, problems = guarded(bad.false_cell(sheet, reference, text, formula)(tmp_path))

    errors = [each for each in errors_in(problems) if each.code != "unknown-reference"]
    assert ([(each.code, each.place) for each in errors if each.code == "not-finite"]
            == [("not-finite", f"book.xlsx, {place}")])
    assert all(each.row for each in errors)


@pytest.mark.parametrize("text", bad.FALSE_NUMBERS)
def test_every_false_number_is_told(tmp_path: Path, text: str) -> None:
    """However a program writes what is no number, the area that holds it is named, in a short sentence."""
    [error] = errors_in(guarded(bad.false_cell(2, "B5", text)(tmp_path))[1])

    assert (error.code, error.place) == ("not-finite", "book.xlsx, sheet Fields, row 5, column Area")
    assert len(str(error)) < 250


@pytest.mark.parametrize("text", bad.FALSE_TEXTS)
def test_every_false_text_is_told(tmp_path: Path, text: str) -> None:
    """In a CSV file too, what is no number is named by file, line and column, in a short sentence."""
    data = CSV_HEAD + f"Bench,{text},sunflower,\nCreek,120,fallow,\n".encode()
    [error] = errors_in(guarded(csv_file(data)(tmp_path))[1])

    assert error.code in ("not-a-number", "not-finite")
    assert error.place == "fields.csv, row 2, column area"
    assert len(str(error)) < 250


def test_all_other_problems_are_told_too(tmp_path: Path) -> None:
    """A false number hides nothing: another wrong cell of the same book is told in the same run."""
    book = fields('<c r="B2"><v>NaN</v></c>' + text_cell("D2", "soon"),
                  rows='<row r="4">' + text_cell("A4", "Draw") + '<c r="B4"><v>INF</v></c></row>')

    found = [(each.code, each.row) for each in errors_in(guarded(book(tmp_path))[1])]

    assert found[:4] == [("not-finite", 2), ("not-a-date", 2), ("not-finite", 4), ("required-blank", 4)]


@pytest.mark.parametrize("text", ["NaN", "1e999"])
def test_false_numbers_of_ones_own_are_kept_as_text(tmp_path: Path, text: str) -> None:
    """In a column of the user's own such a cell is carried along as text,
    so that the workbook built holds no false number.
    """
    header = (*bad.HEADER, "My own")
    book = fields(f'<c r="F2"><v>{text}</v></c>', header=header)(tmp_path)

    data = build_small(read_and_check(book)[0]).data

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        values = {value.lower() for name in archive.namelist() if "sheet" in name
                  for value in re.findall(r"<v>([^<]*)</v>", archive.read(name).decode())}
    assert not values & {"nan", "inf", "-inf", "1e999"}
    assert read_and_check(book)[0].extras["fields"]["My own"] == ["NaN" if text == "NaN" else "inf"]


#: Cases made to fill memory.
BOMBS = [name for name in REFUSED
         if any(word in name for word in ("bomb", "flood", "whole sheet", "merged", "far to the right",
                                          "million", "larger than"))]
MEGABYTES = 300
BOUNDED = """
import resource, sys
from pathlib import Path
from test_bad_files import REFUSED
from workbook_builder.build import build_source, read_and_check
held = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (held + {megabytes} * 2**20,) * 2)
for line in sys.stdin.read().splitlines():
    name, _, source = line.partition("=")
    codes = {{problem.code for problem in read_and_check(Path(source))[1]}}
    if not codes & REFUSED[name][1]:
        print(name, codes)
"""


@pytest.mark.nightly
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is measured the Linux way")
def test_bombs_stay_small(tmp_path: Path) -> None:
    """What is made to fill memory is refused within a few hundred megabytes."""
    lines = []
    for number, name in enumerate(BOMBS):
        (tmp_path / str(number)).mkdir()
        lines.append(f"{name}={REFUSED[name][0](tmp_path / str(number))}")

    ended = subprocess.run(
        [sys.executable, "-c", BOUNDED.format(megabytes=MEGABYTES)], input="\n".join(lines), text=True,
        capture_output=True,
        timeout=120, check=False,
        env={**os.environ,
             "PYTHONPATH": os.pathsep.join((str(Path(__file__).parent), str(Path(__file__).parents[1])))},
    )

    assert len(lines) > 10
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, "", "")


def test_the_corpus_is_large() -> None:
    """A hundred cases and more are kept, each under a name of its own."""
    assert len(REFUSED) + len(READ) >= 140
    assert not REFUSED.keys() & READ.keys()
