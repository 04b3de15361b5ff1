"""The pages, one file each: a frozen context that lists all its template may use, and the handlers that fill it."""

from __future__ import annotations

from brasswright.web.pages import (
    bench_tests,
    calibration,
    component,
    dimension_book,
    estimate,
    holds,
    instruments,
    journal,
    machines,
    new,
    odds,
    operation,
    photographs,
    plan,
    plate,
    troubles,
    walk_round,
)

__all__ = ["ROUTERS"]

ROUTERS = (
    machines.router,
    new.router,
    journal.router,
    walk_round.router,
    photographs.router,
    bench_tests.router,
    plate.router,
    instruments.router,
    dimension_book.router,
    calibration.router,
    odds.router,
    component.router,
    troubles.router,
    holds.router,
    plan.router,
    operation.router,
    estimate.router,
)
"""Every page's routes, in the order in which an address is tried."""
