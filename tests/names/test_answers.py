"""The record of answers: which of several speaks, and what happens where it cannot be read."""

import shutil

from click.testing import CliRunner

from sporeproof.cli import main
from sporeproof.names import answers
from sporeproof.names.answers import RECORD, Answer, Recorded, read_answers, written
from sporeproof.names.outcome import outcome_of
from tests.conftest import ROOT

NAME = "Fictum inventum"  # invented


def test_an_answer_without_a_day_never_speaks_before_a_dated_one(form):
    live = {"obtained": "live", "accepted_name": NAME}
    dated, undated = (
        Answer(NAME, outcome="current", checked_on="2020-01-01", **live),
        Answer(NAME, outcome="split", **live),
    )
    for order in ([dated, undated], [undated, dated]):
        assert outcome_of(NAME, "", Recorded(order), form).outcome == "current"


def test_a_record_that_is_too_large_is_told_and_not_cut(tmp_path, monkeypatch):
    monkeypatch.setattr(answers, "MOST_ANSWERS", 200)
    (tmp_path / "dataset").mkdir()
    (tmp_path / RECORD).write_bytes(written([Answer(NAME, outcome="current", obtained="live")] * 9))
    found, (trouble,) = read_answers(tmp_path / RECORD, tmp_path)
    assert found.all() == []
    assert "larger than" in trouble.words[0]


def test_nothing_is_renamed_by_a_record_that_cannot_be_read_whole(tmp_path):
    shutil.copytree(ROOT / "dataset", tmp_path / "dataset")
    record = tmp_path / RECORD
    record.write_text(record.read_text("utf-8") + "Amanita muscaria,too short\n", "utf-8")
    done = CliRunner().invoke(main, ["names", "apply", "--dataset", str(tmp_path)])
    assert done.exit_code == 2
    assert "names.csv cannot be read whole" in done.output
