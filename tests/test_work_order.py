"""The work order against the record-keeping lists: every item that a rule asks for has its blank,
and the docs say so.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from printing_help import demo_tables, plan_of

from workbook_builder.printing.cards import mix_cards
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.pouring import DAY_COLUMNS, ELSEWHERE, work_order

PAGE = Path(__file__).parents[1] / "docs" / "work-order.md"
#: What each rule asks for, as the sources on docs/work-order.md list it, and words of the blank that takes
#: it.
ASKED = {
    "federal": ("Product, registration", "Total amount", "Location", "treated area", "Crop or site", "Date",
                "Applicator"),
    "commercial": ("Customer", "Location", "treated area", "Product, registration", "Total amount",
                   "Applicator", "Helper"),
    "Texas": ("Date", "Start", "Customer", "Location", "Product, registration", "Rate", "Volume of mixture",
              "Target", "Crop or site", "Area", "Wind", "Temperature", "Method",
              "licence", "Permit", "Helper"),
    "Minnesota": ("Date", "End", "Product, registration", "Rate", "Area", "Temperature", "Wind",
                  "Crop or site", "Customer", "Applicator", "Firm", "copy given"),
    "Wisconsin": ("Applicator", "Customer", "Crop or site", "Location", "Date", "Start", "End",
                  "Product, registration", "Total amount", "Mixed and loaded"),
    "California": ("Date", "Applicator", "Location", "Crop or site", "Planted, treated",
                   "Product, registration", "Total amount", "Start", "End", "Permit", "Method", "copy given"),
    "posting": ("Location", "Product, registration", "Crop or site", "Start", "End", "Re-entry",
                "Field opens"),
}


def blanks() -> list[tuple[str, tuple[str, ...]]]:
    """Return every blank with the rules that ask for it."""
    boxes = work_order(plan_of(demo_tables()), [0]).boxes
    return [*((box.label, box.rules) for box in boxes), *DAY_COLUMNS, *ELSEWHERE]


@pytest.mark.parametrize("rule", ASKED)
def test_what_a_rule_asks_for_has_its_blank(rule: str) -> None:
    """7 CFR 110.3, 40 CFR 171.303, 4 TAC 7.33, Minn.

    Stat. 18B.37, ATCP 29, 3 CCR 6624, 40 CFR 170.311 as cited on the page: no item is missing.
    """
    labels = [label for label, rules in blanks() if rule in rules]

    assert [item for item in ASKED[rule] if not any(item.lower() in label.lower() for label in labels)] == []


def test_the_page_says_which_rule_asks_for_which_blank() -> None:
    """The table in the docs has each blank with its rules, and a source for every rule."""
    text = PAGE.read_text("utf-8")

    for label, rules in blanks():
        assert f"| {label} | {', '.join(rules) or 'common practice'} |" in text
    assert all(f"| {rule} | " in text for rule in ASKED)


def test_what_was_typed_is_filled_in() -> None:
    """Names, numbers, location and wear stand on the card as typed.

    Numbers to call are blank lines until somebody types them.
    """
    tables = demo_tables()
    blank = mix_cards(plan_of(tables), Choice())
    tables["farm"][0].update({"applicator": "Pat Invented", "licence_no": "INV-77",
                              "emergency_phone": "000-1", "mixing_place": "Yard tank"})
    tables["fields"][0]["location"] = "Section 12 invented"
    for row in tables["products"]:
        row["ppe"] = "gloves invented"
    for row in tables["passes"]:
        row["order_no"] = "WO-9"
    filled = mix_cards(plan_of(tables), Choice())

    for words in ("Pat Invented, INV-77", "<strong>000-1</strong>", "Yard tank", "Section 12 invented",
                  "gloves invented", "WO-9"):
        assert words in filled
        assert words not in blank
    assert "Emergency _______" in blank
