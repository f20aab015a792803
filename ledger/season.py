"""Which days belong to a crop year."""

from __future__ import annotations

from datetime import date

from ledger.model import Definitions


def crop_year(year: int, definitions: Definitions) -> tuple[date, date]:
    """First and last day that belong to a crop year."""
    window = definitions.settings["crop_year"]
    first = date(year - window["years_before"], window["starts_month"], window["starts_day"])
    return first, date(year, window["ends_month"], window["ends_day"])
