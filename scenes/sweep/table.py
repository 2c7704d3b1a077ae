"""The table of a sweep: a row a case, in their order, as CSV and as Parquet."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from io import BytesIO, StringIO
from typing import Any, Final

from scenes.sweep.asked import Sweep
from scenes.sweep.case import Row
from scenes.sweep.key import FAULT, Key
from scenes.sweep.measure import MEASURES, Column
from scenes.sweep.varied import Varied
from scenes.units_keys import ENDINGS

HEAD: Final = Column(name="case", kind="int", unit="1", told="number of the case")
TOLD: Final = (
    Column(name="status", kind="text", unit="", told="done, refused or failed"),
    Column(name="reason", kind="text", unit="", told="why it was not done"),
)
TAIL: Final = (
    Column(name="seed", kind="int", unit="1", told="same seed, same drops"),
    Column(name="drops", kind="int", unit="1", told="that fell; none where none do"),
    Column(name="version", kind="text", unit="", told="of stackrain"),
    Column(name="scene_sha256", kind="text", unit="", told="of the scene file's text"),
)
KINDS: Final = {"number": "float", "whole": "int", "yes or no": "bool", "words": "text"}


def columns_of(sweep: Sweep) -> tuple[Column, ...]:
    """The columns of a sweep's table: number, parameters, status and reason, figures, how it was made."""
    varied = tuple(_column(one) for one in sweep.varied)
    return (HEAD, *varied, *TOLD, *MEASURES[sweep.measure].columns, *TAIL)


def records_of(sweep: Sweep, rows: Mapping[int, Row]) -> list[dict[str, Any]]:
    """The rows of the table, whole, in the order of the cases; None where there is nothing to tell."""
    measure = MEASURES[sweep.measure]
    made = {
        "seed": sweep.seed, "drops": measure.drops(sweep.drops), "version": sweep.version,
        "scene_sha256": sweep.sha256,
    }  # fmt: skip
    records = []
    for number in sorted(rows):
        row = rows[number]
        named = zip(sweep.varied, row["values"], strict=True)
        records.append(
            {"case": number}
            | {column_name(one.key): _value(one, value) for one, value in named}
            | {"status": row["status"], "reason": row["reason"] or None}
            | {column.name: row["figures"].get(column.name) for column in measure.columns}
            | made
        )
    return records


def column_name(key: Key) -> str:
    """Of a parameter: its place in the scene file, with its unit; a fault's with that of its amount."""
    if key.place[0] != FAULT or len(key.place) == 1:
        return key.name
    unit = next(ending for ending, unit in ENDINGS.items() if unit == key.unit)
    return key.name.replace(" ", "_") + unit


def csv_bytes(sweep: Sweep, rows: Mapping[int, Row]) -> bytes:
    """The table as CSV."""
    names = [column.name for column in columns_of(sweep)]
    stream = StringIO()
    writer = csv.DictWriter(stream, names, lineterminator="\n")
    writer.writeheader()
    for record in records_of(sweep, rows):
        writer.writerow({name: _in_csv(value) for name, value in record.items()})
    return stream.getvalue().encode()


def parquet_bytes(sweep: Sweep, rows: Mapping[int, Row]) -> bytes:
    """The table as Parquet. Its metadata say what each column holds in which unit; program, version, the
    scene's text and what was asked."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    kinds = {"float": pa.float64(), "int": pa.int64(), "text": pa.string(), "bool": pa.bool_()}
    columns = columns_of(sweep)
    asked = sweep.to_dict()
    told = {
        "program": asked["program"],
        "version": asked["version"],
        "title": sweep.title,
        "scene": asked.pop("scene_text"),
        "sweep": json.dumps(asked, sort_keys=True),
        "units": json.dumps({column.name: column.unit for column in columns}),
    }
    fields = [
        pa.field(
            column.name, kinds[column.kind], metadata={"unit": column.unit, "told": column.told}
        )
        for column in columns
    ]
    schema = pa.schema(fields, metadata=told)
    stream = BytesIO()
    pq.write_table(pa.Table.from_pylist(records_of(sweep, rows), schema=schema), stream)
    return stream.getvalue()


def _column(one: Varied) -> Column:
    # A measure that is "auto" in some cases is text in all.
    kind: Any = KINDS[one.key.kind] if one.is_counted or not one.key.is_number else "text"
    return Column(name=column_name(one.key), kind=kind, unit=one.key.unit, told=one.key.label)


def _value(one: Varied, value: Any) -> Any:
    as_text = one.key.is_number and not one.is_counted and not isinstance(value, str)
    return f"{value:g}" if as_text else value


def _in_csv(value: Any) -> Any:
    return str(value).lower() if isinstance(value, bool) else value
