"""What several tables say of one visit counts together."""

from __future__ import annotations

from bagwright.shots.record import Conditions, together


def test_a_table_without_conditions_takes_none_away() -> None:
    first = Conditions(visit="a", air="12 C", spin="measured")
    found = together([("a", first), ("a", Conditions(visit="a", ball="soft")), ("b", Conditions(visit="b"))])
    assert found["a"] == Conditions(visit="a", air="12 C", spin="measured", ball="soft")
    assert found["b"] == Conditions(visit="b")


def test_the_first_table_that_says_something_counts() -> None:
    found = together([("a", Conditions(air="12 C")), ("a", Conditions(air="20 C"))])
    assert found["a"].air == "12 C"
