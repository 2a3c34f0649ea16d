"""Printing: a plan as sheets of paper, in HTML that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Callable

from workbook_builder.planning import Plan
from workbook_builder.printing.cab import cab_page
from workbook_builder.printing.cards import mix_cards
from workbook_builder.printing.choice import Choice, NothingToPrint
from workbook_builder.printing.cover_note import cover_note
from workbook_builder.printing.pdf import AT_ONCE, NoPdfMaker, make_pdf, pdf_maker
from workbook_builder.printing.pick_lists import pick_list
from workbook_builder.printing.posting import posting_notices
from workbook_builder.printing.spot_sheets import spot_sheets
from workbook_builder.steps import each
from workbook_builder.theme import DEFAULT_THEME, Theme

__all__ = ["AT_ONCE", "DOCUMENTS", "EARLIER", "ON_SCREEN", "Choice", "NoPdfMaker", "NothingToPrint",
           "documents", "make_pdf", "pdf_maker"]

Document = Callable[[Plan, Choice, Theme], str]

#: File name without its ending -> what makes the document; first those that need little of the plan, so that
#: their PDFs are made meanwhile.
DOCUMENTS: dict[str, Document] = {
    "pick-list": pick_list, "posting-notices": posting_notices, "mix-cards": mix_cards,
    "spot-sheets": spot_sheets,
    "cover-note": cover_note, "cab-page": cab_page,
}

#: Documents for a screen alone.
ON_SCREEN = ("cab-page",)
#: Names that earlier versions wrote.
EARLIER = ("mix-sheets", "spot-logs")


def documents(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME,
              ready: Callable[[str, str], object] | None = None) -> dict[str, str]:
    """Return every document that has something to say: file name without its ending -> HTML.

    Parameters
    ----------
    plan : Plan
    choice : Choice
    theme : Theme
    ready : callable, optional
        Called with the name and the HTML of a document as soon as it is made,
        so that its PDF can be made beside the others.

    Raises
    ------
    NothingToPrint
        When the choice fits no pass, or no load.
    """
    made = {}
    for name in each("Making the pages", DOCUMENTS):
        text = DOCUMENTS[name](plan, choice, theme)
        if text:
            made[name] = text
            if ready:
                ready(name, text)
    return made
