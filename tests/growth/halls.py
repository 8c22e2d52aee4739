"""An invented hall of cameras and a phone on switches of four and eight ports."""

from decimal import Decimal

from sketch import catalog, device, ports, scenario, site, switch

from equipsel.growth.plans import Terms
from equipsel.site import Site

TERMS = Terms(Decimal(0), 600.0)
BOXES = catalog(
    switch("four", 100, 65, ports(4, 30)),
    switch("eight", 150, 130, ports(8, 30)),
    cables=[{"model": "c", "price_per_m": "0.333", "awg": 24}],
    extras=[{"item": "bracket", "price": 7, "per": "device", "for": "camera"}],
)


def hall(count: int = 3, boxes: object = BOXES, **place: object) -> Site:
    places = [{"place": "hall", **place}]
    return site(scenario(device("cam", 12.95, count=count, kind="camera"), device("phone", 3.5, class_=1), places=places), boxes)  # type: ignore[arg-type]
