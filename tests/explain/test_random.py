"""On random small sites without a kit: sets of rules are smallest, suggestions give a kit, always. Each claim is solved."""

import pytest
from cases import numbers
from hold import explained, faults
from random_without import without_kit


@pytest.mark.parametrize("cases", numbers(16, 2), ids=str)
def test_every_claim_holds(cases: range) -> None:
    seen, wrong = 0, {}
    for number, site in without_kit(cases):
        seen += 1
        found = explained(site.scenario, site.catalog)
        if bad := faults(found) + ([] if found.conflicts else ["no conflict found"]):
            wrong[number] = bad
    print(f"{seen} sites without a kit")
    assert not wrong
    assert seen
