"""Two processes behind nginx with HTTPS, one killed under load: nothing acknowledged is lost."""

import concurrent.futures
import os
import shutil
import signal
import ssl
import subprocess
import sys
import time
from contextlib import closing

import httpx
import pytest

from api.app.deploy import printed
from mealplan.demo.folders import demo_intake
from mealplan.store.records import Logged
from mealplan.store.sql import SqlStore
from tests.mealplan.store.conftest import emptied
from tests.studies.service import FIRST, add_coach, free_port, serve, signed_in

pytestmark = pytest.mark.study

POSTGRES = os.environ.get("MEALPLAN_TEST_POSTGRES_URL", "")
SECONDS = float(os.environ.get("MEALPLAN_LOAD_S", "30"))
READERS, WRITERS = 6, 3


def site(folder, ports, https):
    """Turn the printed site into one that runs here: ports and certificate, nothing else."""
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj",
         "/CN=localhost", "-addext", "subjectAltName=DNS:localhost", "-keyout",
         folder / "key.pem", "-out", folder / "cert.pem"],
        check=True, capture_output=True,
    )  # fmt: skip
    text = printed("nginx")
    text = text.replace(
        "    server 127.0.0.1:8000 max_fails=1 fail_timeout=5s;\n",
        "".join(f"    server 127.0.0.1:{port} max_fails=1 fail_timeout=5s;\n" for port in ports),
    )
    text = text.replace("listen 80;", f"listen 127.0.0.1:{free_port()};")
    text = text.replace("listen 443 ssl http2;", f"listen 127.0.0.1:{https} ssl http2;")
    text = text.replace("plans.example.org;", "localhost;")
    text = text.replace("/etc/letsencrypt/live/plans.example.org/fullchain.pem", "cert.pem")
    text = text.replace("/etc/letsencrypt/live/plans.example.org/privkey.pem", "key.pem")
    places = "".join(
        f"{name}_temp_path {folder}/{name};\n"
        for name in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    (folder / "nginx.conf").write_text(
        f"pid {folder}/pid;\nerror_log {folder}/error.log;\ndaemon off;\n"
        f"events {{}}\nhttp {{\n{places}{text}\n}}\n"
    )


@pytest.mark.parametrize("kind", ["sqlite", "postgres"])
def test_one_of_two_processes_is_killed_under_load(kind, tmp_path, capsys):
    nginx = shutil.which("nginx") or "/usr/sbin/nginx"
    if not os.access(nginx, os.X_OK):
        pytest.skip("nginx is not installed")
    if kind == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    url = emptied(POSTGRES) if kind == "postgres" else f"sqlite:///{tmp_path / 'plans.sqlite'}"
    add_coach(url, "north")
    both = [serve(url, "--workers", "0", MEALPLAN_PUBLIC="localhost") for _ in range(2)]
    https = free_port()
    site(tmp_path, [port for _, port in both], https)
    proxy = subprocess.Popen([nginx, "-p", tmp_path, "-c", tmp_path / "nginx.conf"])
    base = f"https://localhost:{https}"
    options = {"verify": ssl.create_default_context(cafile=str(tmp_path / "cert.pem"))}
    until = time.monotonic() + 20
    while time.monotonic() < until:
        try:
            httpx.get(f"{base}/health", **options)
            break
        except httpx.TransportError:
            time.sleep(0.1)
    intake = demo_intake("club-lifter").model_dump(mode="json")
    with closing(signed_in(base, "north", **options)) as coach:
        client = coach.post("/api/clients", json={"intake": intake, "reason": "study"}).json()["id"]
        header = {"authorization": coach.headers["authorization"]}
    ending = time.monotonic() + SECONDS

    def read(_):
        seen = []
        with httpx.Client(base_url=base, headers=header, timeout=60, **options) as reader:
            while time.monotonic() < ending:
                seen.append(reader.get(f"/api/clients/{client}").status_code)
        return seen

    def write(number):
        kept, again = [], 0
        with httpx.Client(base_url=base, headers=header, timeout=60, **options) as writer:
            while time.monotonic() < ending:
                note = f"writer {number} note {len(kept)}"
                entry = {"kind": "weigh-in", "on": FIRST, "value": 80, "note": note}
                for turn in range(200):
                    key = {"Idempotency-Key": f"{note} {turn // 50}"}
                    answer = writer.post(
                        f"/api/clients/{client}/log", json={"entries": [entry]}, headers=key
                    )
                    if answer.status_code == 201:
                        kept.append(note)
                        break
                    again += 1
                    time.sleep(0.1)
        return kept, again

    with concurrent.futures.ThreadPoolExecutor(READERS + WRITERS) as crowd:
        reads = [crowd.submit(read, n) for n in range(READERS)]
        writes = [crowd.submit(write, n) for n in range(WRITERS)]
        time.sleep(SECONDS / 2)
        both[0][0].send_signal(signal.SIGKILL)
        seen = [code for one in reads for code in one.result()]
        kept = [note for one in writes for note in one.result()[0]]
        again = sum(one.result()[1] for one in writes)
    for process in (both[0][0], both[1][0], proxy):
        process.terminate()
        process.wait(timeout=30)
    store = SqlStore(url)
    with store.reading() as unit:
        there = {row.body for row in unit.find(Logged)}
    store.close()
    missing = [note for note in kept if not any(f'"{note}"' in body for body in there)]
    with capsys.disabled():
        sys.stdout.write(
            f"\n{kind}: {len(seen)} reads, {sum(code != 200 for code in seen)} of them not "
            f"answered with the page; {len(kept)} writes acknowledged, {again} sent again, "
            f"{len(missing)} lost\n"
        )
    assert not missing
    assert kept
    assert {code for code in seen if code != 200} <= {502, 503, 504}
    assert sum(code != 200 for code in seen) <= READERS + WRITERS
