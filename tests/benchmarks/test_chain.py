"""The benchmark of many sites, on a few small ones."""

from pathlib import Path

from chain import kill_a_worker, run_chain, write_chain


def test_a_broken_site_and_a_killed_process_change_nothing_of_the_order(tmp_path: Path) -> None:
    sites = write_chain(tmp_path, 8, 4, broken=1)
    whole = run_chain(sites, tmp_path / "whole", "--workers", "1")
    killed = run_chain(sites, tmp_path / "killed", "--workers", "2", half_way=kill_a_worker)
    assert (whole.done, killed.done) == (7, 7)
    assert (whole.exit_code, killed.exit_code) == (2, 2)
    assert whole.order == killed.order != b""
    assert 50 < max(whole.mib) < 500
    assert whole.sites_per_s > 0
