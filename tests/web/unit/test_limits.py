"""The limits of stored figures: checked without asking the database, said on the field, held by the database."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from bagwright.bay.shots import Entry, add_shot
from bagwright.errors import InputError
from bagwright.store import models
from bagwright.store.models import Player, ShotRecord, Visit
from bagwright.store.models.base import Between
from bagwright.web.forms import HouseForm
from bagwright.web.views.bags_forms import ClubForm
from bagwright.web.views.forms_after import DeliveryForm, MeasureForm
from bagwright.web.views.forms_shop import RackForm
from bagwright.web.views.forms_visit import IntakeForm
from bagwright.web.views.players_forms import PlayerForm

LIMITS = [
    (model, one)
    for name in models.__all__
    if hasattr(model := getattr(models, name), "_meta")
    for one in model._meta.constraints
    if isinstance(one, Between)
]


def test_every_table_with_figures_has_its_limits() -> None:
    assert len(LIMITS) > 60
    assert {model.__name__ for model, _one in LIMITS} >= {"Player", "Club", "RackClub", "Visit", "ShotRecord"}


@pytest.mark.parametrize(("model", "one"), LIMITS, ids=lambda x: getattr(x, "name", ""))
def test_a_limit_lets_its_ends_pass_and_nothing_beyond(model: Any, one: Between) -> None:
    for value in (None, one.low, one.high):
        one.validate(model, model(**{one.field: value}))
    for value in (one.low - 1, one.high + 1, math.inf, -math.inf, math.nan):
        with pytest.raises(ValidationError) as caught:
            one.validate(model, model(**{one.field: value}))
        assert list(caught.value.message_dict) == [one.field]
    one.validate(model, model(**{one.field: one.high + 1}), exclude={one.field})


@pytest.mark.django_db
def test_the_database_holds_the_same_limit(player: Player) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Player.objects.filter(pk=player.pk).update(handicap=60.5)


@pytest.mark.django_db
def test_a_shot_is_checked_without_asking_the_database(visit: Visit) -> None:
    """Before, each of its 23 limits was a query of its own."""
    shot = ShotRecord(
        visit=visit, club=visit.player.clubs.first(), number=1, client_key="a-key-of-eight", carry_m=99.0
    )
    with CaptureQueriesContext(connection) as asked:
        shot.full_clean(exclude=["visit", "club", "client_key"], validate_unique=False)
    assert [one["sql"] for one in asked.captured_queries] == []
    shot.carry_m = 700.0
    with pytest.raises(ValidationError) as caught:
        shot.full_clean(exclude=["visit", "club", "client_key"], validate_unique=False)
    assert "more, or less, than can be" in caught.value.message_dict["carry_m"][0]


@pytest.mark.django_db
def test_a_ball_beyond_its_limit_names_the_figure(visit: Visit) -> None:
    club = visit.player.clubs.get(name="Gap wedge")
    with pytest.raises(InputError, match=r"carry 766 yd"):
        add_shot(visit, None, Entry("a-key-of-eight", club.pk, {"carry_m": 700.0}))
    assert not visit.shots.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("kind", [ClubForm, DeliveryForm, MeasureForm, RackForm, IntakeForm, PlayerForm])
def test_a_form_says_every_limit_in_words_on_its_field(kind: type[HouseForm], visit: Visit) -> None:
    """Nobody reads that a constraint is violated: the field says what it expects."""
    limits = {one.field: one for model, one in LIMITS if model is kind._meta.model}
    fields = [name for name in kind.base_fields if name in limits]
    assert fields
    given: dict[str, Any] = {}
    if kind is MeasureForm:
        given["instance"] = models.ClubMeasurement(club=visit.player.clubs.first())
    for name in fields:
        form = kind({name: "99999999999"}, **given)
        words = " ".join(str(error) for error in form.errors.get(name, []))
        assert words, name
        assert "onstraint" not in str(form.errors)
