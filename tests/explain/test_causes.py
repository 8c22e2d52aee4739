"""Every cause is named, every set of rules is smallest, every suggestion gives a kit: each claim is solved."""

import pytest
from expected_texts import TEXTS
from explain_cases import CASES
from hold import explained, faults


@pytest.mark.parametrize("name", CASES)
def test_the_cause_is_named_and_every_claim_holds(name: str) -> None:
    described, bought, words = CASES[name]
    found = explained(described, bought)
    text = "\n".join(found.texts())
    missing = [word for word in words if word not in text]
    assert not missing, text
    assert found.texts() == TEXTS[name]
    assert found.conflicts
    assert found.remedies
    assert not faults(found)
