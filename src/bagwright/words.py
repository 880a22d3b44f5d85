"""Sentences that stay English to the program and can be written again in the reader's language.

`tell("The {club} carries {carry:.0f} m", club=..., carry=...)` is the English sentence itself: a `str` to
every comparison, file and JSON. Beside it the sentence keeps its template and its values, so that whoever
shows it can ask for another language with `in_language`. Templates stand in the code only; what people typed
is a value, and a brace in it stays a brace. A text that nobody wrote with `tell` is shown as it is.

The German lies in `locale/de/LC_MESSAGES/bagwright.po`, for the standard library's gettext.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from string import Formatter
from typing import TYPE_CHECKING, Any, Final, TypeVar, overload

if TYPE_CHECKING:
    from gettext import NullTranslations

LANGUAGES: Final = ("en", "de")
"""What the program's sentences can be written in; English is what they are."""
_DECIMAL_COMMA: Final = frozenset({"de"})

_LOCALE = Path(__file__).parent / "locale"
_FORMATTER = Formatter()
_SWAP = str.maketrans({".": ",", ",": "."})

Kept = TypeVar("Kept")


class Words(str):
    """An English text that knows how it was made. Made by the functions below only."""

    how: How

    def __new__(cls, english: str, how: How | None = None) -> Words:
        """`how` writes it in another language; without it the text is the same in all."""
        made = super().__new__(cls, english)
        made.how = how if how is not None else Plain(english)
        return made

    def __str__(self) -> str:
        """Give itself, so that a `str(...)` on the way to a page loses nothing."""
        return self

    def __add__(self, other: str) -> str:
        return join("", (self, other))

    def __radd__(self, other: str) -> str:
        return join("", (other, self))

    def strip(self, chars: str | None = None) -> str:
        """Without the white space (or `chars`) at either end, in every language."""
        return changed(self, str.strip, chars)

    def rstrip(self, chars: str | None = None) -> str:
        """Without it at the right end."""
        return changed(self, str.rstrip, chars)

    def removeprefix(self, prefix: str, /) -> str:
        """Without this beginning, where the language has it."""
        return changed(self, str.removeprefix, prefix)

    def removesuffix(self, suffix: str, /) -> str:
        """Without this ending, where the language has it."""
        return changed(self, str.removesuffix, suffix)

    def replace(self, old: str, new: str, count: Any = -1, /) -> str:
        """With `new` for every `old`: for spaces and signs, not for words."""
        return changed(self, str.replace, old, new, count)

    def capitalize(self) -> str:
        """With a capital at the start. Other languages have capitals inside, so theirs are left alone."""
        return Words(str.capitalize(self), Changed(self, first_upper, ()))

    def __html__(self) -> str:
        """Written for a page, in the language of its reader, and escaped."""
        return html.escape(as_read(self))


@dataclass(frozen=True, slots=True)
class Language:
    """What writing in a language needs: its catalogue and its decimal sign."""

    code: str
    catalogue: NullTranslations
    comma: bool

    def write(self, value: object) -> str:
        """Write one value: a text of ours in this language, anything else as it is."""
        text = value if isinstance(value, str) else str(value)
        return text.how.write(self) if isinstance(text, Words) else text

    def filled(self, template: str, values: Mapping[str, Any]) -> str:
        """Fill a template; numbers get the language's decimal sign, texts are never read as templates."""
        written = []
        for text, field, spec, conversion in _FORMATTER.parse(template):
            written.append(text)
            if field is not None:
                written.append(self._one(values[field], spec or "", conversion))
        return "".join(written)

    def _one(self, value: object, spec: str, conversion: str | None) -> str:
        if isinstance(value, int | float) and not isinstance(value, bool):
            text = format(value, spec)
            return text.translate(_SWAP) if self.comma else text
        text = self.write(value)
        return format(_FORMATTER.convert_field(text, conversion) if conversion else text, spec)


