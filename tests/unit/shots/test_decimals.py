"""Computed columns as text: the compiled writer and the plain one write the same, and what they should."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.shots import decimals
from bagwright.shots.decimals import decimal_rows


def test_a_row_as_a_person_would_write_it() -> None:
    columns = [np.array([254.0, np.nan]), np.array([-0.04, 12.345]), np.array([7.0, -0.5])]
    assert decimal_rows(columns, [2, 1, 0]) == ["254.00,0.0,7", ",12.3,0"]


@given(st.lists(st.floats(-1e6, 1e6) | st.just(float("nan")), min_size=1, max_size=20), st.integers(0, 6))
def test_compiled_and_plain_agree_with_python(values: list[float], digits: int) -> None:
    column = np.array(values)
    plain = decimal_rows([column, column], [digits, 2])
    decimals._COMPILED_FROM, before = 0, decimals._COMPILED_FROM
    try:
        assert decimal_rows([column, column], [digits, 2]) == plain
    finally:
        decimals._COMPILED_FROM = before
    for row, value in zip(plain, values, strict=True):
        cell = row.split(",")[0]
        if np.isnan(value):
            assert cell == ""
        else:
            assert abs(float(cell) - value) <= 0.5000001 * 10.0**-digits + 1e-9
            assert len(cell.partition(".")[2]) == digits


def test_numbers_too_large_are_refused() -> None:
    with pytest.raises(ValueError, match="too large"):
        decimal_rows([np.array([1e18])], [3])
    with pytest.raises(ValueError, match="too large"):
        decimal_rows([np.array([np.inf])], [0])
