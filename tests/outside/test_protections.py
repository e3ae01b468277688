"""The law names species as they were called when it was written.

Source: Wildlife and Countryside Act 1981, Schedule 8, as amended; the four fungi as listed, from secondary pages.
"""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("as_listed", "today"),
    [
        ("Hericium erinaceum", "Hericium erinaceus"),
        ("Boletus regius", "Butyriboletus regius"),
        ("Buglossoporus pulvinus", "Buglossoporus quercinus"),
        ("Battarrea phalloides", "Battarrea phalloides"),
    ],
)
def test_names_as_listed_lead_to_one_entry_that_bears_the_caution(dataset, checklist, form, as_listed, today):
    listed = [each["name_as_listed"] for each in dataset.companions["protections"].value]
    assert as_listed in listed
    entry = checklist.find(as_listed).one
    assert entry is not None
    assert entry.name == today
    assert set(entry.cautions) & set(form.cautions_flagged("protected"))


def test_territories_are_parts_never_the_kingdom_as_a_whole(dataset):
    for each in dataset.companions["protections"].value:
        assert each["territories"]
        assert {"UK", "GB"}.isdisjoint(each["territories"])
