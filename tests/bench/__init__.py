"""How fast the ledger is: ``python tests/bench/measure.py``; nothing here runs with the suite."""
