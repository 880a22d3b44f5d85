"""The shop's settings, with its logo."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.language import reader
from bagwright.errors import InputError
from bagwright.shots.line import LineForm, dump_form, load_form
from bagwright.store.models import Account, ShopSettings
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.distances import StepRules

MOST_BYTES = 500_000
MOST_PIXELS = 3000
_PNG = b"\x89PNG\r\n\x1a\n"


def usual_units(language: str) -> System:
    """The units that a reader of a language expects before anybody has chosen: metres in German."""
    return "metres" if language[:2] == "de" else "yards"


def _usual() -> ShopSettings:
    """The settings as a page shows itself before anybody has chosen: in the browser's language."""
    return ShopSettings(language=reader(), units=usual_units(reader()))


def settings_row() -> ShopSettings:
    """The settings; before anybody has changed them, the usual ones, which are not stored."""
    return ShopSettings.objects.first() or _usual()


def _stored() -> ShopSettings:
    """The one row, to be changed: made at the first change, which changes nothing else."""
    there = ShopSettings.objects.select_for_update().first()
    if there is None:
        there = _usual()
        there.save()
    return there


def steps() -> StepRules | None:
    """The shop's own even step; None where it keeps to the usual one."""
    from bagwright.tasks.clubs import step_rules_of

    text = settings_row().step_rules
    return step_rules_of(text) if text else None


def check_steps(text: str) -> None:
    """Raise InputError for even steps that are none, such as "10-7"."""
    from bagwright.tasks.clubs import step_rules_of

    if not text:
        return
    next_step = _('Write percents of carry from the smaller to the larger, such as "7-10".')
    try:
        rules = step_rules_of(text)
    except (InputError, ValueError) as error:
        raise InputError(_('"%(text)s" is no even step.') % {"text": text[:20]}, next_step) from error
    if not 0.01 <= rules.even_low < rules.even_high <= 0.5:
        raise InputError(_('"%(text)s" is no even step.') % {"text": text[:20]}, next_step)


def side_words(row: ShopSettings) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The words that mean left and right in a typed line here."""
    form = _form(row)
    return form.left, form.right


def _form(row: ShopSettings) -> LineForm:
    system: System = "metres" if row.units == "metres" else "yards"
    return load_form(row.entry_form) if row.entry_form else LineForm.usual(system, row.language[:2])


@transaction.atomic
def change(
    account: Account,
    values: dict[str, Any],
    seen: int | None = None,
    sides: tuple[Sequence[str], Sequence[str]] | None = None,
) -> ShopSettings:
    """Change the settings as seen in version `seen`; `sides` are words for left and right of a typed line.

    Raises InputError for even steps or words that are none, ChangedMeanwhileError where somebody was faster.
    """
    check_steps(values.get("step_rules", ""))
    row = _stored()
    if seen is not None and row.version != seen:
        raise ChangedMeanwhileError(
            _("The settings were changed by somebody else meanwhile."),
            _("Nothing was saved. Look at what stands there now, then change it again."),
        )
    made = dict(values)
    if sides is not None and sides != side_words(row):
        form = replace(_form(row), left=tuple(sides[0]), right=tuple(sides[1]))
        made["entry_form"] = dump_form(load_form(dump_form(form)))
    ShopSettings.objects.filter(pk=row.pk).update(**made, version=row.version + 1)
    audit.note(account, None, "settings changed", ", ".join(sorted(made)))
    return settings_row()


@transaction.atomic
def set_logo(account: Account, content: bytes | None) -> None:
    """Keep a logo (PNG or JPEG, by what is inside), or none. Raises InputError for anything else."""
    row = _stored()
    kind = ""
    if content is not None:
        kind = picture_kind(content)
        content = whole_png(content) if kind == "png" else whole_jpeg(content)
    ShopSettings.objects.filter(pk=row.pk).update(logo=content, logo_kind=kind, version=row.version + 1)
    audit.note(account, None, "logo changed", kind)


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


def _broken() -> InputError:
    return InputError(_("The picture is cut off or damaged."), _("Save it anew as PNG or JPEG."))


def whole_png(content: bytes) -> bytes:
    """The picture up to its end, each part checked (PNG, 5.3 and 5.6); what hangs on behind is cut off.

    Raises InputError for a damaged one, and for one that unpacks to more than its own size says.
    """
    at, packed = len(_PNG), bytearray()
    width, height, depth, colour = struct.unpack(">IIBB", content[16:26])
    while at + 12 <= len(content):
        length, kind = struct.unpack(">I4s", content[at : at + 8])
        body = content[at + 4 : at + 8 + length]
        told = content[at + 8 + length : at + 12 + length]
        if len(told) < 4 or struct.unpack(">I", told)[0] != zlib.crc32(body):
            raise _broken()
        if kind == b"IDAT":
            packed += body[4:]
        at += 12 + length
        if kind == b"IEND":
            _check_pixels(bytes(packed), width, height, depth * {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}.get(colour, 0))
            return content[:at]
    raise _broken()


def _check_pixels(packed: bytes, width: int, height: int, bits: int) -> None:
    """Raise InputError where the packed rows are not the ones that the header promises, give or take interlacing."""
    if not 1 <= bits <= 64:
        raise _broken()
    rows = height * (1 + (width * bits + 7) // 8)
    unpacker = zlib.decompressobj()
    try:
        unpacked = len(unpacker.decompress(packed, 2 * rows + 64))
    except zlib.error as error:
        raise _broken() from error
    if not rows <= unpacked <= 2 * rows:
        raise _broken()


def whole_jpeg(content: bytes) -> bytes:
    """The picture up to its last end mark; what hangs on behind is cut off. Raises InputError without one."""
    end = content.rfind(b"\xff\xd9")
    if end < 0 or b"\xff\xda" not in content[:end]:
        raise _broken()
    return content[: end + 2]