class How:
    """How a text is written in a language."""

    __slots__ = ()

    def write(self, language: Language) -> str:
        """Give the text in this language."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class Plain(How):
    """The same in every language."""

    text: str

    def write(self, language: Language) -> str:
        """Give it as it is."""
        return self.text


@dataclass(frozen=True, slots=True)
class Sentence(How):
    """A template and its values."""

    template: str
    values: Mapping[str, Any]

    def write(self, language: Language) -> str:
        """Look the template up and fill it."""
        found = language.catalogue.gettext(self.template) if self.template else ""
        return language.filled(found, self.values)


@dataclass(frozen=True, slots=True)
class Counted(How):
    """A template for one and a template for many, with the count that chooses."""

    one: str
    many: str
    n: int
    values: Mapping[str, Any]

    def write(self, language: Language) -> str:
        """Look up the form that the language has for this count."""
        return language.filled(language.catalogue.ngettext(self.one, self.many, self.n), self.values)


@dataclass(frozen=True, slots=True)
class Joined(How):
    """Parts in a row with something between them."""

    between: str
    parts: tuple[str, ...]

    def write(self, language: Language) -> str:
        """Write every part."""
        return language.write(self.between).join(language.write(part) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Changed(How):
    """A text that something was done to after it was written."""

    text: str
    act: Callable[..., str]
    given: tuple[Any, ...]

    def write(self, language: Language) -> str:
        """Write it, then do the same."""
        return self.act(language.write(self.text), *self.given)


@dataclass(frozen=True, slots=True)
class Figure(How):
    """A number that stands ready in English."""

    text: str

    def write(self, language: Language) -> str:
        """Give it with the language's decimal sign."""
        return self.text.translate(_SWAP) if language.comma else self.text


def tell(template: str, /, **values: Any) -> str:
    """Write a sentence from a template of ours and values of anybody; `{name:.1f}` as in `format`."""
    return Words(template.format(**values), Sentence(template, values))


def tell_n(one: str, many: str, n: int, /, **values: Any) -> str:
    """Write a sentence with a count: `one` where it is 1, `many` otherwise; `{n}` is the count."""
    values = {"n": n, **values}
    return Words((one if n == 1 else many).format(**values), Counted(one, many, n, values))


def template(text: str, /) -> str:
    """Mark a template that stands in a table and is filled elsewhere."""
    return text


def template_n(one: str, many: str, /) -> tuple[str, str]:
    """Mark the two templates of a count that stand in a table and are filled elsewhere by `tell_n`."""
    return one, many


def plain(text: str) -> str:
    """Give the English alone: a text that no longer knows how it was made."""
    return str.__str__(text)


def term(name: str) -> str:
    """Give a word of the trade that the program uses as a name (a swing, a lie, a mark) as a text of ours.

    Another name comes back as it is.
    """
    if isinstance(name, Words) or name not in _TERMS:
        return name
    return Words(name, Sentence(name, {}))


def term_of(name: str, of: str) -> str:
    """Give a word by what it is said `of`: the "narrow" of a sole is not that of a step.

    `of` is "sole", "head" or "surface". Another name, such as words that somebody typed, comes back as it is.
    """
    found = _TERMS_OF[of].get(plain(name).strip().lower())
    return sense(name, found) if found is not None else name


def join(between: str, parts: Iterable[str]) -> str:
    """Do what `between.join(parts)` does, and keep what the parts know."""
    kept = tuple(parts)
    return Words(plain(between).join(kept), Joined(between, kept))


def figure(text: str) -> str:
    """Keep a number written in English ("−1.4"), for another language to give it its own decimal sign."""
    return Words(text, Figure(plain(text)))


def changed(text: str, act: Callable[..., str], *given: Any) -> str:
    """Do `act(text, *given)` now, and again after the text is written in another language."""
    return Words(act(plain(text), *given), Changed(text, act, given))


def cut(text: str, longest: int) -> str:
    """Give a text's first characters, in every language."""
    return changed(text, _first, longest)


def _first(text: str, longest: int) -> str:
    return text[:longest]


def first_upper(text: str) -> str:
    """With a capital at the start, the rest left alone."""
    if isinstance(text, Words):
        return changed(text, first_upper)
    return text[:1].upper() + text[1:]


def first_lower(text: str) -> str:
    """With a small letter at the start, in English only: German nouns keep their capital."""
    if isinstance(text, Words):
        return Words(first_lower(plain(text)), text.how)
    return text[:1].lower() + text[1:]


def sense(english: str, template: str, /) -> str:
    """Give a short English word that other languages must write by its sense: "head" of a "head wind"."""
    return Words(english, Sentence(template, {}))


