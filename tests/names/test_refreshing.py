"""Which names are asked, what is recorded, and that nothing is lost whenever a run ends. The taxa are invented."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from sporeproof import naming
from sporeproof.cli import main
from sporeproof.findings import SAFETY_NOTE
from sporeproof.names import refresh_journal, refreshing
from sporeproof.names.age import Limit
from sporeproof.names.answers import COLUMNS, RECORD, Answer, Recorded, parse_answers, read_answers, written
from sporeproof.names.live import Patience
from sporeproof.names.matching.asked import Given
from sporeproof.names.outcome import outcome_of
from sporeproof.names.refresh_journal import JOURNAL, NotRefreshed
from sporeproof.names.refreshing import CHECKLISTS, as_written, checklist_key, due, merged, names_of
from sporeproof.run import Stopped
from tests.conftest import ROOT
from tests.names import refresh_killed
from tests.names.invented import ENTRIES, readings_of, tree
from tests.names.refresh_killed import CHECKLIST, NAMES, OLD_ANSWERS, knowing, laid, names, refresh
from tests.names.service import START, Hands, Reply, accepted, free_port, lead, serving

OTHER = "00000000-0000-0000-0000-000000000002"
TODAY = START.date()
LIMIT = Limit(TODAY, timedelta(days=90))
FUNGI = {"kingdom": "Fungi"}


@pytest.fixture
def stub(monkeypatch, _no_network, form):
    monkeypatch.setattr(naming, "schema_of", lambda _: form)  # read once, and not in each run
    with serving() as found:
        lead(monkeypatch, found)
        knowing(found)
        yield found


@pytest.fixture
def root(tmp_path) -> Path:
    return laid(tmp_path / "checklist")


def live(name: str, day: str = "2026-11-01", **more: str) -> Answer:
    given = {"outcome": "current", "obtained": "live", "checklist_key": CHECKLIST, "asked_rank": "SPECIES"} | more
    return Answer(name, checked_on=day, **given)


def answers_of(root: Path) -> list[Answer]:
    """Return the recorded answers, without where they stand."""
    found, troubles = read_answers(root / RECORD, root)
    assert troubles == []
    return [replace(each, line=0, cells=0) for each in found.all()]


def act(root: Path, **wanted: object) -> naming.NamesRefreshed:
    words = {"checklist": CHECKLIST, "max_age": timedelta(days=90), "clock": Hands().clock()} | wanted
    return naming.names_refresh(root, **words)


def told(done: naming.NamesRefreshed) -> str:
    return "\n".join(done.lines)


# ----- Which names -----


def test_every_name_is_asked_once_and_only_current_ones_say_their_rank(form):
    entries = [each.entry for each in readings_of(ENTRIES, form)]
    assert names_of(entries) == [
        Given("Fictum", "", "genus", FUNGI),
        Given("Fictum commune", "(Fr.) Nemo", "species", FUNGI),
        Given("Fictum falsum", "Nemo: Fr.", "species", FUNGI),
        Given("Fictum novum", "", "", FUNGI),
        Given("Fictum rarum", "", "species", FUNGI),
        Given("Fictum vulgare", "Nemo", "", FUNGI),
    ]


def test_a_name_that_is_former_here_and_current_there_is_asked_once_as_the_current_one(form):
    texts = {
        "one": "id: F9001\nname: Fictum novum\nrank: species\nformer_names: [Fictum falsum]\n",
        "two": "id: F9002\nname: Fictum  falsum\nrank: species-group\n",
    }
    asked = names_of(each.entry for each in readings_of(texts, form))
    assert [(each.name, each.rank) for each in asked] == [
        ("Fictum  falsum", "species group"),
        ("Fictum novum", "species"),
    ]


@pytest.mark.parametrize(
    ("answers", "why"),
    [
        ([], "never asked"),
        ([live("Fictum commune", authorship="Nemo")], ""),
        ([live("Fictum  commune", authorship="Ne mo")], ""),
        ([live("Fictum commune", authorship="Fr.")], "its authorship has changed since"),
        ([live("Fictum commune")], "its authorship has changed since"),
        ([live("Fictum commune", authorship="Nemo", asked_rank="GENUS")], "its rank has changed since"),
        ([live("Fictum commune", authorship="Nemo", asked_rank="")], "asked before without its rank"),
        ([live("Fictum commune", authorship="Nemo", checklist_key=OTHER)], "never asked"),
        ([live("Fictum commune", authorship="Nemo", obtained="backbone-file")], "never asked"),
        ([live("Fictum commune", authorship="Nemo", obtained="compiled")], "never asked"),
        ([live("Fictum commune", "2026-08-28", authorship="Nemo")], ""),
        ([live("Fictum commune", "2026-08-27", authorship="Nemo")], "last asked on 2026-08-27"),
        ([live("Fictum commune", day, authorship="Nemo") for day in ("2026-11-01", "2020-01-01")], ""),
        ([live("Fictum commune", "", authorship="Nemo")], "last asked on a day that is not recorded"),
        ([live("Fictum commune", "2099-01-01", authorship="Nemo")], "last asked on 2099-01-01"),
    ],
)
def test_a_name_is_due_when_it_is_new_changed_or_old(answers, why):
    found = due([Given("Fictum commune", "Nemo", "species", FUNGI)], answers, CHECKLIST, LIMIT)
    assert [each.why for each in found] == [why] * bool(why)


def test_what_was_recorded_is_not_due_the_same_day(root, stub):
    """Whatever a name looks like: an author in the name, a mark, a group, a genus, another layout."""
    odd = ["Fictum cf. commune", "Fictum commune (Fr.) Nemo", "Fictum commune group", "Fictum", "Fictum ×commune"]
    given = [Given(name, by, "", FUNGI) for name in odd for by in ("", "( Fr.)  Nemo", "[sic] Nemo")]
    first = due(given, [], CHECKLIST, LIMIT)
    service = refreshing.Service(CHECKLIST, Hands().clock(), Patience())
    with refresh_journal.opened(root, CHECKLIST) as journal:
        done = refreshing.ask_all(first, service, journal, {}, lambda *_: None)
    assert len(done.answers) == len(given)
    read_back, troubles = parse_answers(written(done.answers), RECORD)
    assert troubles == []
    assert due(given, read_back.all(), CHECKLIST, LIMIT) == []


@pytest.mark.parametrize(
    ("word", "key"), [*CHECKLISTS.items(), (OTHER.upper(), OTHER), (OTHER.replace("-", ""), OTHER)]
)
def test_a_checklist_is_named_by_its_word_or_its_key(word, key):
    assert checklist_key(word) == key


def test_the_two_checklists_are_those_of_the_service():
    """Source: web pages of GBIF, read on 25 November 2026."""
    assert list(CHECKLISTS.values()) == [
        "7ddf754f-d193-4cc9-b351-99906754a03b",
        "d7dddbf4-2cf0-4f39-9b2a-bb099caae36c",
    ]


# ----- What is recorded -----


def test_a_whole_run_is_recorded_and_the_journal_goes(root, stub):
    done = refresh(root)
    assert done.exit_code == 0
    assert not (root / JOURNAL).exists()
    by_name = {each.name: each for each in answers_of(root) if each.checked_on == "2026-11-26"}
    assert set(by_name) == set(names())
    assert by_name["Fictum durum"] == Answer(
        "Fictum durum", "", "renamed", "Mendax durum", "", "live", CHECKLIST, "Catalogue of Life (invented title)",
        "S3", "A3", "EXACT", "99", "2026-11-26", "COL26.6 XR, index of 2026-06-02", "", "SPECIES",
    )  # fmt: skip
    assert by_name["Fictum bonum"].outcome == "current"
    assert by_name["Fictum novellum"].outcome == "unknown"
    assert "12 names of 12 answered by Catalogue of Life (invented title)" in told(done)
    assert "Changed: Fictum bonum was unknown, is current." in told(done)
    assert [line.split() for line in done.lines[1:4]] == [["7", "current"], ["4", "renamed"], ["1", "unknown"]]


def test_answers_of_other_kinds_and_on_other_names_stay(root, stub):
    refresh(root)
    assert OLD_ANSWERS[0] in answers_of(root)
    assert OLD_ANSWERS[2] in answers_of(root)
    assert OLD_ANSWERS[1] not in answers_of(root)


def test_a_second_run_asks_nothing_and_changes_nothing(root, stub):
    refresh(root)
    before, asked = tree(root), len(stub.paths)
    done = refresh(root)
    assert (tree(root), len(stub.paths), done.exit_code) == (before, asked, 0)
    assert "No name needs to be asked" in told(done)


def test_a_dry_run_opens_no_connection_and_writes_nothing(root, stub):
    before = tree(root)
    done = act(root, dry_run=True)
    assert (stub.sent, tree(root), done.exit_code) == ([], before, 0)
    assert "Fictum album: never asked" in done.lines
    assert "Fictum bonum: last asked on 2020-01-01" in done.lines
    assert done.lines[-1] == "12 names would be asked."


def test_an_unknown_release_is_recorded_as_unknown(root, stub):
    stub.metadata = [Reply({}, 404)]
    done = refresh(root)
    assert done.exit_code == 0
    assert {each.checklist_release for each in answers_of(root)} == {""}
    assert "a release that it did not tell" in told(done)


def test_the_candidates_of_a_homonym_are_recorded(root, stub):
    rival = accepted("R1", "Fictum crudum", "Alius")
    stub.replies["Fictum crudum"] = [accepted("A2", "Fictum crudum", "Nemo")]
    stub.replies["Fictum crudum"][0]["diagnostics"]["alternatives"] = [rival]
    refresh(root)
    (found,) = [each for each in answers_of(root) if each.name == "Fictum crudum"]
    assert (found.outcome, found.accepted_name) == ("homonym", "")
    assert found.candidates == "Fictum crudum Nemo; Fictum crudum Alius"


def test_a_name_below_the_species_is_written_with_its_term():
    usage = refreshing.Usage("1", "Fictum commune album", "Nemo", "FORM")
    assert as_written(usage, {"form": "f."}) == "Fictum commune f. album"
    assert as_written(replace(usage, rank="SPECIES"), {"form": "f."}) == "Fictum commune album"
    assert as_written(replace(usage, canonical="Fictum commune f. album"), {"form": "f."}) == "Fictum commune f. album"


def test_a_new_answer_takes_the_place_of_the_older_on_the_same_question_only():
    old = [
        live("Fictum commune", "2026-01-01", authorship="P. Nemo"),
        live("Fictum commune", "2026-01-01", authorship="Fr."),
        live("Fictum commune", "2026-01-01", authorship="P. Nemo", checklist_key=OTHER),
        live("Fictum commune", "2026-01-01", authorship="P. Nemo", obtained="backbone-file"),
    ]
    new = live("Fictum  commune", "2026-11-26", authorship="P.Nemo")
    assert merged(old, [new], "2026-11-26") == [*old[1:], new]


@pytest.mark.parametrize(("day", "stays"), [("2026-11-20", True), ("2026-11-09", False), ("2099-01-01", False)])
def test_what_an_earlier_run_left_does_not_push_out_what_is_newer(day, stays):
    on_record, left = live("Fictum commune", day, outcome="renamed"), live("Fictum commune", "2026-11-10")
    assert merged([on_record], [left], "2026-11-26") == [on_record if stays else left]


# ----- Faults -----


def test_a_failed_name_is_told_and_leaves_what_was_known(root, stub):
    good = live("Fictum bonum", "2026-01-01")
    (root / RECORD).write_bytes(written([good]))
    stub.replies["Fictum bonum"] = [Reply({}, 404)]
    done = refresh(root)
    assert done.exit_code == 1
    assert "Not answered: Fictum bonum: the service refuses the question (HTTP 404)." in done.lines
    assert good in answers_of(root)
    assert len(answers_of(root)) == NAMES
    assert not (root / JOURNAL).exists()
    stub.asked.clear()
    refresh(root)
    assert stub.names == ["Fictum bonum"]


def test_a_service_that_goes_away_is_left_alone_and_the_answers_are_kept(root, stub):
    for name in names()[3:]:
        stub.replies[name] = [Reply({}, 503)]
    done = act(root, patience=Patience(tries=2))
    assert done.exit_code == 1
    assert stub.names == [*names()[:3], *(name for name in names()[3:8] for _ in range(2))]
    assert "5 names in a row were not answered" in told(done)
    assert "Not asked: 4 names." in told(done)
    assert {each.name for each in answers_of(root) if each.checked_on == "2026-11-26"} == set(names()[:3])
    assert not (root / JOURNAL).exists()


def test_names_that_fail_now_and_then_do_not_stop_a_run(root, stub):
    for name in names()[::2]:
        stub.replies[name] = [Reply({}, 404)]
    done = refresh(root)
    assert "in a row" not in told(done)
    assert told(done).count("Not answered: ") == NAMES / 2


def test_a_service_that_cannot_be_reached_is_exit_code_2_and_nothing_changes(root, stub):
    before = tree(root)
    stub.address = ("127.0.0.1", free_port())
    done = refresh(root)
    assert done.exit_code == 2
    assert "The service is away" in told(done)
    assert tree(root) == before


def test_a_service_that_asks_for_a_long_peace_is_left_alone_at_once(root, stub):
    stub.replies["Fictum crudum"] = [Reply({}, 429, headers={"Retry-After": "1234"})]
    done = refresh(root)
    assert (done.exit_code, stub.names) == (1, names()[:3])
    assert "The service asks not to be asked again for 21 minutes." in done.lines
    assert "Not asked: 9 names." in told(done)


@pytest.mark.parametrize(("wait", "says"), [("1234", "21 minutes."), ("9" * 400, "1440 minutes or more.")])
def test_no_name_is_asked_where_the_release_is_refused_for_long(root, stub, wait, says):
    stub.metadata = [Reply({}, 429, headers={"Retry-After": wait})]
    done = refresh(root)
    assert (done.exit_code, stub.names) == (2, [])
    assert says in told(done)


@pytest.mark.parametrize(
    "data", [b"name,outcome\n", b"\xff", written(OLD_ANSWERS) + b"Fictum album,,current\n", b'\xef\xbb\xbf"name"\n']
)
def test_a_record_that_cannot_be_read_whole_is_not_written_over(root, stub, data):
    (root / RECORD).write_bytes(data)
    for words in ({"dry_run": True}, {}):
        with pytest.raises(Stopped, match="what is not read would be lost"):
            act(root, **words)
    assert stub.sent == []
    assert (root / RECORD).read_bytes() == data


def test_a_record_that_is_spoilt_meanwhile_keeps_the_answers_in_the_journal(root, stub, monkeypatch):
    ask_all = refreshing.ask_all

    def and_spoil(*words):
        done = ask_all(*words)
        (root / RECORD).write_text("name,outcome\n", "utf-8")
        return done

    good = (root / RECORD).read_bytes()
    monkeypatch.setattr(refreshing, "ask_all", and_spoil)
    with pytest.raises(Stopped, match="cannot be read whole"):
        refresh(root)
    monkeypatch.setattr(refreshing, "ask_all", ask_all)
    stub.asked.clear()
    (root / RECORD).write_bytes(good)
    assert len(refresh_journal.left_behind(root, CHECKLIST)) == NAMES
    done = refresh(root)
    assert stub.asked == []
    assert done.lines[0] == "12 answers of a run that ended early are taken over."
    assert len(answers_of(root)) == NAMES + 2


def test_what_somebody_recorded_meanwhile_stays(root, stub, monkeypatch):
    ask_all = refreshing.ask_all
    theirs = live("Fictum theirs")

    def and_add(*words):
        (root / RECORD).write_bytes(written([*OLD_ANSWERS, theirs]))
        return ask_all(*words)

    monkeypatch.setattr(refreshing, "ask_all", and_add)
    refresh(root)
    assert theirs in answers_of(root)


@pytest.mark.parametrize("at", ["journal", "record"])
def test_a_full_disk_is_said_and_what_was_answered_is_kept(root, stub, monkeypatch, at):
    before = (root / RECORD).read_bytes()
    real, calls = os.write, []

    def full(handle: int, data: bytes) -> int:
        calls.append(data)
        if len(calls) == 5:
            return real(handle, data[:9])
        if len(calls) == 6:
            raise OSError(28, "No space left on device")
        return real(handle, data)

    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    if at == "journal":
        monkeypatch.setattr(os, "write", full)
    else:
        monkeypatch.setattr(refreshing, "write_whole", no_room)
    with pytest.raises(Stopped, match="cannot be written: No space left on device"):
        refresh(root)
    monkeypatch.setattr(os, "write", real)
    assert (root / RECORD).read_bytes() == before
    assert len(refresh_journal.left_behind(root, CHECKLIST)) == (3 if at == "journal" else NAMES)
    assert JOURNAL in (root / JOURNAL).as_posix()


def test_a_half_done_rename_comes_first(root, stub):
    (root / "dataset" / ".names-apply.json").write_text("{}", "utf-8")
    with pytest.raises(Stopped, match="names apply"):
        refresh(root)
    assert stub.sent == []


def test_an_entry_that_cannot_be_read_is_told(root, stub):
    (root / "dataset/taxa/fictum-album.yaml").write_text("id: [", "utf-8")
    done = refresh(root)
    assert "fictum-album.yaml" in done.lines[0]
    assert stub.names == names()[1:]


@pytest.mark.parametrize(("word", "says"), [("", "is no checklist"), ("nub", "is no checklist"), ("../x", "is no")])
def test_a_checklist_that_is_none_is_refused(root, stub, word, says):
    with pytest.raises(Stopped, match=says):
        act(root, checklist=word)
    assert stub.sent == []
    assert not (root / JOURNAL).exists()


# ----- As a command -----


def command(root: Path, monkeypatch, *words: str):
    monkeypatch.setattr(naming, "Clock", lambda: Hands().clock())
    return CliRunner().invoke(main, ["names", "refresh", "--dataset", str(root), *words])


def test_the_command_asks_the_catalogue_of_life_unless_told_otherwise(root, stub, monkeypatch):
    for words in ((), ("--checklist", "backbone"), ("--checklist", OTHER)):
        assert command(root, monkeypatch, *words).exit_code == 0
    asked = list(dict.fromkeys(each["checklistKey"] for each in stub.asked))
    assert asked == [*CHECKLISTS.values(), OTHER]


def test_the_command_says_what_it_did_and_what_it_is_not(root, stub, monkeypatch):
    stub.replies["Fictum bonum"] = [Reply({}, 404)]
    done = command(root, monkeypatch)
    assert done.exit_code == 1
    assert "11 names of 12 answered" in done.output
    assert done.output.endswith(SAFETY_NOTE + "\n")


def test_the_command_asks_again_what_is_older_than_it_is_told(root, stub, monkeypatch):
    (root / RECORD).write_bytes(written([live("Fictum bonum", "2026-06-01"), live("Fictum album", "2025-11-25")]))
    told_of = [
        command(root, monkeypatch, "--dry-run", "--checklist", CHECKLIST, *words).output
        for words in ((), ("--max-age", "12w"))
    ]
    assert ["Fictum bonum: last asked" in each for each in told_of] == [False, True]
    assert ["Fictum album: last asked" in each for each in told_of] == [True, True]
    assert stub.sent == []


@pytest.mark.parametrize("words", [("--max-age", "soon"), ("--checklist", "nub"), ("--unknown",)])
def test_the_command_refuses_what_it_does_not_know(root, stub, monkeypatch, words):
    done = command(root, monkeypatch, *words)
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert stub.sent == []


def test_no_text_of_a_service_reaches_a_terminal_raw(root, stub, monkeypatch):
    stub.replies["Fictum bonum"] = [accepted("A1", "Fictum\x1b[31m bonum\u202e", rank="SPECIES\x07")]
    stub.replies["Fictum album"] = [{"message": "\x1b]0;title\x07"}]
    assert not {"\x1b", "\x07", "\u202e"} & set(command(root, monkeypatch).output)


def test_a_folder_without_a_dataset_is_said(tmp_path, stub, monkeypatch):
    done = command(tmp_path, monkeypatch)
    assert done.exit_code == 2
    assert "see that its folder is there" in done.output


# ----- The journal -----


def journal_of(root: Path, stub, count: int = 5) -> bytes:
    """Leave the journal of a run that ended after some answers, and return its bytes."""
    names_due = due(names_of_root(root), [], CHECKLIST, LIMIT)[:count]
    service = refreshing.Service(CHECKLIST, Hands().clock(), Patience())
    with refresh_journal.opened(root, CHECKLIST) as journal:
        refreshing.ask_all(names_due, service, journal, {}, lambda *_: None)
    stub.asked.clear()
    return (root / JOURNAL).read_bytes()


def names_of_root(root: Path) -> list[Given]:
    return [Given(name, "", "species", FUNGI) for name in names()]


def test_a_run_goes_on_where_another_ended(root, stub):
    journal_of(root, stub)
    done = refresh(root)
    assert stub.names == names()[5:]
    assert done.lines[0] == "5 answers of a run that ended early are taken over."
    assert {each.name for each in answers_of(root) if each.checked_on == "2026-11-26"} == set(names())


def test_what_a_run_left_while_it_wrote_the_record_is_cleared_away(root, stub):
    for name in (".names.csv.a1_b2c3d", ".other.csv.a1_b2c3d", "names.csv.old"):
        (root / "dataset" / name).write_text("half", "utf-8")
    refresh(root)
    left = {path.name for path in (root / "dataset").iterdir()}
    assert left == {"taxa", "names.csv", ".other.csv.a1_b2c3d", "names.csv.old"}


def test_a_dry_run_counts_what_another_left_and_leaves_it(root, stub):
    data = journal_of(root, stub)
    done = act(root, dry_run=True)
    assert done.lines[0] == "5 answers of a run that ended early would be taken over."
    assert done.lines[-1] == "7 names would be asked."
    assert (root / JOURNAL).read_bytes() == data


def test_a_journal_that_breaks_off_anywhere_costs_the_last_answer_only(root, stub):
    """What is whole is taken over, the rest is as if it had not been written."""
    whole = journal_of(root, stub, 2)
    ends = {at + more for at in range(len(whole)) if whole[at : at + 1] == b"\n" for more in (0, 1, 2)}
    for length in sorted(({*range(0, len(whole), 9)} | ends) & {*range(len(whole) + 1)}):
        (root / JOURNAL).write_bytes(whole[:length])
        expected = max(whole[:length].count(b"\n") - 1, 0)
        assert len(refresh_journal.left_behind(root, CHECKLIST)) == expected
        with refresh_journal.opened(root, CHECKLIST) as journal:
            assert len(journal.found) == expected
            journal.note(live("Fictum novum"))
        assert [each.name for each in refresh_journal.left_behind(root, CHECKLIST)][expected:] == ["Fictum novum"]


def test_the_journal_of_another_checklist_is_refused_and_named(root, stub):
    data = journal_of(root, stub)
    for words in ({"dry_run": True}, {}):
        with pytest.raises(Stopped, match=f"--checklist {CHECKLIST}"):
            act(root, checklist=OTHER, **words)
    assert (root / JOURNAL).read_bytes() == data
    assert stub.asked == []


HEAD = json.dumps({"schema": 1, "checklist": CHECKLIST}).encode() + b"\n"


def line(**changed: object) -> bytes:
    return json.dumps({column: getattr(live("Fictum album"), column) for column in COLUMNS} | changed).encode() + b"\n"


@pytest.mark.parametrize(
    "data",
    [
        b"hello",
        b"hello\n",
        b"[]\n",
        b"\n",
        b"null\n",
        b"[" * 100_000 + b"\n",
        b"\xff\n",
        b'{"schema": 2, "checklist": "x"}\n',
        b'{"schema": 1}\n',
        HEAD + b"{}\n",
        HEAD + b"half\n",
        HEAD + line(obtained="compiled"),
        HEAD + line(checklist_key=OTHER),
        HEAD + line(name=""),
        HEAD + line(outcome=3),
        HEAD + line(more="x"),
    ],
)
def test_a_journal_that_a_stranger_wrote_is_not_followed(root, stub, data):
    (root / JOURNAL).write_bytes(data)
    before = tree(root)
    for words in ({"dry_run": True}, {}):
        with pytest.raises(Stopped, match=r"is not followed.*delete"):
            act(root, **words)
    assert tree(root) == before
    assert stub.sent == []


def test_a_whole_journal_of_ours_is_followed(root, stub):
    """The counterpart of the one above: its lines are right but for what each case changes."""
    (root / JOURNAL).write_bytes(HEAD + line())
    assert "1 answer of a run" in refresh(root).lines[0]


def test_a_link_or_a_pipe_in_place_of_the_journal_is_not_followed(root, stub, tmp_path):
    (tmp_path / "elsewhere").write_bytes(HEAD)
    for make in (lambda path: path.symlink_to(tmp_path / "elsewhere"), os.mkfifo, os.mkdir):
        make(root / JOURNAL)
        for words in ({"dry_run": True}, {}):
            with pytest.raises(Stopped, match="names-refresh"):
                act(root, **words)
        (root / JOURNAL).rmdir() if (root / JOURNAL).is_dir() else (root / JOURNAL).unlink()
    assert (tmp_path / "elsewhere").read_bytes() == HEAD
    assert stub.sent == []


def test_only_one_run_is_at_work(root, stub):
    with refresh_journal.opened(root, CHECKLIST):
        with pytest.raises(Stopped, match="is at work"):
            refresh(root)
        assert stub.sent == []
    assert refresh(root).exit_code == 0


def test_a_run_whose_journal_was_taken_away_meanwhile_is_not_joined(root):
    with refresh_journal.opened(root, CHECKLIST) as journal:
        journal.done()
        with refresh_journal.opened(root, CHECKLIST):
            pass
    handle = os.open(root / JOURNAL, os.O_RDWR)
    (root / JOURNAL).unlink()
    with pytest.raises(NotRefreshed, match="at work"):
        refresh_journal._lock(handle, root / JOURNAL)
    os.close(handle)


# ----- Whenever it ends -----


def test_a_run_that_is_killed_at_any_moment_loses_nothing_and_is_finished_by_the_next(tmp_path, stub):
    laid(tmp_path / "begun")
    command = [sys.executable, "-m", "tests.names.refresh_killed", tmp_path]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 500
    old, new = ((tmp_path / each / RECORD).read_bytes() for each in ("begun", "whole"))
    asked = json.loads((tmp_path / "asked.json").read_text("utf-8"))
    seen = set()
    for number in range(refresh_killed.TIMES):
        root = tmp_path / str(number)
        assert (root / RECORD).read_bytes() in {old, new}, f"{number}: half written"
        is_written = (root / RECORD).read_bytes() == new
        kept = len(refresh_journal.left_behind(root, CHECKLIST))
        assert is_written or kept >= asked[number] - 1, f"{number}: an answer is lost"
        seen.add((kept > 0, is_written))
        stub.asked.clear()
        assert refresh(root).exit_code == 0
        assert stub.names == ([] if is_written else names()[kept:]), f"{number}: asked for what was answered"
        assert tree(root) == tree(tmp_path / "whole"), f"{number}: something is lost or left lying about"
    assert seen >= {(False, False), (True, False)}


# ----- Older records -----


def test_a_record_without_the_newer_columns_is_read_and_rewritten_with_them(root, stub):
    row = f"Fictum yulense,,current,Fictum yulense,,live,{OTHER},,1,1,EXACT,99,2026-11-25"
    (root / RECORD).write_text(",".join(COLUMNS[:13]) + f"\n{row}\n", "utf-8")
    refresh(root)
    text = (root / RECORD).read_text("utf-8")
    assert text.startswith(",".join(COLUMNS) + "\n")
    assert f"{row},,,\n" in text


def test_the_newest_live_answer_speaks(form):
    answers = Recorded([live("Fictum commune", "2026-01-01", outcome="unknown"), live("Fictum commune", "2026-11-26")])
    assert outcome_of("Fictum commune", "", answers, form).outcome == "current"
