from pathlib import Path

import pytest
from sites import write_sites

from equipsel.files import InputError
from equipsel.many.find import find_sites


def message(folder: Path) -> str:
    with pytest.raises(InputError) as refused:
        find_sites(folder)
    return str(refused.value)


def test_folders_with_a_scenario_and_workbooks_are_sites_in_the_order_of_their_names(tmp_path: Path) -> None:
    sites = write_sites(tmp_path, north=(1, 9), east=(1, 9))
    (sites / "aside").mkdir()
    (sites / "south.xlsx").touch()
    (sites / "~$south.xlsx").touch()
    (sites / ".hidden").mkdir()
    (sites / ".hidden" / "scenario.toml").touch()
    assert list(find_sites(sites)) == ["east", "north", "south"]


def test_the_folder_written_to_is_passed_over(tmp_path: Path) -> None:
    sites = write_sites(tmp_path, north=(1, 9), kits=(1, 9))
    assert list(find_sites(sites, sites / "kits")) == ["north"]


def test_no_sites_no_folder_and_two_of_one_name_are_said(tmp_path: Path) -> None:
    sites = write_sites(tmp_path, north=(1, 9))
    mend = "give a folder that holds one folder (with its scenario.toml) or one .xlsx workbook for each site"
    assert message(tmp_path / "nowhere") == f"{tmp_path / 'nowhere'}: does not exist; {mend}"
    assert message(tmp_path / "catalog") == f"{tmp_path / 'catalog'}: holds no site; {mend}"
    file = sites / "north" / "devices.csv"
    assert message(file) == f"{file}: is a file, not a folder of sites; {mend}"
    (sites / "north.xlsx").touch()
    assert message(sites) == f"{sites / 'north.xlsx'}: and {sites / 'north'} are both called north; rename one of them"
