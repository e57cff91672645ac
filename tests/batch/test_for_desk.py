"""What waits for a check is listed, and stands ready as regimen files that say what the cards say."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from support.batches import change_cell, find_run, list_cells, run_quickly, write_roster

from fillcards.desk.drafts import Folder
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.schema import read_regimen


def test_each_card_that_waits_has_a_regimen_file_of_its_code(tmp_path: Path) -> None:
    """The desk lists them, and each has the card code of its card; a refused row has none."""
    rows = [list_cells(1), change_cell(list_cells(2), "medicine_1.dose", "7 U"), list_cells(3)]
    folder = tmp_path / "cards"
    run_quickly(write_roster(tmp_path / "roster.csv", rows), folder, has_drafts=True)
    run = find_run(folder)
    text = (run / "fillcards-to-check.csv").read_text(encoding="utf-8-sig")
    waiting = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [row["prescription"] for row in waiting] == ["RX-000001", "RX-000003"]
    drafts = Folder(run / "to-check")
    assert sorted(drafts.list_names()) == ["row-000002.yaml", "row-000004.yaml"]
    for row in waiting:
        regimen = read_regimen(drafts.read(Path(row["regimen_file"]).name))
        assert compute_card_code(regimen) == row["card_code"]
        assert (run / row["file"]).is_file()


def test_a_file_that_the_desk_has_changed_is_not_written_over(tmp_path: Path) -> None:
    """When the run is started again and makes a card anew."""
    folder = tmp_path / "cards"
    roster = write_roster(tmp_path / "roster.csv", [1])
    run_quickly(roster, folder, has_drafts=True)
    draft = find_run(folder) / "to-check" / "row-000002.yaml"
    draft.write_text("changed at the desk")
    (find_run(folder) / "row-000002.pdf").unlink()
    run_quickly(roster, folder, has_drafts=True)
    assert draft.read_text() == "changed at the desk"
