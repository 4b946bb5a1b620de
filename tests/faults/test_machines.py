"""A campaign over processes of dask.distributed: a killed worker loses nothing, a network needs certificates."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import distributed

import panelwright as pw
from panelwright.faults import CircuitFault, fault_list
from panelwright.faults.spread import effect_table
from panelwright.wiring import Wiring

PUMP = Path(__file__).parents[2] / "examples" / "orchard" / "well-pump.panel"
DASK = Path(sys.executable).parent / "dask"


def campaign() -> tuple[Wiring, list[CircuitFault]]:
    """A panel, and faults enough for several portions."""
    wiring = pw.wire(pw.read_file(PUMP).circuit)
    return wiring, list(fault_list(wiring))[::3]


def local_cluster(workers: int) -> distributed.LocalCluster:
    """Worker processes on the loop-back address."""
    return distributed.LocalCluster(  # type: ignore[no-untyped-call]
        n_workers=workers, threads_per_worker=1, host="127.0.0.1", dashboard_address=None, processes=True
    )


def test_a_killed_worker_loses_nothing() -> None:
    """One of two workers is killed when the first portion is back; every answer comes, and is the same."""
    wiring, some = campaign()
    killed: list[int] = []
    with local_cluster(2) as cluster, distributed.Client(cluster) as client:  # type: ignore[no-untyped-call]

        def kill_one(done: int, count: int) -> None:
            if not killed:
                killed.append(min(client.run(os.getpid).values()))
                os.kill(killed[0], signal.SIGKILL)

        over = effect_table(wiring, some, over=cluster.scheduler_address, progress=kill_one)

    assert killed
    assert effect_table(wiring, some).effects == over.effects


def openssl(*words: str | Path) -> None:
    """Run the certificate tool."""
    subprocess.run(["openssl", *map(str, words)], check=True, capture_output=True)


def certificates(folder: Path) -> dict[str, Path]:
    """An authority of our own, and a certificate that it has signed."""
    made = {name: folder / f"{name}.pem" for name in ("ca", "ca-key", "me", "me-key", "me-request")}
    key = ("-newkey", "rsa:2048", "-nodes")
    openssl("req", "-x509", *key, "-keyout", made["ca-key"], "-out", made["ca"], "-days", "2", "-subj", "/CN=workshop")
    openssl("req", *key, "-keyout", made["me-key"], "-out", made["me-request"], "-subj", "/CN=panel-room")
    authority = ("-CA", made["ca"], "-CAkey", made["ca-key"], "-CAcreateserial")
    openssl("x509", "-req", "-in", made["me-request"], *authority, "-out", made["me"], "-days", "2")
    return made


@contextmanager
def running(*words: str) -> Iterator[None]:
    """A program of dask, ended afterwards."""
    program = subprocess.Popen([str(DASK), *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield
    finally:
        program.terminate()
        program.wait(20)


def free_port() -> int:
    """A port of the loop-back address that nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def test_over_a_network_with_certificates(tmp_path: Path) -> None:
    """The three commands of docs/how/faults.md, with tls; without a certificate nobody gets in."""
    made = certificates(tmp_path)
    files = ("--tls-ca-file", str(made["ca"]), "--tls-cert", str(made["me"]), "--tls-key", str(made["me-key"]))
    port = free_port()
    address = f"tls://127.0.0.1:{port}"
    listening = ("--host", "127.0.0.1", "--port", str(port), "--protocol", "tls", "--no-dashboard")
    config = {"CA_FILE": made["ca"], "CLIENT__CERT": made["me"], "CLIENT__KEY": made["me-key"]}
    env = {f"DASK_DISTRIBUTED__COMM__TLS__{name}": str(path) for name, path in config.items()}
    env["DASK_DISTRIBUTED__COMM__REQUIRE_ENCRYPTION"] = "true"
    ask = [sys.executable, "-m", "panelwright", "faults", str(PUMP), "--over"]
    with (
        running("scheduler", *listening, *files),
        running("worker", address, *files, "--nthreads", "1", "--no-dashboard", "--local-directory", str(tmp_path)),
    ):
        wait_for(port)
        over = subprocess.run([*ask, address], capture_output=True, text=True, env={**os.environ, **env}, check=False)
        bare = subprocess.run([*ask, f"tcp://127.0.0.1:{port}"], capture_output=True, text=True, check=False)

    alone = subprocess.run([*ask[:-1], "--cores", "1"], capture_output=True, text=True, check=False)

    assert (alone.stdout, 1) == (over.stdout, over.returncode), over.stderr
    assert bare.returncode == 2
    assert re.search("no scheduler answers", bare.stderr + bare.stdout)


def wait_for(port: int) -> None:
    """Until somebody listens."""
    for _ in range(300):
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            return
        except OSError:
            time.sleep(0.1)
    raise TimeoutError(port)
