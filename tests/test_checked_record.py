"""The record of the last full check is true, and nothing but the very same data passes by it."""

from pathlib import Path

import pytest
from workbooks import copied, rewrite

from ledger import definitions, resources
from ledger.definitions import DataFault, checked

ANEW = "run `python tests/generated.py` and commit ledger/definitions/checked.json"


def test_the_record_is_what_a_full_check_of_the_shipped_data_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = checked.RECORD.read_text("utf-8")
    monkeypatch.setattr(checked, "RECORD", tmp_path / "none.json")
    fresh = definitions.load.__wrapped__(None)
    factors = {unit.id: unit.factor for unit in fresh.units.values()}
    assert written == checked.record(resources.templates_folder(), factors), ANEW


def test_loading_with_the_record_gives_the_same_units(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    by_record = definitions.load.__wrapped__(None)
    monkeypatch.setattr(checked, "RECORD", tmp_path / "none.json")
    assert definitions.load.__wrapped__(None).units == by_record.units


def test_a_folder_that_differs_is_checked_in_full(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    assert definitions.load.__wrapped__(folder).settings
    rewrite(folder, "settings.json", lambda settings: settings.update(stray=1))
    with pytest.raises(DataFault, match="stray"):
        definitions.load.__wrapped__(folder)
