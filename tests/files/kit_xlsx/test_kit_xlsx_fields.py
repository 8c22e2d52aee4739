"""Every heading stands for one column, and every column of a schedule has one."""

from equipsel.files.kit_xlsx.fields import FIELDS, column_of, fields, heading
from equipsel.files.schedules import bill, cables, ports, power


def test_headings_and_columns_are_one_to_one() -> None:
    assert [column_of(heading(column, "EUR")) for column in FIELDS] == list(FIELDS)
    assert column_of("Cost, a new currency") == "cost"
    assert column_of("part_no") == ""


def test_every_column_of_a_schedule_is_headed() -> None:
    columns = {*bill.COLUMNS, *cables.COLUMNS, *ports.COLUMNS, *power.COLUMNS} - {"currency"}
    assert columns == set(FIELDS)


def test_the_users_own_columns_keep_their_names() -> None:
    assert [field.heading for field in fields(["part_no", "cost"], "EUR")] == ["part_no", "Cost, EUR"]
