"""Names as people type them: registration numbers brought to one spelling."""

from __future__ import annotations

from workbook_builder.room import folded
from workbook_builder.tables.product_names import NO_NUMBER, NUMBER_PREFIXES, NUMBER_SIGNS


def stripped(text: object, signs: str) -> str:
    """Return text without certain signs; blank for blank."""
    return "".join(sign for sign in str(text) if sign not in signs)


def registration_key(typed: object) -> str:
    """Return a registration number by which products are told apart; blank when there is none.

    Parameters
    ----------
    typed : str or ""
        As typed: ``EPA Reg. No. 12345-67``, ``12345-67-89``, ``none``.

    Notes
    -----
    The third part of a number is the company that sells the product under its own name; the
    product stays the registered one (40 CFR 152.132, from memory).
    """
    bare = bare_number(plain_number(typed))
    if folded(bare.replace("-", "")) in NO_NUMBER:
        return ""
    parts = bare.split("-")
    return "-".join(parts[:2]) if len(parts) > 2 and "-".join(parts[:2]) else bare


def plain_number(typed: object) -> str:
    """Return a registration number without spaces and signs, its dashes all alike."""
    return stripped(typed, NUMBER_SIGNS).replace("\N{EN DASH}", "-")


def bare_number(plain: str) -> str:
    """Return a number without the words before it."""
    for prefix in NUMBER_PREFIXES:
        if folded(plain[: len(prefix)]) == prefix:
            return plain[len(prefix) :]
    return plain
