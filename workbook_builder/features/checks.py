"""Every check of a pass that some feature declares, what the law asks first."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.features.names import NAMES, declared

#: These list the checks of the others, and make none of a pass.
LISTS = ("overview", "to_fix")
CHECK_KINDS: tuple[CheckKind,
                   ...] = tuple(sorted(declared("columns", "CHECKS",
                                                [name for name in NAMES if name not in LISTS]),
                                       key=lambda kind: kind.rank))
