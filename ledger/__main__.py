"""Lets ``python -m ledger`` do what the ``nutrient-ledger`` command does."""

import sys

from ledger.cli import main

if __name__ == "__main__":
    sys.exit(main())
