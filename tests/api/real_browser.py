"""A service on its own port, and what a real browser waits for: pages and copies, never a time."""

import threading

import uvicorn

from api.app.app import create_app
from api.settings import Settings
from tests.api.conftest import Clock
from tests.mealplan.store.memory import MemoryStore

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
DESKTOP = {"viewport": {"width": 1280, "height": 900}}
NARROW = {"viewport": {"width": 320, "height": 640}, "has_touch": True}
SIZES = {"phone": PHONE, "desktop": DESKTOP, "narrow": NARROW}
PATIENCE_MS = 120_000
"""How long anything is waited for: far longer than it takes on a busy machine."""
STARTS_S = 60

IN_CHARGE = "() => navigator.serviceWorker && navigator.serviceWorker.controller !== null"
KEPT = """
async () => {
  const linked = document.querySelectorAll("script[src], link[rel=stylesheet]");
  const wanted = [location.href, ...Array.from(linked, (one) => one.src || one.href)];
  return (await Promise.all(wanted.map((address) => caches.match(address)))).every(Boolean);
}
"""
NO_COPY = "async () => !(await caches.keys()).some((name) => name.startsWith('kept-'))"


class Server(uvicorn.Server):
    """A server that tells when it has started."""

    def __init__(self, config):
        super().__init__(config)
        self.is_up = threading.Event()

    async def startup(self, sockets=None):
        await super().startup(sockets)
        self.is_up.set()


def serve(settings):
    """Run a service on a free port until the generator is closed."""
    app = create_app(settings, MemoryStore())
    server = Server(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    assert server.is_up.wait(STARTS_S), "the service did not start"
    port = server.servers[0].sockets[0].getsockname()[1]
    yield f"http://127.0.0.1:{port}", app
    server.should_exit = True
    thread.join(timeout=STARTS_S)


def usual_settings(**changes):
    clock = Clock()
    usual = {"patience_s": 20, "longest_s": 600, "now": clock.now, "today": clock.today}
    return Settings(**{**usual, **changes})


def patient(context):
    """Let everything in a browser take its time."""
    context.set_default_timeout(PATIENCE_MS)
    context.set_default_navigation_timeout(PATIENCE_MS)
    return context


def press(page, what):
    """Press what leads to another page, and wait for that page: a press that comes before it is
    there would cut the way short, and what is read would be the page before."""
    place = page.locator(what).first if isinstance(what, str) else what
    with page.expect_navigation():
        place.click()


def kept_by_the_device(page, address):
    """Ask for a copy of the pages, open one, and wait until it and what it links to is kept."""
    page.wait_for_function(IN_CHARGE)
    press(page, page.get_by_role("button", name="Keep pages for reading without signal"))
    page.goto(address)
    page.wait_for_function(KEPT)
