"""Registration numbers brought to one spelling, by formulas and by plain functions."""

from __future__ import annotations

#: Left out of a registration number; some of them are also wildcards of a lookup.
NUMBER_SIGNS = " .:#/*?~"
#: What people type before the number itself, once the signs are out; longest first.
NUMBER_PREFIXES = (
    "eparegno", "eparegistrationno", "epareg", "pcpregno", "pcpno", "pcp", "apvmano", "apvma", "mappno", "mapp", "registrationno", "regno", "epa",
)
#: What people type where there is no number, dashes out.
NO_NUMBER = ("", "0", "none", "na", "no", "nil", "exempt", "notrequired", "notapplicable", "notregistered", "unregistered")


def stripped(source: str, signs: str) -> str:
    """Return a formula of a text without certain signs."""
    for sign in signs:
        source = f'SUBSTITUTE({source},"{sign}","")'
    return source


def plain_number(source: str) -> str:
    """Return a formula of a registration number without spaces and signs, its dashes all alike."""
    return 'SUBSTITUTE(%s,"\N{EN DASH}","-")' % stripped(source, NUMBER_SIGNS)


def bare_number(plain: str) -> str:
    """Return a formula of a number without the words before it."""
    chain = plain
    for prefix in reversed(NUMBER_PREFIXES):
        chain = f'IF(LEFT({plain},{len(prefix)})="{prefix}",MID({plain},{len(prefix) + 1},99),{chain})'
    return chain


def no_number(word: str) -> str:
    """Return a formula of whether a text stands for no number."""
    return "OR(" + ",".join(f'{word}="{none}"' for none in NO_NUMBER) + ")"


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
    bare = number_without_words(plain_spelling(typed))
    if bare.replace("-", "").casefold() in NO_NUMBER:
        return ""
    parts = bare.split("-")
    return "-".join(parts[:2]) if len(parts) > 2 and "-".join(parts[:2]) else bare


def plain_spelling(typed: object) -> str:
    """Return a registration number without spaces and signs, its dashes all alike."""
    return "".join(sign for sign in str(typed) if sign not in NUMBER_SIGNS).replace("\N{EN DASH}", "-")


def number_without_words(plain: str) -> str:
    """Return a number without the words before it."""
    for prefix in NUMBER_PREFIXES:
        if plain[: len(prefix)].casefold() == prefix:
            return plain[len(prefix) :]
    return plain
