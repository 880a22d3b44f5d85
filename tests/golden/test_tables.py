"""Every odd or hostile table in `tables/` against what a person reads in it (`expected/`, typed by hand).

Expected values stand in the table's own units ("150.5 yd") and are turned into SI here by factors typed anew:
international yard 0.9144 m, foot 0.3048 m, mile 1609.344 m (agreement of 1959), degree pi/180.
"""

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from bagwright.errors import ReadError
from bagwright.shots.answers import Answers
from bagwright.shots.read import read_shots
from bagwright.shots.record import MEASURES, TEXTS
from bagwright.shots.result import ReadResult

HERE = Path(__file__).parent
NAMES = sorted(path.name for path in (HERE / "tables").iterdir())
FACTORS = {
    "": 1.0, "m": 1.0, "yd": 0.9144, "ft": 0.3048, "in": 0.0254, "mm": 0.001, "mps": 1.0,
    "mph": 1609.344 / 3600,
    "kmh": 1000 / 3600, "deg": math.pi / 180,
}  # fmt: skip


def expected_of(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((HERE / "expected" / f"{name}.json").read_text(encoding="utf-8"))
    return loaded


def si(text: str | None) -> float:
    if text is None:
        return math.nan
    value, _, unit = text.partition(" ")
    return float(value) * FACTORS[unit]


def test_there_are_at_least_sixty_tables_each_with_its_expectation() -> None:
    assert len(NAMES) >= 60
    assert sorted(path.name.removesuffix(".json") for path in (HERE / "expected").iterdir()) == NAMES


def read(name: str) -> ReadResult:
    expected = expected_of(name)
    answers = Answers(expected.get("answers"), expected.get("answers_columns"))
    return read_shots(HERE / "tables" / name, answers=answers)


@pytest.mark.parametrize("name", [name for name in NAMES if "error" in expected_of(name)])
def test_refused(name: str) -> None:
    with pytest.raises(ReadError, match=expected_of(name)["error"]) as caught:
        read(name)
    assert name in str(caught.value)
    assert caught.value.next_step


READABLE = [name for name in NAMES if "error" not in expected_of(name)]


@pytest.mark.parametrize("name", READABLE)
def test_every_row_is_accounted_for_as_expected(name: str) -> None:
    expected, result = expected_of(name), read(name)
    assert result.rows_read == expected["rows_read"]
    assert result.accepted == result.rows_read - len(expected["rejected"]) - len(expected["left_out"])
    assert [(row.row, row.column) for row in result.rejected] == [(r, c) for r, c, _ in expected["rejected"]]
    for row, (_, _, reason) in zip(result.rejected, expected["rejected"], strict=True):
        assert reason in row.reason
    assert [row.row for row in result.left_out] == [row for row, _ in expected["left_out"]]
    for left, (_, reason) in zip(result.left_out, expected["left_out"], strict=True):
        assert reason in left.reason


@pytest.mark.parametrize("name", READABLE)
def test_questions_are_as_expected(name: str) -> None:
    """A mark "!" behind a key says that the answer is needed."""
    asked = [
        f"{q.key}{'!' if q.needed else ''}" for q in read(name).questions if q.key not in ("figures", "spin")
    ]
    assert sorted(asked) == sorted(expected_of(name)["questions"])


@pytest.mark.parametrize("name", READABLE)
def test_values_are_as_a_person_reads_them(name: str) -> None:
    expected, table = expected_of(name), read(name).table
    compared = 0
    for measure in MEASURES:
        if measure in expected:
            wanted = [si(text) for text in expected[measure]]
            assert table.measure(measure).tolist() == pytest.approx(
                wanted, rel=1e-12, abs=1e-12, nan_ok=True
            ), measure
            compared += 1
    for text in TEXTS:
        if text in expected:
            assert list(table.text(text)) == expected[text], text
            compared += 1
    if "order" in expected:
        assert table.order.tolist() == expected["order"]
    if "at_least" in expected:
        assert table.carry_at_least is not None
        assert table.carry_at_least.tolist() == expected["at_least"]
    assert compared or {"order", "marks"} & set(expected)


@pytest.mark.parametrize("name", READABLE)
def test_marks_clubs_and_conditions_are_as_expected(name: str) -> None:
    expected, result = expected_of(name), read(name)
    marks = {str(i): f"{mark.kind} {mark.reason}".strip() for i, mark in result.table.marks.items()}
    assert marks == expected.get("marks", {})
    assert all(mark.author == "file" for mark in result.table.marks.values())
    assert result.unknown_clubs == expected.get("unknown", {})
    for visit, facts in expected.get("conditions", {}).items():
        for key, value in facts.items():
            assert getattr(result.conditions[visit], key) == value


def test_no_table_names_a_person_or_a_brand_by_accident() -> None:
    """The tables are of our own invention: no address, no link, no sign of a trade mark."""
    for name in NAMES:
        data = (HERE / "tables" / name).read_bytes()
        assert not re.search(rb"@[a-z]+\.|\xc2\xae|\xe2\x84\xa2", data), name
