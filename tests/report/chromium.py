"""A headless Chromium: asked for like every other program from outside, missed loudly where the automatic checks run."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, sync_playwright

QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""Flags without which it fails as root, or asks networks of its own accord."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser; without it the test is skipped with the reason, or fails where CI=true promises it is there."""
    path = shutil.which("chromium")
    if path is None:
        reason = "chromium is not installed (Debian package chromium)"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=list(QUIET))
        yield browser
        browser.close()
