"""Entry sheets as their definition files describe them, units, kinds of findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

Severity = Literal["error", "warning", "note"]
System = Literal["us", "metric"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit a person may pick; ``factor`` turns it into the base of its quantity."""

    id: str
    quantity: str
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lookup:
    """Where the permitted words of a column come from: another sheet's column or a table.

    An ``open`` lookup offers its words and permits others.
    """

    sheet: str = ""
    column: str = ""
    table: str = ""
    within: str = ""
    open: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of an entry sheet, as its definition file describes it."""

    id: str
    title: str
    type: Literal["string", "number", "integer"]
    note: str
    required: bool = False
    is_date: bool = False
    choices: tuple[str, ...] = ()
    suggestions: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    unit: Mapping[str, str] = field(default_factory=dict)
    unit_column: str = ""
    unit_of_choice: Mapping[str, str] = field(default_factory=dict)
    unit_by_form: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    form_of: str = ""
    per_yield: bool = False
    per_crop_yield: bool = False
    lookup: Lookup | None = None
    within: str = ""
    may_wait: str = ""
    default: str = ""
    width: int = 12

    @property
    def is_number(self) -> bool:
        """True when cells of this column hold numbers."""
        return self.type in ("number", "integer")


@dataclass(frozen=True, kw_only=True, eq=False)
class Sheet:
    """One entry sheet: its columns in order, its row schema, its rules and its posting."""

    id: str
    title: str
    layout: Literal["pairs", "rows"]
    help: str
    example: str
    columns: tuple[Column, ...]
    schema: Mapping[str, Any]
    rules: tuple[Mapping[str, Any], ...] = ()
    posting: Mapping[str, Any] | None = None
    prefill: str = ""
    carry: bool = False
    optional: bool = False
    error_means: str = ""

    @cached_property
    def by_id(self) -> Mapping[str, Column]:
        """The columns by their id."""
        return {column.id: column for column in self.columns}


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingKind:
    """A kind of finding: its code, how grave it is, and the words that go with it."""

    code: str
    severity: Severity
    message: str
    fix: str
    example: str
