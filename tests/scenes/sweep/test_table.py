"""The table: complete rows in the order of the cases, as CSV and as Parquet, which agree."""

from __future__ import annotations

import csv
import json
from hashlib import sha256
from io import BytesIO, StringIO

import pyarrow.parquet as pq
import pytest

from scenes import __version__
from scenes.scene import LIBRARY
from scenes.sweep.measure import MEASURES, MeasureName
from scenes.sweep.table import columns_of, csv_bytes, parquet_bytes
from tests.scenes.sweep.small import made_up, small

ASKED = (
    "pitch=20:25:5", "facets=8,12", "pointed=true,false", "joint=return,fin", "gutter.lap=auto,90",
    "cover too narrow@left=60,70",
)  # fmt: skip
PARAMETERS = {
    "roof.pitch_deg": "double", "stack.facets": "int64", "stack.pointed": "bool", "joint": "string",
    "gutter.lap_mm": "string", "fault.cover_too_narrow@left_mm": "double",
}  # fmt: skip


@pytest.fixture
def both() -> tuple[bytes, bytes]:
    """A table of one case of each status, and one that is not done yet, as CSV and as Parquet."""
    sweep, cases = small(*ASKED, scene="flue", measure="leak")
    rows = {
        n: made_up(n, cases[n - 1], behind_share=0.1 / 3, leaks=2, way_in='under "it", so')
        for n in (3, 1)
    }
    rows[2] = made_up(2, cases[1]) | {"status": "refused", "reason": "=too flat", "figures": {}}
    return csv_bytes(sweep, rows), parquet_bytes(sweep, rows)


def test_every_row_is_complete(both: tuple[bytes, bytes]) -> None:
    """Contract: number, parameters, status, figures, seed, drops, version, hash; in order."""
    table = pq.read_table(BytesIO(both[1]))
    assert table.column("case").to_pylist() == [1, 2, 3]
    assert {name: str(table.schema.field(name).type) for name in PARAMETERS} == PARAMETERS
    rows = table.to_pylist()
    assert rows[0]["gutter.lap_mm"] == "auto"
    assert (rows[0]["behind_share"], rows[0]["leaks"]) == (0.1 / 3, 2)
    assert (rows[1]["status"], rows[1]["reason"], rows[1]["leaks"]) == (
        "refused",
        "=too flat",
        None,
    )
    text = (LIBRARY / "flue.toml").read_bytes()
    made = (0, 300, __version__, sha256(text).hexdigest())
    assert all((r["seed"], r["drops"], r["version"], r["scene_sha256"]) == made for r in rows)


def test_csv_and_parquet_say_the_same(both: tuple[bytes, bytes]) -> None:
    """Two formats, one content: read back by libraries of their own."""
    rows = pq.read_table(BytesIO(both[1])).to_pylist()
    read = list(csv.DictReader(StringIO(both[0].decode())))
    assert [*read[0]] == [*rows[0]]
    for ours, theirs in zip(read, rows, strict=True):
        for name, value in theirs.items():
            if isinstance(value, bool):
                assert ours[name] == str(value).lower()
            elif isinstance(value, int | float):
                assert float(ours[name]) == value
            else:
                assert ours[name] == (value or "")


def test_parquet_says_what_it_holds(both: tuple[bytes, bytes]) -> None:
    """Contract: units, version, the scene's text, what was asked."""
    schema = pq.read_schema(BytesIO(both[1]))
    told = {key.decode(): value.decode() for key, value in (schema.metadata or {}).items()}
    assert told["version"] == __version__
    assert told["scene"] == (LIBRARY / "flue.toml").read_text(encoding="utf-8")
    assert json.loads(told["sweep"])["vary"] == list(ASKED)
    units = json.loads(told["units"])
    assert (units["roof.pitch_deg"], units["behind_ml_min"]) == ("degrees", "ml/min")
    assert schema.field("roof.pitch_deg").metadata[b"unit"] == b"degrees"


@pytest.mark.parametrize("measure", MEASURES)
def test_names_end_in_their_units(measure: MeasureName) -> None:
    """As in the project's other tables."""
    endings = {
        "m/s": "_m_s",
        "degrees": "_deg",
        "Pa": "_pa",
        "ml/min": "_ml_min",
        "m2": "_m2",
        "kg": "_kg",
    }
    for column in columns_of(small(measure=measure)[0]):
        assert column.told
        if column.unit in endings:
            assert column.name.endswith(endings[column.unit])
        assert column.unit or column.kind == "text"
