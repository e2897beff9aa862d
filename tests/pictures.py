"""
Take the README's pictures from the demo folders: ``python -m tests.pictures`` from the top folder.

Needs the development tools and Chromium, as the browser tests do.
"""

import base64
import shutil
from pathlib import Path

from playwright.sync_api import sync_playwright

FOLDER = Path(__file__).parent.parent / "demo_menus"
WIDTH, QUALITY = 900, 22
PICTURES = {
    # name: page, where its top lies, height [px]
    "targets": ("club-lifter/worksheet.html", "main", 620),
    "week": ("club-lifter/menu.html", "h1", 520),
    "review": ("club-lifter/review.html", "h1", 700),
}


def take() -> None:
    """Write each picture as lossy WebP, small enough to be kept beside the pages."""
    (FOLDER / "screenshots").mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        page = browser.new_page(viewport={"width": WIDTH, "height": 900})
        camera = page.context.new_cdp_session(page)
        for name, (address, top, height) in PICTURES.items():
            page.goto((FOLDER / address).as_uri())
            at = page.locator(top).first.bounding_box()
            clip = {"x": 0, "y": max(0, at["y"] - 12), "width": WIDTH, "height": height, "scale": 1}
            taken = camera.send(
                "Page.captureScreenshot",
                {
                    "format": "webp",
                    "quality": QUALITY,
                    "clip": clip,
                    "captureBeyondViewport": True,
                },
            )
            (FOLDER / "screenshots" / f"{name}.webp").write_bytes(base64.b64decode(taken["data"]))
        browser.close()


if __name__ == "__main__":
    take()