def elsewhere(english: str, others: str) -> str:
    """Give a text that English writes one way ("gap wedge") and other languages another ("Gap wedge")."""
    return Words(english, Plain(others))


def in_language(text: str, language: str) -> str:
    """Write a text in a language: what was not made by `tell` as it is, unknown languages as English."""
    code = language.replace("_", "-").partition("-")[0].lower()
    if not isinstance(text, Words):
        return text
    return plain(text) if code == "en" or code not in LANGUAGES else text.how.write(_language(code))


def decimal_comma(language: str) -> bool:
    """Whether a language parts decimals with a comma."""
    return language.replace("_", "-").partition("-")[0].lower() in _DECIMAL_COMMA


@overload
def all_in_language(data: str, language: str) -> str: ...
@overload
def all_in_language(data: Kept, language: str) -> Kept: ...
def all_in_language(data: Any, language: str) -> Any:
    """Write every text inside mappings, lists and tuples in a language; keys and everything else stay."""
    if isinstance(data, str):
        return in_language(data, language)
    if isinstance(data, dict):
        return {key: all_in_language(value, language) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return type(data)(all_in_language(value, language) for value in data)
    return data


def as_read(text: str) -> str:
    """Write a text in the language of whoever reads the page: for what is put together outside a template."""
    return in_language(text, _readers[-1]())


def reader_language() -> str:
    """The language of whoever reads the page; English where nobody said how it is found."""
    return _readers[-1]()


def read_in(language: Callable[[], str]) -> None:
    """Say how the language of the reader of a page is found, for texts that a page escapes by `__html__`."""
    _readers.append(language)


def _english() -> str:
    return "en"


_readers: list[Callable[[], str]] = [_english]


@lru_cache(maxsize=len(LANGUAGES))
def _language(code: str) -> Language:
    import gettext

    found = gettext.translation("bagwright", _LOCALE, [code], fallback=True)
    return Language(code, found, code in _DECIMAL_COMMA)


_TERMS = frozenset({
    *(template("stock"), template("gripped-down"), template("flat-out")),
    *(template("three-quarter"), template("half")),
    *(template("tee"), template("fairway"), template("rough"), template("sand"), template("recovery")),
    *(template("green"), template("mat")),
    *(template("warm-up"), template("mishit"), template("bad-read")),
    *(template("carried"), template("candidate"), template("spare"), template("former")),
    *(template("driver"), template("wood"), template("hybrid"), template("iron"), template("wedge")),
    *(template("putter"), template("left"), template("right")),
    *(template("strike"), template("flight"), template("dispersion"), template("place in the bag")),
    *(template("look"), template("feel"), template("sound"), template("turf"), template("confidence")),
    *(template("turf mat"), template("grass"), template("measured"), template("estimated")),
    *(template("prior only"), template("few shots"), template("fair"), template("good")),
    *(template("gap"), template("overlap"), template("same carry"), template("even"), template("narrow")),
    *(template("wide"), template("length"), template("putter loft"), template("head volume")),
    *(template("waiting"), template("hit"), template("skipped"), template("first"), template("last")),
    *(template("ball speed"), template("speed ratio"), template("rating"), template("price")),
    *(template("carry"), template("total"), template("apex"), template("descent"), template("spin axis")),
    *(template("launch"), template("spin"), template("direction"), template("curve"), template("offline")),
    *(template("file"), template("model"), template("professional")),
    *(template("not checked"), template("range ball"), template("yards"), template("metres")),
    *(template("speed"), template("angle"), template("rotation"), template("time"), template("ratio")),
    *(template("temperature"), template("pressure"), template("density")),
    *(template("adjusted"), template("as measured"), template("not said"), template("checked")),
})  # fmt: skip
_TERMS_OF = {
    "sole": {
        "narrow": template("narrow sole"), "medium": template("medium sole"), "wide": template("wide sole"),
    },
    "head": {
        "forged": template("forged head"), "cast": template("cast head"), "hollow": template("hollow head"),
    },
    "surface": {
        "mat": template("mat"), "turf": template("turf to hit from"), "tee": template("tee"),
        "sand": template("sand"), "grass": template("grass"), "turf mat": template("turf mat"),
    },
}  # fmt: skip
