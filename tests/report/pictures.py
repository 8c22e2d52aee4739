"""Makes the pictures of the README: `PYTHONPATH=tests/report python -m pictures`, with Chromium installed, from the top folder."""

from pathlib import Path

from chromium import chromium
from kits import scenario_case

from equipsel.report import report_html

FOLDER = Path(__file__).parent / "pictures"
PICTURES = {"diagram": "#diagrams figure:has(#place-2-1-title)", "volts": "#cables figure"}
"""Name of the file, and what of the yard's report it shows."""


def main() -> None:
    """Write each picture anew."""
    FOLDER.mkdir(exist_ok=True)
    with chromium() as browser:
        page = browser.new_page(viewport={"width": 800, "height": 900})
        page.set_content(report_html(*scenario_case("yard")).decode())
        for name, part in PICTURES.items():
            page.locator(part).first.screenshot(path=FOLDER / f"{name}.png")


if __name__ == "__main__":
    main()
