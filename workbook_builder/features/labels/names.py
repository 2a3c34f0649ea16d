"""Columns that bring a typed name to one spelling: crops with their synonyms,
active ingredients with their salts and esters.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.columns import Column
from workbook_builder.core.short import place, working

#: Words of a name that are looked up one by one, and the most letters of one.
MOST_WORDS = 5
WORD_LENGTH = 100
#: Words of a label row's crop in which other crops are looked for, each by itself and with the next one.
CROP_WORDS = 8
ANY = "any"


@dataclass(frozen=True)
class NameList:
    """A reference list of names without spaces, and how typed names are looked up in it.

    Parameters
    ----------
    table : str
        Key of the reference table; its columns ``plain`` and ``start`` are looked up.
    instead : str
        What stands in place of a sign in a typed name: a space, or nothing.
    start : int
        First letters that two spellings of one name are taken to share.
    signs : tuple of str
        Signs and words that do not tell names apart; some of them are also wildcards of a lookup.
    """

    table: str
    instead: str
    start: int
    signs: tuple[str, ...]


_SIGNS = tuple("-,.()/;:'*?~+&_")
CROP_NAMES = NameList("crop_names", " ", 4, _SIGNS)
#: ``2,4-D`` is one word, and a salt is the same whether the word salt is typed or not.
ACTIVE_NAMES = NameList("active_names", "", 7, (*_SIGNS, "salt", "Salt", "SALT", "ester", "Ester", "ESTER"))


def name_columns(source: str, prefix: str, header: str, names: NameList) -> tuple[Column, ...]:
    """Return the columns that look a typed name up in a list: as it is, and what it looks like.

    Parameters
    ----------
    source : str
        Formula of the typed name.
    prefix, header : str
        Start of the keys and headers.
    names : NameList
    """
    words, plain, row = (f"{{{prefix}_{key}}}" for key in ("words", "plain", "row"))
    clean = f'{source}&""'
    for sign in names.signs:
        clean = f'SUBSTITUTE({clean},"{sign}","{names.instead}")'
    # Row of the first known name that stands in this one as a word, or starts alike.
    like = f'IFERROR(MATCH(LEFT({plain},{names.start}),{{{names.table}.start:all}},0),"")'
    for word in reversed(range(MOST_WORDS)):
        token = (f'TRIM(MID(SUBSTITUTE({words}," ",REPT(" ",{WORD_LENGTH})),{1 + WORD_LENGTH * word},'
                 f'{WORD_LENGTH}))')
        like = f"IFERROR(MATCH({token},{{{names.table}.plain:all}},0),{like})"
    return (
        working(f"{prefix}_words", f"{header}: words", f"TRIM({clean})", "text"),
        working(f"{prefix}_plain", f"{header}: letters", f'SUBSTITUTE({words}," ","")', "text"),
        place(f"{prefix}_row", f"{header}: row in the list", f"{prefix}_plain", f"{names.table}.plain"),
        working(f"{prefix}_like", f"{header}: row it looks like",
                f'IF({row}<>"","",{like})', needs=f"{prefix}_plain"),
    )


def crop_columns(source: str, prefix: str = "crop", header: str = "Crop",
                 blank: str = "") -> tuple[Column, ...]:
    """Return the columns that bring a typed crop to one name,
    with the wider crop it is a kind of and the crops it may be.

    Parameters
    ----------
    source, prefix, header : str
        As of :func:`name_columns`.
    blank : str
        Name a blank crop counts as: none, or ``any`` in the tables of labels.
    """
    plain, row, like = (f"{{{prefix}_{key}}}" for key in ("plain", "row", "like"))
    listed = {key: f'{{crop_names.{key}@{prefix}_row}}&""' for key in ("crop", "kind_of", "family", "group")}
    of_its_letters = f'IF({like}<>"",{{crop_names.family@{prefix}_like}},LEFT({plain},{CROP_NAMES.start}))'
    wider, group = (working(f"{prefix}_{key}", f"{header}: {said}", listed[of], "text", needs=f"{prefix}_row")
                    for key, said, of in (("wider", "wider crop", "kind_of"), ("group", "group", "group")))
    return (
        *name_columns(source, prefix, header, CROP_NAMES),
        working(f"{prefix}_name", f"{header}: one name",
                f'IF({plain}="","{blank}",IF({row}<>"",{listed["crop"]},{plain}))', "text"),
        working(f"{prefix}_family", f"{header}: crops it may be",
                f'IF({plain}="","{blank}",IF({row}<>"",{listed["family"]},{of_its_letters}))', "text"),
        # A label row is looked for by them and never looks itself.
        *(() if blank else (wider, group)),
    )


def other_crops(prefix: str = "crop", header: str = "Crop") -> tuple[Column, ...]:
    """Return the columns of all crops that a typed name may hold: ``wheat, barley and dry beans``."""
    words, spread = f"{{{prefix}_words}}", f"{{{prefix}_spread}}"
    places = [(word, 1) for word in range(CROP_WORDS)] + [(word, 2) for word in range(CROP_WORDS - 1)]
    parts = (f'SUBSTITUTE(MID({spread},{1 + WORD_LENGTH * word},{WORD_LENGTH * length})," ","")'
             for word, length in places)
    families = "&".join(f'IFERROR("|"&INDEX({{crop_names.family:all}},MATCH({part},{{crop_names.plain:all}},'
                        f'0)),"")' for part in parts)
    return (
        working(f"{prefix}_spread", f"{header}: words set apart",
                f'SUBSTITUTE({words}," ",REPT(" ",{WORD_LENGTH}))', "text", needs=f"{prefix}_like"),
        working(f"{prefix}_other", f"{header}: all crops it may be", f'{families}&"|"', "text",
                needs=f"{prefix}_spread"),
    )


def active_columns(source: str, unlike: str) -> tuple[Column, ...]:
    """Return the columns that bring a typed active ingredient to its parent,
    with what is known of its acid equivalent.

    Parameters
    ----------
    source : str
        Formula of the typed name.
    unlike : str
        Formula of whether a name the list does not know is a name of its own, whatever it looks like.
    """
    return (
        *name_columns(source, "active", "Active", ACTIVE_NAMES),
        working("active_found", "Active: row used",
                f'IF({{active_row}}<>"",{{active_row}},IF({unlike},"",{{active_like}}))'),
        working("active_parent", "Active: counts as",
                'IF({active_found}="",{active_plain},{active_names.counts_as@active_found}&"")', "text",
                note="Salts, esters and resolved forms count with their parent; so does a name that only "
                     "looks like one."),
        working("active_ratio", "Active: acid equivalent of a unit",
                'IF({active_names.ratio@active_found}="","",'
                'IF(OR({active_row}<>"",{active_names.ratio@active_found}=1),'
                '{active_names.ratio@active_found},""))',
                "factor", needs="active_found", digits=4,
                note="1 where acid and ingredient are one; blank where nobody says which salt it is."),
    )
