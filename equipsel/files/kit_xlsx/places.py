"""Heat, mains draw and outlets of each place, summed live from the power budget."""

from decimal import Decimal

from equipsel.files.kit_xlsx import names
from equipsel.files.kit_xlsx.schedules import HIGH_FIELD, high_load, high_marks, load
from equipsel.files.schedules import Schedule
from equipsel.site import Site
from equipsel.workbook import Cell, Field, Form, Formula, Sheet, letters

FIELDS = (
    Field("Place"),
    Field("Units", form=Form.WHOLE, total=True),
    Field("Mains draw", "W", Form.ONE, total=True),
    Field("Circuit carries", "W", Form.ONE),
    Field("Load of the circuit", "%", Form.ONE),
    HIGH_FIELD,
    Field("Allowed load", "%", Form.ONE),
    Field("Heat", "W", Form.ONE, total=True),
    Field("Heat", "BTU/h", Form.WHOLE, total=True),
    Field("Outlets used", form=Form.WHOLE, total=True),
    Field("Outlets there", form=Form.WHOLE),
)
LOAD, MAINS, CIRCUIT = 4, 2, 3


def place_sheet(power: Schedule, power_page: Sheet, site: Site, title: str) -> Sheet:
    """One row for each place with a unit in it."""
    at = {one.heading: number for number, one in enumerate(power_page.fields)}
    sums = {name: power_page.cells(at[name]) for name in ("Place", "Mains draw, W", "Heat, W", "Heat, BTU/h", "Outlets")}
    places = list(dict.fromkeys(row[power.columns.index("place")] for row in power.rows))
    rows = [_row(number, str(place), power, sums, site) for number, place in enumerate(places, 2)]
    return Sheet(names.PLACES, title, FIELDS, rows, marks=high_marks(LOAD), key_columns=1)


def _row(number: int, place: str, power: Schedule, sums: dict[str, str], site: Site) -> tuple[Cell, ...]:
    where = sums["Place"]
    units = sum(row[power.columns.index("place")] == place for row in power.rows)
    mains = _summed(number, place, power, where, sums["Mains draw, W"], "mains_w")
    row = site.scenario.place.get(place)
    circuit = row.circuit_a * row.circuit_v if row and row.circuit_a and row.circuit_v else None
    loaded = load(f"{letters(MAINS)}{number}", f"{letters(CIRCUIT)}{number}", mains.value, circuit)
    return (
        place,
        Formula(f"=COUNTIF({where},A{number})", units),
        mains,
        circuit,
        loaded,
        high_load(f"{letters(LOAD)}{number}", loaded),
        site.rules.circuit_load_pct if circuit else None,
        _summed(number, place, power, where, sums["Heat, W"], "heat_w"),
        _summed(number, place, power, where, sums["Heat, BTU/h"], "heat_btu_h"),
        _summed(number, place, power, where, sums["Outlets"], "outlets"),
        row.outlets if row else None,
    )


def _summed(number: int, place: str, power: Schedule, where: str, what: str, column: str) -> Formula:
    at, place_at = power.columns.index(column), power.columns.index("place")
    values = [row[at] for row in power.rows if row[place_at] == place]
    now = sum((Decimal(str(value)) for value in values if value is not None), Decimal(0))
    return Formula(f"=SUMIF({where},A{number},{what})", now)
