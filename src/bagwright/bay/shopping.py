"""The shop's settings, with its logo."""

from __future__ import annotations

import struct
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.errors import InputError
from bagwright.store.models import ShopSettings

MOST_BYTES = 500_000
MOST_PIXELS = 3000
_PNG = b"\x89PNG\r\n\x1a\n"


def settings_row() -> ShopSettings:
    """The one row, made at first use."""
    return ShopSettings.objects.first() or ShopSettings.objects.create()


@transaction.atomic
def change(values: dict[str, Any]) -> ShopSettings:
    """Change the settings. Raises InputError for even steps that are none."""
    from bagwright.tasks.clubs import step_rules_of

    if values.get("step_rules"):
        step_rules_of(values["step_rules"])
    row = settings_row()
    ShopSettings.objects.filter(pk=row.pk).update(**values, version=row.version + 1)
    return settings_row()


@transaction.atomic
def set_logo(content: bytes | None) -> None:
    """Keep a logo (PNG or JPEG, by what is inside), or none. Raises InputError for anything else."""
    row = settings_row()
    kind = "" if content is None else picture_kind(content)
    ShopSettings.objects.filter(pk=row.pk).update(logo=content, logo_kind=kind)


def picture_kind(content: bytes) -> str:
    """The kind, "png" or "jpeg", by the file's own header, within the limits of size. Raises InputError otherwise."""
    if len(content) > MOST_BYTES:
        raise InputError(
            _("The picture has %(n)s bytes.") % {"n": len(content)},
            _("At most %(n)s: save it smaller.") % {"n": MOST_BYTES},
        )
    if content.startswith(_PNG) and content[12:16] == b"IHDR" and len(content) > 33:
        width, height = struct.unpack(">II", content[16:24])
        kind = "png"
    elif content.startswith(b"\xff\xd8\xff"):
        width, height = _jpeg_size(content)
        kind = "jpeg"
    else:
        raise InputError(_("This is neither a PNG nor a JPEG picture."), _("Save it as one of them."))
    if not (0 < width <= MOST_PIXELS and 0 < height <= MOST_PIXELS):
        raise InputError(
            _("The picture has %(w)s by %(h)s pixels.") % {"w": width, "h": height},
            _("At most %(n)s each way.") % {"n": MOST_PIXELS},
        )
    return kind


def _jpeg_size(content: bytes) -> tuple[int, int]:
    """Width and height from the frame header (ITU-T T.81, B.2.2); (0, 0) where there is none."""
    at = 2
    while at + 9 < len(content):
        if content[at] != 0xFF:
            return 0, 0
        marker, length = content[at + 1], struct.unpack(">H", content[at + 2 : at + 4])[0]
        if marker in (*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0)):
            height, width = struct.unpack(">HH", content[at + 5 : at + 9])
            return width, height
        at += 2 + length
    return 0, 0
