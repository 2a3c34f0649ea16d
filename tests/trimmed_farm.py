"""A shipped farm cut down to a few fields, for tests that recalculate it many times."""

from __future__ import annotations

from dataclasses import replace

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES

#: Table -> its column that is kept only where an earlier table still names the value: (where, which column).
FOLLOWS = {
    "passes": ("field", "fields", "field"),
    "mixes": ("mix", "passes", "mix"),
    "products": ("product", "mixes", "product"),
}
#: Columns that name a row of another table, as they are called everywhere.
NAMES = {"field": ("fields", "field"), "mix": ("mixes", "mix"), "product": ("products", "product")}


def trimmed(inputs: Inputs, fields: set[str]) -> Inputs:
    """Return a farm with these fields only, and of all else what has to do with them."""
    tables = {key: [row for row in rows if row.get("field") is None or row["field"] in fields]
              for key, rows in inputs.tables.items()}
    for table, (column, of, key) in FOLLOWS.items():
        known = {row[key] for row in tables[of]}
        tables[table] = [row for row in tables[table] if row[column] in known]
    for table, rows in tables.items():
        for column, (of, key) in NAMES.items():
            if table != of:
                known = {row[key] for row in tables[of]}
                rows = [row for row in rows if row.get(column) is None or row[column] in known]
        tables[table] = rows
    farm = replace(inputs, tables=tables)
    errors = errors_in(check_inputs(farm, TYPED_TABLES)[1])
    assert errors == [], errors
    return farm
