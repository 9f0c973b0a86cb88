"""Files of prices written and read by other programs: Python's csv and openpyxl."""

from __future__ import annotations

import csv
import io
import random
from datetime import date, timedelta

import openpyxl
import pytest

from estimate.client import PACKAGE, SECONDS, as_dict
from money.shop import open_shop

FORMATS = {"csv": "PRICE_FILE_FORMAT_CSV", "xlsx": "PRICE_FILE_FORMAT_XLSX"}
HEADER = ["region", "material", "supplier", "unit", "unit_price", "start_date", "pack_size", "break_rule", "breaks", "load_t",
          "charge_per_load", "lead_days", "note"]
ROWS = [
    ["file-shop", "sharp-sand", "Pit, \"lower\"", "t", "27.80", "2026-03-01", "0.5", "all-units", "10:26.4 20:25.2", "18", "55", "3", "-tipped"],
    ["file-shop", "sharp-sand", "Äcker & Söhne", "t", "28.654321", "2026-03-01", "", "incremental", "10:26.4", "", "", "", ""],
    ["file-shop", "hydrated-lime", "", "bag", "12.4", "2026-03-01", "40", "", "", "", "", "14", "two, or three"],
]


@pytest.fixture(scope="module")
def shop(client, firm) -> str:
    open_shop(client, "file-shop", "EUR")
    return "regions/file-shop"


def as_csv(rows: list[list[str]]) -> bytes:
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


def as_xlsx(rows: list[list[str]]) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def bring(client, file: bytes, kind: str, **start) -> tuple[list[dict], dict]:
    """All events of an import but the last, and the summary."""
    messages = [{"start": {"format": FORMATS[kind]} | start}]
    make = client.method("PriceService/ImportPrices")
    sent = [client.request("PriceService/ImportPrices", one) for one in messages]
    for at in range(0, len(file), 65536):
        sent.append(make[1](chunk=file[at : at + 65536]))
    call = client.channel.stream_stream(f"/{PACKAGE}.PriceService/ImportPrices")
    raw = call((one.SerializeToString() for one in sent), metadata=client.metadata, timeout=SECONDS)
    events = [as_dict(make[2].FromString(one)) for one in raw]
    return events[:-1], events[-1]["summary"]


def take(client, kind: str, **asked) -> bytes:
    make = client.method("PriceService/ExportPrices")
    sent = client.request("PriceService/ExportPrices", {"format": FORMATS[kind]} | asked)
    call = client.channel.unary_stream(f"/{PACKAGE}.PriceService/ExportPrices")
    raw = call(sent.SerializeToString(), metadata=client.metadata, timeout=SECONDS)
    return b"".join(make[2].FromString(one).chunk for one in raw)


def table(file: bytes, kind: str) -> list[dict]:
    if kind == "csv":
        return list(csv.DictReader(io.StringIO(file.decode(), newline="")))
    header, *rows = openpyxl.load_workbook(io.BytesIO(file)).active.iter_rows(values_only=True)
    return [{key: shown(cell) for key, cell in zip(header, row)} for row in rows]


def shown(cell) -> str:
    """A cell as a person reads it: a day without the midnight that a program puts to it."""
    if isinstance(cell, date):
        return cell.isoformat()[:10]
    return "" if cell is None else str(cell)


def test_what_others_write_comes_in_and_what_is_written_others_read(client, shop):
    events, summary = bring(client, as_csv([HEADER, *ROWS]), "csv")
    assert (summary.get("new_count"), summary.get("kept")) == (3, True), events
    version = client.ask("RegionService/GetRegion", {"name": shop})["list_version"]
    for kind, write in [("csv", as_csv), ("xlsx", as_xlsx)]:
        # The same file by either program, and what was written out, change nothing.
        _, same = bring(client, write([HEADER, *ROWS]), kind)
        assert (same["same_count"], same.get("list_versions")) == (3, None)
        out = take(client, kind, parent=shop)
        _, same = bring(client, out, kind)
        assert same["same_count"] == same["row_count"] and "list_versions" not in same
        found = {(row["material"], row["supplier"]): row for row in table(out, kind)}
        for row in ROWS:
            given = dict(zip(HEADER, row))
            read = found[given["material"], given["supplier"]]
            for key in ("unit", "start_date", "break_rule", "breaks", "lead_days"):
                assert read[key] == given[key], (kind, key)
            assert float(read["unit_price"]) == float(given["unit_price"])
            # A text that a spreadsheet would take for a formula has an apostrophe before it.
            assert read["note"].removeprefix("'") == given["note"]
    assert client.ask("RegionService/GetRegion", {"name": shop})["list_version"] == version


def test_a_file_at_fault_is_told_by_row_and_column_and_not_kept(client, shop):
    before = take(client, "csv", parent=shop)
    bad = [HEADER, ROWS[0], [*ROWS[1][:4], "28,65", *ROWS[1][5:]], [*ROWS[2][:3], "t", *ROWS[2][4:]]]
    for kind, write in [("csv", as_csv), ("xlsx", as_xlsx)]:
        events, summary = bring(client, write(bad), kind)
        faults = [(one["fault"]["row"], one["fault"]["column"]) for one in events]
        assert (3, "unit_price") in faults and not summary.get("kept"), (kind, events)
    assert take(client, "csv", parent=shop) == before


def test_a_price_on_any_day_is_what_a_naive_scan_of_its_history_gives(client, shop):
    """Files, single prices and closings in random order against a list of days."""
    chance = random.Random(4)
    first = date(2027, 1, 1)
    days: dict[int, str] = {}
    begun: set[int] = set()
    for turn in range(30):
        start = chance.randrange(300)
        price = f"{chance.randint(10, 99)}.5"
        # Each price ends the one before it, and ends where the next begins.
        end = min((day for day in begun if day > start), default=400)
        begun.add(start)
        for day in range(start, end):
            days[day] = price
        row = ["file-shop", "gravel", "Pit", "t", price, (first + timedelta(days=start)).isoformat()]
        if turn % 2:
            _, summary = bring(client, as_csv([HEADER[:6], row]), "csv")
            assert summary["kept"]
        else:
            record = {"material": "materials/gravel", "supplier": "Pit", "unit": "UNIT_T", "unit_price": price, "start_date": row[5]}
            client.call("PriceService/CreatePrice", {"parent": shop, "price": record})
    for day in chance.sample(range(400), 80):
        asked = {"parent": shop, "material": "materials/gravel", "on_date": (first + timedelta(days=day)).isoformat()}
        found = client.ask("PriceService/ListPrices", asked).get("prices", [])
        assert [one["unit_price"] for one in found] == ([days[day]] if day in days else []), day

