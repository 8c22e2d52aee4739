"""Programs from outside the project: asked for by name, missed loudly where the automatic checks run."""

import os
import shutil

import pytest


def tool(name: str, package: str) -> str:
    """Path of a program; without it the test is skipped with the reason, or fails where CI=true promises it is there."""
    path = shutil.which(name)
    if path is None:
        reason = f"{name} is not installed (Debian package {package})"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    return path
