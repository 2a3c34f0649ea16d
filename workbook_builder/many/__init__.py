"""Many clients: one work function, run here on several processes or on a cluster."""

from __future__ import annotations

from workbook_builder.many.sources import SUMMARY, Client, clients_in, is_folder_of_sources
from workbook_builder.many.work import BUILT, FAILED, UP_TO_DATE, Outcome, Task, build_client

__all__ = ["BUILT", "FAILED", "SUMMARY", "UP_TO_DATE", "Client", "Outcome", "Task", "build_client",
           "clients_in", "is_folder_of_sources"]
