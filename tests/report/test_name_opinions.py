"""Answers that disagree, side by side. The taxa and what is said of them are invented."""

from __future__ import annotations

import json

from sporeproof.findings import SAFETY_NOTE
from sporeproof.report.name_opinions import Borne, Contested, Said, opinions_json, opinions_text

FORMER = Borne("F9001", "Fictum commune", "former", "dataset/taxa/fictum-commune.yaml", 7)
LIVE = Said("live", "Invented Checklist", "2026", "current", "Fictum vulgare Nemo", "2026-11-25", speaks=True)
KNOWN = Said("compiled", "", "", "renamed", "Fictum commune", "2026-11-01", unconfirmed=True)
VULGARE = Contested("Fictum vulgare", "Nemo", (FORMER,), (LIVE, KNOWN))

TEXT = """\
  obtained               checklist           release  outcome  accepted name        asked on

Fictum vulgare Nemo, former name of Fictum commune (dataset/taxa/fictum-commune.yaml:7)
> live                   Invented Checklist  2026     current  Fictum vulgare Nemo  2026-11-25
  compiled, unconfirmed  -                   -        renamed  Fictum commune       2026-11-01

The answers disagree on 1 name. `>` marks the one that speaks: the newest of the firmest kind. \
The others are second opinions and change nothing.
"""


def test_answers_stand_side_by_side_under_where_the_name_is_borne():
    assert opinions_text([VULGARE], 1) == TEXT


def test_where_none_disagrees_it_says_how_many_were_compared():
    assert opinions_text([], 3) == "No answers disagree; 3 names with more than one answer.\n"


def test_what_could_not_be_read_is_said():
    assert opinions_text([VULGARE], 1, "Some are missing.").endswith("\nSome are missing.\n")
    assert json.loads(opinions_json([], 0, "Some are missing."))["unread"] == "Some are missing."


def test_no_sign_of_a_record_reaches_a_terminal():
    odd = Said("live", "\x1b[31mred", "\u202e", "current", "Fictum\nvulgare", "x", speaks=True)
    text = opinions_text([Contested("Fictum\x07", "", (FORMER,), (odd, KNOWN))], 1)
    assert all(sign.isprintable() for sign in text.replace("\n", ""))
    assert len(text.splitlines()) == len(TEXT.splitlines())


def test_json_holds_the_same():
    told = json.loads(opinions_json([VULGARE], 1))
    assert told.keys() == {"schema", "asked", "names", "unread", "safety_note"}
    assert told["safety_note"] == SAFETY_NOTE
    (name,) = told["names"]
    assert name["borne"] == [
        {
            "taxon_id": "F9001",
            "taxon": "Fictum commune",
            "role": "former",
            "file": "dataset/taxa/fictum-commune.yaml",
            "line": 7,
        }
    ]
    assert [(each["obtained"], each["speaks"], each["unconfirmed"]) for each in name["answers"]] == [
        ("live", True, False),
        ("compiled", False, True),
    ]
