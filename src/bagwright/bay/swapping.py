"""The built club in the bag: it takes the place of the tested one, and gives it back with its delivery."""

from __future__ import annotations

from django.db.models import F
from django.utils import timezone

from bagwright.bay import audit
from bagwright.store.models import Account, Change, Club, Delivery, Visit

_STEP = "delivery"


def put_in(account: Account | None, visit: Visit, tested: Club, built: Club) -> None:
    """Carry the built club in the place of the tested one, or of an earlier build of it, where one of them is carried.

    The tested one is a candidate again, an earlier build a spare; each keeps its balls. What was before is kept
    for the way back.
    """
    earlier = Delivery.objects.filter(club=tested, made__isnull=False).values_list("made_id", flat=True)
    ids = {tested.pk, built.pk, *earlier}
    rows = list(Club.objects.select_for_update().filter(pk__in=ids, removed_at__isnull=True).order_by("-pk"))
    carried = [row for row in rows if row.status == "carried"]
    if not carried or built.pk in {row.pk for row in carried}:
        return
    out = carried[0]
    status = "candidate" if out.pk == tested.pk else "spare"
    Club.objects.filter(pk=out.pk).update(status=status, version=F("version") + 1)
    Club.objects.filter(pk=built.pk).update(status="carried", position=out.position, version=F("version") + 1)
    Change.objects.create(
        visit=visit, made_by=account, what=_STEP, before={"club": out.pk}, after={"club": built.pk, "status": status}
    )  # fmt: skip
    audit.note(account, visit.player, "built club carried", f"{out.pk} > {built.pk}")


def replaced_by(visit: Visit, built: Club) -> Club | None:
    """The club whose place a built one took in this visit, None where it took none."""
    step = visit.changes.filter(what=_STEP, undone_at__isnull=True, after__club=built.pk).first()
    return Club.objects.filter(pk=step.before["club"]).first() if step is not None else None


def put_back(visit: Visit, built: Club) -> str:
    """Carry again the club whose place a built one took, where that one stands now, so that the order stays.

    Give its name where it is left as it is, because somebody put one of the two elsewhere since; else "".
    """
    step = visit.changes.filter(what=_STEP, undone_at__isnull=True, after__club=built.pk).first()
    if step is None:
        return ""
    Change.objects.filter(pk=step.pk).update(undone_at=timezone.now())
    now = Club.objects.select_for_update().get(pk=built.pk)
    out = Club.objects.select_for_update().filter(pk=step.before["club"]).first()
    if out is None:
        return ""
    if now.status != "carried" or out.status != step.after["status"] or out.removed_at is not None:
        return out.name
    Club.objects.filter(pk=out.pk).update(status="carried", position=now.position, version=F("version") + 1)
    return ""
