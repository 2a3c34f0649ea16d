"""How a table beside the passes reads the lines of each pass's mix, which stand in one list."""

from __future__ import annotations


def of_pass(lines: str = "mix_lines") -> str:
    """Return what chooses the lines of a pass in a list, as column and criterion of SUMIFS and its kin."""
    return f"{{{lines}.parent_no:all}},{{pass_rows.row_no}}"


#: Products of a pass.
OF_PASS = of_pass()


def summed(column: str) -> str:
    """Return the formula of the sum of a column over the lines of a pass."""
    return f"SUMIFS({{{column}:all}},{OF_PASS})"


def counted(column: str, wanted: object, lines: str = "mix_lines") -> str:
    """Return the formula of how many lines of a pass hold what a criterion wants."""
    return f"COUNTIFS({of_pass(lines)},{{{column}:all}},{wanted})"


def outermost(column: str, how: str = "MAX", none: str = '""') -> str:
    """Return the formula of the largest or smallest number of the lines of a pass, or what stands for none.
    """
    return (f'IF({counted(column, chr(34) + ">-1000" + chr(34))}=0,{none},_xlfn.{how}IFS({{{column}:all}},'
            f'{OF_PASS}))')


def first_of(column: str, wanted: object, lines: str = "mix_lines") -> str:
    """Return the formula of the first line of a pass that holds what is wanted; there has to be one."""
    return f"_xlfn.MINIFS({{{lines}.row_no:all}},{of_pass(lines)},{{{column}:all}},{wanted})"


def of_first(shown: str, column: str, wanted: object, lines: str = "mix_lines") -> str:
    """Return the formula of a cell of the first line of a pass that holds what is wanted.

    There has to be one.
    """
    return f"INDEX({{{shown}:all}},{first_of(column, wanted, lines)})"


def first_and_more(column: str, none: str = '""') -> str:
    """Return the formula of the first product of a pass whose line holds the number of the pass in a column
    (`marked`), and how many more there are; or what stands for none.
    """
    count, first = (f"COUNTIF({{{column}:all}},{{pass_rows.row_no}})",
                    f"MATCH({{pass_rows.row_no}},{{{column}:all}},0)")
    return (f'IF({count}=0,{none},INDEX({{mix_lines.product:all}},{first})&IF({count}>1," and "'
            f'&({count}-1)&" more",""))')


def marked(condition: str) -> str:
    """Return the formula of a mark of a line: the number of its pass where a condition holds, 0 elsewhere."""
    return f"IF({condition},{{mix_lines.parent_no}},0)"


def line_number(before: str, item: str) -> str:
    """Return the formula of the line of a place in the mix of a pass.

    Blank past the end of a list that is full.
    """
    return f'IF({{{before}}}+{item}>{{room.lines}},"",{{{before}}}+{item})'
