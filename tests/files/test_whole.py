"""Files are written whole or not at all."""

from pathlib import Path

import pytest

from equipsel.files import OutputError, check_writable, write_whole

FILES = {"a.csv": b"new a", "b.csv": b"new b", "c.csv": b"new c"}


def everything_below(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else b"(folder)" for path in sorted(folder.rglob("*"))}


def test_the_folder_is_made_with_the_folders_above_it(tmp_path: Path) -> None:
    write_whole(tmp_path / "deep" / "down", FILES)
    assert everything_below(tmp_path / "deep") == {
        "down": b"(folder)",
        "down/a.csv": b"new a",
        "down/b.csv": b"new b",
        "down/c.csv": b"new c",
    }


def test_files_there_are_replaced_and_others_stay(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"old a")
    (tmp_path / "mine.txt").write_bytes(b"mine")
    write_whole(tmp_path, FILES)
    assert everything_below(tmp_path) == {**FILES, "mine.txt": b"mine"}


class Failing(dict[str, bytes]):
    """Files of which the last cannot be had."""

    def __init__(self, error: BaseException) -> None:
        super().__init__(FILES)
        self.error = error

    def items(self):
        yield "a.csv", b"new a"
        raise self.error


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("there", [True, False])
def test_nothing_is_left_when_preparing_fails(tmp_path: Path, error: BaseException, there: bool) -> None:
    target = tmp_path / "deep" / "out"
    if there:
        target.mkdir(parents=True)
        (target / "a.csv").write_bytes(b"old a")
    before = everything_below(tmp_path)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        write_whole(target, Failing(error))
    assert everything_below(tmp_path) == before


@pytest.mark.parametrize("error", [OSError(5, "Input/output error"), KeyboardInterrupt()])
@pytest.mark.parametrize("broken_at", [0, 1, 2])
def test_what_stood_there_is_put_back_when_moving_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException, broken_at: int
) -> None:
    (tmp_path / "a.csv").write_bytes(b"old a")
    (tmp_path / "c.csv").write_bytes(b"old c")
    before, move, moved = everything_below(tmp_path), Path.replace, []

    def failing(self: Path, target: Path) -> Path:
        if self.parent.name.endswith(".part"):
            moved.append(self)
            if len(moved) == broken_at + 1:
                raise error
        return move(self, target)

    monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        write_whole(tmp_path, FILES)
    assert everything_below(tmp_path) == before


def test_a_file_in_the_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("x")
    with pytest.raises(OutputError, match="is a file, not a folder; give the name of a folder"):
        write_whole(tmp_path / "out", FILES)


def test_a_file_in_the_path_to_the_folder(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("x")
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(tmp_path / "out" / "deeper", FILES)


def test_a_folder_in_the_place_of_a_file(tmp_path: Path) -> None:
    (tmp_path / "b.csv").mkdir()
    with pytest.raises(OutputError, match="is a folder where a file is to be written"):
        write_whole(tmp_path, FILES)
    assert everything_below(tmp_path) == {"b.csv": b"(folder)"}


@pytest.mark.parametrize("name", ["../a.csv", "a/b.csv", "/a.csv", ".."])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(OutputError, match="is no plain file name"):
        check_writable(tmp_path, (name,))


def test_the_same_folder_can_be_written_again(tmp_path: Path) -> None:
    write_whole(tmp_path / "out", {"a.csv": b"1"})
    write_whole(tmp_path / "out", {"a.csv": b"2"})
    assert everything_below(tmp_path / "out") == {"a.csv": b"2"}
