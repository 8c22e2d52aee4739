"""The checks that look across rows and tables, in the order they are made. Each stands here once, and only here."""

from equipsel.files.checks import catalog, devices, extras, growth, names, odd_catalog, odd_site, places, references
from equipsel.files.draft import Check

CATALOG_CHECKS: tuple[Check, ...] = (
    names.models_are_unique,
    names.port_groups_are_unique,
    names.bundle_limits_are_unique,
    names.extras_are_unique,
    catalog.ports_belong_to_a_switch,
    catalog.switches_have_ports,
    catalog.mains_switches_state_a_budget,
    catalog.supply_switches_have_a_supply_that_fits,
    catalog.fed_switches_state_a_class,
    catalog.cables_state_a_resistance,
    catalog.ambient_ranges_are_ranges,
    extras.extras_are_counted_by_what_they_are_for,
)
"""Checks of a catalog on its own."""

SCENARIO_CHECKS: tuple[Check, ...] = (
    names.device_names_are_unique,
    names.numbered_names_are_unique,
    names.places_are_unique,
    names.owned_rows_are_unique,
    names.growth_rows_are_unique,
    names.runs_are_unique,
    devices.devices_are_not_too_many,
    devices.devices_state_watts_or_class,
    devices.watts_fit_the_class,
    devices.no_class_without_watts,
    places.places_named_are_listed,
    places.ambient_ranges_are_ranges,
    references.runs_start_at_a_device_or_a_place,
    references.runs_lead_elsewhere,
    growth.growth_is_of_a_device,
    growth.growth_is_not_beyond_belief,
    growth.multiplied_devices_stay_as_they_are,
    growth.grown_devices_are_not_too_many,
    growth.grown_names_are_no_others,
)
"""Checks of a scenario on its own."""

SITE_CHECKS: tuple[Check, ...] = (
    references.cables_are_known,
    references.owned_models_are_known,
    extras.extras_are_for_something,
)
"""Checks of a scenario against its catalog."""

ODDITIES: tuple[Check, ...] = (
    odd_site.watts_beyond_belief,
    odd_site.runs_all_alike,
    odd_site.runs_beyond_reach,
    odd_site.places_nobody_uses,
    odd_site.percentages_below_one,
    odd_catalog.prices_of_nothing,
    odd_catalog.ports_too_weak_for_any_class,
    odd_catalog.supplies_without_a_switch,
    odd_catalog.switches_that_draw_more_than_their_supplies,
    odd_catalog.fed_things_that_no_port_can_feed,
    odd_catalog.bundle_limits_of_no_cable,
)
"""What is legal and odd: told of, and no obstacle. They look at a site that every other check has passed."""
