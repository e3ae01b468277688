"""A calibration in words and as JSON: what is proposed, what to do, and which pairs it would not have found."""

from __future__ import annotations

import json
from dataclasses import replace

from sporeproof.confusion.calibration import calibrated
from sporeproof.confusion.suspected import Suspicion
from sporeproof.report.calibration_text import calibration_json, calibration_text


def test_words_and_json_say_the_same(form, dataset, checklist):
    found = calibrated(Suspicion(checklist, form, 0.9))
    text, told = calibration_text(found, form), json.loads(calibration_json(found))
    assert found.is_too_high
    assert f"Lower it: similarity_threshold: {found.proposed:.2f}" in text
    assert len(told["blind_spots"]) == len(found.blind) > 50
    for blind in told["blind_spots"]:
        assert f"{blind['entry']} / {blind['with']}: {blind['similarity']:.2f}" in text
    assert told["recall"]["found"] / told["recall"]["of"] < 0.95
    assert told["in_force"] == 0.9


def test_what_to_do(form, dataset, checklist):
    found = calibrated(Suspicion(checklist, form, None))
    assert "gives no threshold" in calibration_text(found, form)
    fitting = replace(found, committed=found.proposed)
    assert "it may stay" in calibration_text(fitting, form)
    nobody = replace(found, proposed=None)
    assert "no threshold can be proposed" in calibration_text(nobody, form)
