"""Why a kit is as it is: its lines, what binds, its devices, cheaper requests, what looks odd. Ctrl-C keeps what is confirmed."""

from contextlib import suppress

from equipsel.explain.again import Again
from equipsel.explain.binding import bindings
from equipsel.explain.cheaper import cheaper_requests
from equipsel.explain.hanging import device_reasons
from equipsel.explain.lines import line_reasons
from equipsel.explain.odd import odd_results
from equipsel.explain.verdict import Tell
from equipsel.kit import Cheaper, Kit, LineReason, Why
from equipsel.program.of_site import powered
from equipsel.site import Site


def with_why(kit: Kit, site: Site, seconds: float, tell: Tell | None = None, *, cheaper: bool = True) -> Kit:
    """The kit with why it is as it is; unchanged where there is none.

    seconds: what solving again may take. tell: called with the number of questions answered so far. cheaper: whether cheaper
    requests are looked for.
    """
    if kit.cost is None:
        return kit
    binding, devices = bindings(site, kit), tuple(device_reasons(powered(site), kit))
    again = Again(site, kit, seconds, tell)
    lines: list[LineReason] = []
    requests: list[Cheaper] = []
    complete = False
    with suppress(KeyboardInterrupt):
        lines.extend(line_reasons(again))
        requests.extend(cheaper_requests(again) if cheaper else ())
        complete = again.complete
    odd = tuple(odd_results(site, kit, lines, binding))
    why = Why(lines=tuple(lines), binding=binding, devices=devices, cheaper=tuple(requests), odd=odd, complete=complete)
    return kit.model_copy(update={"why": why})
