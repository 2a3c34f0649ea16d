"""How names people type are brought to one spelling by formulas: what is left out, what means nothing."""

from __future__ import annotations

#: Left out of a registration number; some of them are also wildcards of a lookup.
NUMBER_SIGNS = " .:#/*?~"
#: What people type before the number itself, once the signs are out; longest first.
NUMBER_PREFIXES = ("eparegno", "eparegistrationno", "epareg", "registrationno", "regno", "epa")
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
