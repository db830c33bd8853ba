"""Checks a ledger file by working every number out again: python -m league.exchange.verify_ledger FILE

Needs Python alone: no database, no installed package. Ends with 0 when every number agrees, 1 when one differs, 2 when
the file cannot be read.
"""

import json
import sys
from collections.abc import Sequence
from pathlib import Path

from league.exchange.cells import shown
from league.exchange.incoming import text_of
from league.exchange.ledger_file import LEDGER_LIMITS, LedgerFile, n_values, read, verify
from league.exchange.problems import UNOFFICIAL, Problem

AGREES, DIFFERS, UNREADABLE = 0, 1, 2


def main(arguments: Sequence[str]) -> int:
    if len(arguments) != 1:
        print("Name one ledger file: python -m league.exchange.verify_ledger FILE")
        return UNREADABLE
    try:
        data = Path(arguments[0]).read_bytes()
    except (OSError, ValueError) as fault:
        print(f"The file cannot be opened: {getattr(fault, 'strerror', None) or fault}.")
        return UNREADABLE
    text = text_of(data, LEDGER_LIMITS, "a ledger file", "Choose the file that was exported here.")
    ledger = LedgerFile(problems=(text,)) if isinstance(text, Problem) else read(text)
    if ledger.problems:
        print("The file cannot be checked:")
        for problem in ledger.problems:
            print(f"  {problem.column or 'file'}: {problem.message}")
        return UNREADABLE
    return _report(ledger)


def _report(ledger: LedgerFile) -> int:
    print(f"Ledger of {shown(ledger.player) or 'a player'}, {shown(ledger.rules_edition)}.")
    print(f"{len(ledger.events)} facts, {len(ledger.revisions)} revisions, {n_values(ledger.revisions)} values.")
    differences = verify(ledger)
    for found in differences:
        where = f"Revision {found.revision}" if found.revision else "File"
        stated, recomputed = shown(json.dumps(found.stated, default=str)), shown(json.dumps(found.recomputed))
        print(f"  {where}, {shown(found.field)}: the file says {stated}, the facts give {recomputed}.")
    print(
        f"{len(differences)} values differ." if differences else "Worked out again from the facts, every value agrees."
    )
    print(UNOFFICIAL)
    return DIFFERS if differences else AGREES


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
