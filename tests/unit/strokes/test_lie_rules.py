"""Lies: the table is whole and in order of difficulty, rules forbid, the player's own overrule."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import pytest

from bagwright.bag.club import Club
from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.errors import InputError
from bagwright.strokes.lie_table import EFFECTS, RULES, SHORT_LIES, TREES
from bagwright.strokes.on_course import course_share
from bagwright.strokes.rules import forbidden, not_from, unread
from bagwright.strokes.soles import misfit

KINDS = ("driver", "wood", "hybrid", "iron", "wedge")
ROUGH = frozenset({Lie.ROUGH, Lie.DEEP})


def test_every_kind_has_a_row_for_every_lie_with_a_source() -> None:
    assert set(EFFECTS) == set(itertools.product(PLAYED_FROM, KINDS))
    assert tuple(row.lie for row in SHORT_LIES) == PLAYED_FROM
    sources = [row.source for row in EFFECTS.values()] + [row.source for row in SHORT_LIES]
    assert all(len(source) > 5 for source in sources)


def test_rows_are_possible_and_worse_lies_are_not_better() -> None:
    for row in EFFECTS.values():
        assert 0.3 < row.distance <= 1.0
        assert 0.5 <= row.along <= 2.0
        assert 0.5 <= row.across <= 2.0
        assert 0.0 <= row.further <= 0.1
        assert 0.3 <= row.mishits <= 5.0
        assert 0.5 <= row.spin <= 1.0
    for kind in KINDS:
        for better, worse in itertools.pairwise((Lie.TEE, Lie.FAIRWAY, Lie.ROUGH, Lie.DEEP)):
            a, b = EFFECTS[better, kind], EFFECTS[worse, kind]
            assert a.distance >= b.distance
            assert (a.along, a.across, a.further, a.mishits) <= (b.along, b.across, b.further, b.mishits)
    assert 0.0 < TREES.hit < 1.0


def test_rough_adds_the_published_share() -> None:
    """James & Rees 2008, read: 4.3 points of median; a circular normal's median is 1.1774 sd."""
    assert EFFECTS[Lie.ROUGH, "iron"].further == pytest.approx(0.043 / 1.1774, abs=2e-4)


def test_short_lies_add_the_published_shares() -> None:
    """Cochran & Stobbs 1968, second hand: mean leaves 7.8, 12.8, 15.8 %; such a mean is 1.2533 sd."""
    mean = math.sqrt(math.pi / 2.0)
    assert SHORT_LIES[Lie.ROUGH].share == pytest.approx((0.128 - 0.078) / mean, abs=1e-4)
    assert SHORT_LIES[Lie.SAND].share == pytest.approx((0.158 - 0.078) / mean, abs=1e-4)


@pytest.mark.parametrize(
    ("lie", "kind", "loft", "no"),
    [
        (Lie.TEE, "driver", 10.5, False),
        (Lie.FAIRWAY, "driver", 10.5, False),
        (Lie.ROUGH, "driver", 10.5, True),
        (Lie.ROUGH, "wood", 15.0, True),
        (Lie.ROUGH, "wood", 18.5, False),
        (Lie.SAND, "iron", 21.0, True),
        (Lie.SAND, "iron", 34.0, False),
        (Lie.SAND, "wedge", 56.0, False),
        (Lie.DEEP, "hybrid", 25.0, False),
        (Lie.RECOVERY, "wood", 18.5, True),
    ],
)
def test_a_lie_forbids_what_common_practice_says(lie: Lie, kind: str, loft: float, no: bool) -> None:
    assert bool(forbidden(lie, kind, loft)) is no


def test_every_rule_says_why_and_no_lie_forbids_a_wedge() -> None:
    assert all(rule.why and rule.kind != "wedge" for rule in RULES)


@pytest.mark.parametrize(
    ("use", "own", "never"),
    [
        (("tee",), (), set(PLAYED_FROM) - {Lie.TEE}),
        (("only from tee", "only from fairway"), (), set(PLAYED_FROM) - {Lie.TEE, Lie.FAIRWAY}),
        (("Not from rough",), (), ROUGH),
        ((), ("not from sand",), {Lie.SAND}),
        (("tee",), ("not from sand",), set(PLAYED_FROM) - {Lie.TEE}),
        (("sand",), (), set()),
        (("low shots under the wind",), (), set()),
    ],
)
def test_the_players_own_rules(use: tuple[str, ...], own: tuple[str, ...], never: set[Lie]) -> None:
    assert not_from(Club("3 wood", "wood", "3", use=use), own) == never


def test_a_rule_that_names_no_lie_is_said_or_refused() -> None:
    club = Club("3 wood", "wood", "3", use=("not from lava", "tee"))
    assert unread(club) == ("not from lava",)
    assert not_from(club) == frozenset()
    with pytest.raises(InputError, match="no rule"):
        not_from(club, ["never"])


@pytest.mark.parametrize(
    ("bounce", "sole", "ground", "ill"),
    [
        (12.0, None, "soft, deep sand", 0.0),
        (6.0, None, "soft, deep sand", 4.0 / 6.0),
        (6.0, "wide sole", "soft", 2.0 / 6.0),
        (6.0, "narrow", "firm", 0.0),
        (14.0, None, "hard and thin", 1.0),
        (None, "wide", "firm", 0.0),
        (8.0, None, None, 0.0),
        (8.0, None, "green", 0.0),
    ],
)
def test_a_sole_suits_the_ground_or_not(
    bounce: float | None, sole: str | None, ground: str | None, ill: float
) -> None:
    """Common practice, no source: soft ground wants bounce, firm ground little."""
    assert misfit(bounce, sole, ground) == pytest.approx(ill)


def test_the_page_tells_the_irons_rows() -> None:
    """docs/strokes.md beside lies.toml: carry and mishits of a mid iron by lie."""
    page = (Path(__file__).parents[3] / "docs" / "strokes.md").read_text(encoding="utf-8")
    names = {
        "tee": Lie.TEE, "light rough": Lie.ROUGH, "deep rough": Lie.DEEP, "sand": Lie.SAND,
        "under trees": Lie.RECOVERY,
    }  # fmt: skip
    for name, lie in names.items():
        cells = re.search(rf"^\| {name} \| × ([\d.]+)[^|]*\|[^|]*\| × ([\d.]+) \|", page, re.MULTILINE)
        assert cells is not None, name
        row = EFFECTS[lie, "iron"]
        assert (float(cells[1]), float(cells[2])) == (row.distance, row.mishits)
    share = re.search(r"(\d+) % at\s+16\)", page)
    assert share is not None
    assert int(share[1]) == round(100 * course_share(16.0))
