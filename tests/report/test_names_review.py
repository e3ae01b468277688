"""The review of names in Markdown. The taxa and what is said of them are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sporeproof.findings import SAFETY_NOTE, Mark
from sporeproof.names.reviewing import KINDS, Reviewed, Touch
from sporeproof.report.names_review import TITLES, Review, review_markdown

AT = Mark("dataset/taxa/fictum-altum.yaml", 2, 7)
TOUCH = Touch("Fictum imum", Mark("dataset/taxa/fictum-imum.yaml", 9, 5), "Fictum altum")
RENAMED = Reviewed(
    "renamed", "Fictum altum", "Nemo", "current", "F9009", "Fictum altum", "deadly", AT, "current", "renamed",
    "Mendax altus (Nemo) Nullus", "renamed (Mendax altus) by Invented Checklist 2026 (live), asked on 2026-11-25",
    ("sporeproof names apply --accept 'Fictum altum=Mendax altus (Nemo) Nullus'",), touches=(TOUCH,),
)  # fmt: skip
OLD = replace(RENAMED, kind="too-old", now="current", commands=(), says="current by X, asked on 2020-01-01")

TEXT = f"""\
# Names, reviewed on 2026-11-26

3 names looked at. Compared with invented-data 0.1.0. Old is old.

| what | changed since | in all |
| --- | --- | --- |
| Called otherwise today | 1 | 1 |
| Asked too long ago | 0 | 1 |

## Called otherwise today (1)

People look for the new name and would miss the entry, or what it warns of.

### Fictum altum Nemo: was current, is renamed

- current name of Fictum altum (F9009), DEADLY, in `dataset/taxa/fictum-altum.yaml:2`
- offered: Mendax altus (Nemo) Nullus
- renamed (Mendax altus) by Invented Checklist 2026 (live), asked on 2026-11-25
- 1 reference to this entry: Fictum imum (`dataset/taxa/fictum-imum.yaml:9`, by Fictum altum)

The edit:

```sh
sporeproof names apply --accept 'Fictum altum=Mendax altus (Nemo) Nullus'
```

## Asked too long ago (1)

Ask again with `sporeproof names refresh`.

| name | of | stands in | says | was |
| --- | --- | --- | --- | --- |
| Fictum altum Nemo | Fictum altum | dataset/taxa/fictum-altum.yaml:2 | current by X, asked on 2020-01-01 | current |

This report proposes, a person decides: read every edit before it is made, and see that nothing was softened. \
No command here changes a verdict, a need, a caution or a confusion.

**{SAFETY_NOTE}**
"""


def told(*found: Reviewed, against: str = "invented-data 0.1.0", **more: str) -> str:
    return review_markdown(Review("2026-11-26", against, 3, found, "Old is old.", **more))


def test_it_reads_from_top_to_bottom():
    assert told(RENAMED, OLD) == TEXT


def test_where_all_is_well_it_says_so_and_still_says_what_it_is_not():
    text = told()
    assert "\nNothing needs an edit.\n" in text
    assert text.endswith(f"**{SAFETY_NOTE}**\n")


def test_every_kind_has_its_section_in_the_order_of_urgency():
    assert set(TITLES) == set(KINDS)
    text = told(*(replace(RENAMED, kind=kind) for kind in reversed(KINDS)))
    places = [text.index(f"\n## {TITLES[kind][0]} (") for kind in KINDS]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("was", "now", "against", "said"),
    [
        ("current", "renamed", "x", "was current, is renamed"),
        ("renamed", "renamed", "x", "still renamed"),
        ("", "renamed", "x", "new here, renamed"),
        ("", "renamed", "", ": renamed"),
    ],
)
def test_what_changed_is_told_apart_from_what_was_open(was, now, against, said):
    text = told(replace(RENAMED, was=was, now=now), against=against)
    assert f"{said}\n" in text
    assert ("Compared with nothing." in text) is not bool(against)


def test_what_stands_in_the_way_is_told_with_its_steps():
    text = told(replace(RENAMED, reason="It leads to both.", todo=("Delete *this*.", "Write that.")))
    assert "\nNot yet: It leads to both.\n\n1. Delete \\*this\\*.\n2. Write that.\n" in text


def test_of_several_names_a_person_takes_one():
    text = told(replace(RENAMED, kind="homonym", commands=("sporeproof a", "sporeproof b")))
    assert "Take one of these" in text
    assert "```sh\nsporeproof a\nsporeproof b\n```" in text


def test_what_could_not_be_read_is_loud():
    assert "\n**Some are missing.**\n" in told(unread="Some are missing.")


def test_no_sign_of_a_record_becomes_markup_or_reaches_a_terminal():
    odd = "Fic|tum `x` <b> \x1b[31m\u202e\n# Title"
    text = told(
        replace(RENAMED, name=odd, leads_to=odd, says=odd, taxon=odd, commands=(f"sporeproof '{odd}'",), reason=odd),
        replace(OLD, name=odd, says=odd),
        against=odd,
    )
    assert all(sign.isprintable() for sign in text.replace("\n", ""))
    assert [line for line in text.splitlines() if line.startswith("# ")] == ["# Names, reviewed on 2026-11-26"]
    assert "<b>" not in text.replace("sporeproof 'Fic|tum `x` <b>", "")
    for line in text.splitlines():
        if line.startswith("| ") and "---" not in line:
            assert line.replace("\\|", "").count("|") in {4, 6}
