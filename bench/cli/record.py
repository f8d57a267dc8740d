"""The sub-command about the builder."""

from __future__ import annotations

import argparse

from bench.cli.common import FINE, Add, data_of, print_json, say, settings_of

_NAMES = 34


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    record = add_command(
        "record", _record, "Show your own record across all builds: speed, snags, forecasts.", "record --json"
    )
    record.add_argument("--json", action="store_true", help="print JSON")


def _record(args: argparse.Namespace) -> int:
    from bench.estimate.history import know
    from bench.estimate.stats_text import record_lines

    record = know(data_of(args), settings_of(args)).record
    if args.json:
        print_json(record)
        return FINE
    for text, _ in record_lines(record, _NAMES):
        say(text)
    return FINE
