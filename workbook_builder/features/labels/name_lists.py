"""Typed crops looked up, with their synonyms."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.draft import Cells, Draft, at, find, first_rows
from workbook_builder.features.labels.names import CROP_NAMES, MOST_WORDS, WORD_LENGTH, NameList


class Names:
    """A list of names and what was looked up in it.

    Parameters
    ----------
    names : NameList
    rows : list of Cells
        Rows of its reference table.
    """

    def __init__(self, names: NameList, rows: list[Cells]) -> None:
        self.names, self.rows = names, rows
        self.plain, self.starts = first_rows(rows, "plain"), first_rows(rows, "start")
        self._found: dict[str, dict[str, Any]] = {}

    def found(self, typed: object) -> dict[str, Any]:
        """Return the words and letters of a typed name, its row in the list, and the row it looks like where it is not there."""
        text = str(typed)
        if text not in self._found:
            words = words_of(text, self.names)
            plain = words.replace(" ", "")
            row = find(self.plain, plain)
            like = self._like(words, plain) if plain and row == "" else ""
            self._found[text] = {"words": words, "plain": plain, "row": row, "like": like}
        return self._found[text]

    def _like(self, words: str, plain: str) -> int | str:
        """Row of the first word that is a known name, or of a name that starts alike."""
        found = (find(self.plain, part) for part in _parts(words))
        return next((row for row in found if row != ""), find(self.starts, plain[: self.names.start]))


def _spread(words: str) -> str:
    """Return words set so far apart that a piece of fixed length holds one of them."""
    return words.replace(" ", " " * WORD_LENGTH)


def _parts(words: str) -> list[str]:
    """Return the words that are looked up one by one."""
    spread = _spread(words)
    parts = (spread[WORD_LENGTH * n : WORD_LENGTH * (n + 1)].strip(" ") for n in range(MOST_WORDS))
    return [part for part in parts if part]


def words_of(text: str, names: NameList) -> str:
    """Return the words of a typed name, one space between them."""
    for sign in names.signs:
        text = text.replace(sign, names.instead)
    return " ".join(word for word in text.split(" ") if word)


def names_of(draft: Draft, names: NameList) -> Names:
    """Return a list of names of a plan, made once."""
    if names.table not in draft.kept:
        draft.kept[names.table] = Names(names, draft[names.table])
    return draft.kept[names.table]  # type: ignore[no-any-return]


def crop_cells(draft: Draft, typed: object, prefix: str = "crop", blank: str = "") -> dict[str, Any]:
    """Return what a typed crop is: its one name, the wider crop it is a kind of, and the crops it may be.

    Parameters
    ----------
    draft : Draft
    typed : str or ""
    prefix : str
        Start of the keys.
    blank : str
        Name that a blank crop counts as.
    """
    names = names_of(draft, CROP_NAMES)
    out = {**names.found(typed), "name": blank, "wider": "", "family": blank, "group": ""}
    row, like = out["row"], out["like"]
    if row != "":
        out.update(zip(("name", "wider", "family", "group"), (at(names.rows, row, key) for key in ("crop", "kind_of", "family", "group")), strict=True))
    elif out["plain"]:
        out.update(name=out["plain"], family=at(names.rows, like, "family") if like != "" else out["plain"][: CROP_NAMES.start])
    return {f"{prefix}_{key}": value for key, value in out.items()}
