"""The texts that are compared: each format's report of the same findings. Lines and group are invented."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path
from typing import Any

import sporeproof.report
from sporeproof.findings import Finding, Level, Mark
from sporeproof.report.summary import Summary

HERE = Path(__file__).parent
TAXA = "dataset/taxa"
WHY_LISTED = "People act on an edible verdict, so the entry must name what harms those who get it wrong."
WHY_WORD = "A program that reads the entry knows only the words of the list."
MESSAGE = "{} is called edible, but no dangerous taxon is listed under confusions."
MEND_LISTED = "Add each dangerous taxon it is taken for, with `told_apart_by`, under `confusions`."
LONG_LINE = (
    "  # センボンイチメガサ, "
    + "as told at the autumn meeting, " * 2
    + "毒 \t smell: [aniseeed, "
    + "mealy, " * 12
    + "none]"
)

FINDINGS = [
    Finding(
        "file.not-utf8",
        Level.ERROR,
        "This file is written in another encoding than UTF-8.",
        "Names with accents would come out wrong.",
        "Save the file as UTF-8.",
        Mark("dataset/sources, old list 100%.yaml"),
    ),
    Finding(
        "safety.edible-without-confusion",
        Level.ERROR,
        MESSAGE.format("Hydnum repandum"),
        WHY_LISTED,
        MEND_LISTED,
        Mark(f"{TAXA}/hydnum-repandum.yaml", 5, 12, 6, "  verdict: edible  # Fernhollow Fungus Group, walk 12"),
        "F9003",
        "Hydnum repandum",
    ),
    Finding(
        "safety.edible-without-confusion",
        Level.ERROR,
        MESSAGE.format("Kuehneromyces mutabilis"),
        WHY_LISTED,
        MEND_LISTED,
        Mark(f"{TAXA}/kuehneromyces-mutabilis.yaml", 5, 12, 6, "  verdict: edible"),
        "F9001",
        "Kuehneromyces mutabilis",
    ),
    Finding(
        "entry.unknown-word",
        Level.WARNING,
        "Kuehneromyces mutabilis: `aniseeed` is no smell of the list. Did you mean `aniseed`?",
        WHY_WORD,
        "Write `aniseed`, or take another word of the list.",
        Mark(
            f"{TAXA}/kuehneromyces-mutabilis.yaml",
            112,
            LONG_LINE.index("aniseeed") + 1,
            8,
            LONG_LINE,
        ),
        "F9001",
        "Kuehneromyces mutabilis",
    ),
    Finding(
        "name.unconfirmed",
        Level.NOTICE,
        "No answer on record confirms Mucidula mucida {Schrad.}\x1b[31m\u202e; see [the list](names).",
        "",
        "",
        Mark(f"{TAXA}/mucidula-mucida.yaml", 2, 7, 15, "name: Mucidula mucida\x1b[31m\u202e"),
        "F9009",
        "Mucidula mucida",
    ),
]
SUMMARY = Summary(
    errors=3, warnings=1, notices=1, entries=19, excused=3, excused_entries=2, only_form=1, schema="packaged"
)
FILES = (
    f"{TAXA}/hydnum-repandum.yaml",
    f"{TAXA}/kuehneromyces-mutabilis.yaml",
    f"{TAXA}/lycoperdon-perlatum.yaml",
    f"{TAXA}/mucidula-mucida.yaml",
)


def formats() -> dict[str, Any]:
    """Every format's ``render``, found as the command finds it."""
    modules = pkgutil.iter_modules(sporeproof.report.__path__)
    names = [each.name.removeprefix("as_") for each in modules if each.name.startswith("as_")]
    return {name: importlib.import_module(f"sporeproof.report.as_{name}").render for name in names}


def texts() -> dict[str, str]:
    """Each golden file's name, and the text that the program gives for it today."""
    asked = {"version": "1.2.3", "files": FILES, "colour": False, "quiet": False}
    return {f"report.{name}": render(FINDINGS, SUMMARY, **asked) for name, render in formats().items()}
