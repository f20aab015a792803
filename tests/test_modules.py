"""The sizes that DEVELOPERS.md allows modules and functions of the program."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
RULE = re.search(
    r"Functions up to (\d+) lines \(median \d+\), modules up to (\d+)",
    (ROOT / "DEVELOPERS.md").read_text("utf-8"),
)
MODULES = sorted((ROOT / "ledger").rglob("*.py"))
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


def test_modules_and_functions_are_as_short_as_the_rule_says() -> None:
    assert RULE
    most_of_function, most_of_module = map(int, RULE.groups())
    assert len(MODULES) > 200
    long = []
    for module in MODULES:
        text = module.read_text("utf-8")
        name = module.relative_to(ROOT)
        if len(text.splitlines()) > most_of_module:
            long.append(str(name))
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, FUNCTIONS) and node.end_lineno:
                lines = node.end_lineno - node.lineno + 1
                if lines > most_of_function:
                    long.append(f"{name}: {node.name} {lines}")
    assert not long
