"""A calibration in words and as JSON: what is proposed, what to do, and which pairs it would not have found."""

from __future__ import annotations

import json
from dataclasses import replace

from sporeproof.confusion.calibration import calibrated
from sporeproof.confusion.suspected import Suspicion
from sporeproof.report.calibration_text import calibration_json, calibration_text
from sporeproof.tables.resolve import Checklist


def test_words_and_json_say_the_same(form, dataset, checklist):
    found = calibrated(Suspicion(checklist, form, 0.9))
    text, told = calibration_text(found, form), json.loads(calibration_json(found))
    assert found.is_too_high
    assert f"Lower it: similarity_threshold: {found.proposed:.2f}" in text
    assert len(told["blind_spots"]) == len(found.blind) > 50
    for blind in told["blind_spots"]:
        assert f"{blind['entry']} / {blind['with']}: {blind['similarity']:.3f}, " in text
    assert told["recall"]["found"] / told["recall"]["of"] < 0.95
    assert told["in_force"] == 0.9


def test_what_to_do(form, dataset, checklist):
    found = calibrated(Suspicion(checklist, form, None))
    assert "gives no threshold" in calibration_text(found, form)
    fitting = replace(found, committed=found.proposed)
    assert "it may stay" in calibration_text(fitting, form)
    nobody = replace(found, proposed=None)
    assert "no threshold can be proposed" in calibration_text(nobody, form)


def test_it_is_said_how_to_read_the_shares(form, dataset, checklist):
    found = calibrated(Suspicion(checklist, form, dataset.threshold))
    text = " ".join(calibration_text(found, form).split())
    assert "takes the pairs as independent" in text
    alike = sum(json.loads(calibration_json(found))["suggested"].values())
    assert f"{alike} of {found.compared} ({100 * alike / found.compared:.1f} %)" in text


def test_nothing_listed_and_nothing_compared_is_said_without_shares(form):
    text = calibration_text(calibrated(Suspicion(Checklist([]), form, None)), form)
    assert "none listed" in text
    assert "none compared" in text
    assert "interval" not in text
